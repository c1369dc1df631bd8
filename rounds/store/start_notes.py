"""What a round's start says of the book itself: only when somebody has to do something, and without reading it through.

On a good day this module is all that is loaded for it.
"""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rounds.store.book import Book

FRESH_MS = 7 * 86_400_000
"""Of a book whose backup, or which itself, is younger there is nothing to say."""


def start_notes(book: Book, now_ms: int) -> list[str]:
    """Sentences about backups that failed, are old or missing, and about copies that a cloud folder has made."""
    if not (_is_fresh(book, now_ms) and _stands_alone(book)):
        from rounds.store import book_notes

        return book_notes.told(book, now_ms)
    return []


def _is_fresh(book: Book, now_ms: int) -> bool:
    """Was a backup made a few days ago, the last one without fault? Or the book itself, with no backup tried yet?"""
    try:
        with open(f"{book.path}.backups/state.json", encoding="utf-8") as file:
            state = json.load(file)
        return not state["failed"] and not state["began_ms"] and now_ms - state["verified_ms"] < FRESH_MS
    except FileNotFoundError:
        made = book.row("SELECT made_ms FROM meta")
        return made is not None and now_ms - made[0] < FRESH_MS
    except (OSError, ValueError, LookupError, TypeError):
        return False  # looked into by those who can say what it is


def _stands_alone(book: Book) -> bool:
    """Has no file beside the book a name that begins as the book's does, but for those that belong to it?"""
    name = book.path.name
    belonging = (f"{name}-", f"{name}.")  # log and shared memory; backups, config, rescued entries, kept ones
    stem = book.path.stem
    try:
        with os.scandir(book.path.absolute().parent) as entries:
            return not any(
                e.name.startswith(stem) and e.name != name and not e.name.startswith(belonging)
                for e in entries
            )
    except OSError:
        return False
