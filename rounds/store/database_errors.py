"""What a failing disk, lock or file means, in one sentence a keeper can act on."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from rounds.store.orm import pw

# Codes of the file as a whole: the same entry may well be saved later, or by someone else.
_OF_THE_FILE = ("SQLITE_CORRUPT", "SQLITE_NOTADB")

FROM_SQLITE = (sqlite3.Error, UnicodeError)
"""What a look into a damaged file raises. SQLite quotes a broken schema in its words, which need not be UTF-8 then."""
_NO_TEXT = "decode to UTF-8"
"""Of a text that is none: an error of the driver, which gives it no code."""


def code_of(error: BaseException) -> str:
    """SQLite's name for an error (``SQLITE_BUSY`` …), also inside peewee's wrapping; or empty."""
    found = getattr(error, "orig", error)  # peewee keeps the driver's own error there
    return getattr(found, "sqlite_errorname", None) or ""


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """Say of an error that is the book's what it means: a BookError is raised in its place, any other as it is."""
    try:
        yield
    except Exception as error:
        from rounds.store import damage  # no start needs it

        raise damage.explained(error, path) from error


def is_of_the_book(error: BaseException) -> bool:
    """The book cannot be written now; as opposed to an entry that can never be written."""
    if isinstance(error, (pw.OperationalError, sqlite3.OperationalError, OSError)):
        return True
    return code_of(error).startswith(_OF_THE_FILE)


def is_lock(error: BaseException) -> bool:
    return code_of(error).startswith(("SQLITE_BUSY", "SQLITE_LOCKED"))


def is_damage(error: BaseException) -> bool:
    """Does SQLite say that what stands in the file is not what it wrote there?"""
    if isinstance(error, UnicodeError):
        return True
    return code_of(error).startswith(_OF_THE_FILE) or _NO_TEXT in str(error)


def sentence(error: BaseException, path: Path) -> str:
    """One sentence about why ``path`` cannot be used, from what SQLite or the system said."""
    code = code_of(error)
    if code.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        return f"{path}: another program is writing to the book and holds it locked."
    if code.startswith("SQLITE_FULL"):
        return f"{path}: no space is left on the disk. Make room; nothing saved so far is lost."
    if code.startswith("SQLITE_READONLY"):
        return f"{path}: the book may not be written here. Check the rights of the file and of its folder."
    if code.startswith("SQLITE_NOTADB"):
        return f"{path}: this file is not a book."
    if is_damage(error):
        from rounds.store import damage_sentences  # no start needs it

        return f"{path}: the book is damaged. {damage_sentences.WAY_BACK}"
    if code.startswith("SQLITE_CANTOPEN"):
        return f"{path}: the book cannot be opened. Check that its folder exists and may be written."
    if code.startswith("SQLITE_IOERR"):
        return f"{path}: the disk refused to read or write ({code}). It may be full or failing."
    if isinstance(error, OSError):
        return f"{path}: {error.strerror or error}."
    return f"{path}: the book cannot be used ({error})."
