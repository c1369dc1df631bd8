"""Starts the real program with one part of the world made worse, or held still.

    python -m tests.endtoend.runner '{"slow": 0.1}' --book b.sqlite walk

``clock``  every instant is this one (UTC epoch ms), so that two runs can be compared
``slow``   seconds each COMMIT of the writer takes longer: a tired disk
``hold``   a COMMIT of the writer lasts until the file of this name is there: a disk as slow as a test needs
``pages``  the book may not grow beyond this many pages: a full disk; a file named as
           ``room`` that appears makes room again
``early``  the writer says saved first and commits ``early`` seconds later: the mistake
           the kill test must find
``alone``  the walk never looks at what others committed: the mistake that two walks must find
"""

from __future__ import annotations

import json
import os
import sys
import threading
import time
from collections.abc import Callable
from typing import Any

from rounds.store import book as books
from rounds.store.writer import Ticketed, Writer
from rounds.walk.core import Walk

WRITERS_THREAD = "rounds-writer"


def slow(wait: Callable[[], None]) -> None:
    """Every COMMIT of the writer waits first."""
    run = books.Book.run

    def run_slowly(self: books.Book, sql: str, values: Any = ()) -> Any:
        if sql == "COMMIT" and threading.current_thread().name == WRITERS_THREAD:
            wait()
        return run(self, sql, values)

    books.Book.run = run_slowly  # type: ignore[method-assign]


def until_there(path: str) -> None:
    while not os.path.exists(path):
        time.sleep(0.005)


class EarlyWriter(Writer):
    """Says saved before it is."""

    lag = 0.0

    def save(self, batch: list[Ticketed]) -> None:
        self.saved(batch)
        time.sleep(self.lag)
        book = self.open()
        with book.writing():
            books_apply(book, [t.entry for t in batch])


def books_apply(book: books.Book, entries: list[Any]) -> None:
    from rounds.store.apply_entries import apply

    apply(book, entries)


class FullWriter(Writer):
    """Its disk holds no more than ``pages`` pages, until the file ``room`` is there."""

    pages = 0
    room = ""

    def save(self, batch: list[Ticketed]) -> None:
        most = 1 << 30 if self.room and os.path.exists(self.room) else self.pages
        self.open().run(f"PRAGMA max_page_count = {most}")
        super().save(batch)


def main() -> None:
    how: dict[str, Any] = json.loads(sys.argv[1])
    defaults: dict[str, Any] = Walk.__init__.__kwdefaults__  # type: ignore[assignment]
    if "clock" in how:
        defaults["clock"] = lambda: int(how["clock"])
    if "slow" in how:
        slow(lambda: time.sleep(how["slow"]))
    if "hold" in how:
        slow(lambda: until_there(how["hold"]))
    if "early" in how:
        EarlyWriter.lag = how["early"]
        defaults["writer"] = EarlyWriter
    if "pages" in how:
        FullWriter.pages, FullWriter.room = how["pages"], how.get("room", "")
        defaults["writer"] = FullWriter
    if how.get("alone"):
        Walk.look_about = lambda self: False  # type: ignore[method-assign]
    from rounds.cli import run

    sys.exit(run(sys.argv[2:]))


if __name__ == "__main__":
    main()
