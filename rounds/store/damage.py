"""An error met while a book is used, in words; also one that only a damaged book can bring about.

A letter or a number that another one has taken the place of is nothing SQLite would tell of,
but what reads it may fail in any way: a day that no calendar has, an id of nothing. Before that
is called a mistake of the program, the book is looked over.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from rounds.problems import BookError, RoundsError
from rounds.store import damage_sentences, database_errors, log_stamps
from rounds.store.connection import WITHOUT_LOG
from rounds.store.row_verifying import DamagedRow, verify

NAMED = 3
"""Damaged rows that are named; of others it is said how many."""


def explained(error: Exception, path: Path) -> Exception:
    """The error to raise instead: a BookError when it is the book's, ``error`` itself when it is not."""
    if isinstance(error, (RoundsError, BrokenPipeError)):
        return error
    if database_errors.is_of_the_book(error):
        other = getattr(error, "filename", None)  # of a file that is read or written beside the book
        return BookError(database_errors.sentence(error, Path(other) if isinstance(other, str) else path))
    found = what_is_damaged(path)
    return BookError(damage_sentences.damaged(str(path), found)) if found else error


def reason(error: Exception, path: Path) -> str:
    """Why something of a book could not be read, where it need not be said which book it is."""
    return str(explained(error, path)).removeprefix(f"{path}: ")


def what_is_damaged(path: Path) -> str:
    """What is damaged in a book, first of all, or "". Reads all of it."""
    try:
        with closing(opened(path)) as db:
            said = [str(row[0]) for row in db.execute("PRAGMA integrity_check(1)")]
            if said != ["ok"]:
                return " ".join(said[0].split())
            return named_rows(verify(db).damaged)
    except (*database_errors.FROM_SQLITE, OSError) as error:
        return str(error)


def opened(path: Path) -> sqlite3.Connection:
    """A connection that only looks; a log of another file is not read. Raises sqlite3's errors and OSError."""
    mode = "ro" if log_stamps.belongs(path) else WITHOUT_LOG
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode={mode}", uri=True, isolation_level=None)


def named_rows(rows: tuple[DamagedRow, ...]) -> str:
    """Which rows are not what was written; "" for none."""
    return damage_sentences.rows(tuple(map(str, rows[:NAMED])), len(rows)) if rows else ""
