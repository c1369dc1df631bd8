"""What SQLite says about the file is told apart from what it says about an entry."""

from __future__ import annotations

import errno
import sqlite3
from pathlib import Path

import pytest

from rounds.store import database_errors
from rounds.store.book import Book
from rounds.store.orm import pw

PATH = Path("/house/tarn.book")


@pytest.mark.parametrize(
    ("code", "what"),
    [
        ("SQLITE_BUSY_SNAPSHOT", "locked"),
        ("SQLITE_FULL", "no space"),
        ("SQLITE_READONLY_DIRECTORY", "may not be written"),
        ("SQLITE_NOTADB", "not a book"),
        ("SQLITE_CORRUPT", "damaged"),
        ("SQLITE_CANTOPEN", "cannot be opened"),
        ("SQLITE_IOERR_WRITE", "the disk refused"),
    ],
)
def test_each_code_has_its_sentence(code: str, what: str) -> None:
    inner = sqlite3.OperationalError("x")
    inner.sqlite_errorname = code  # type: ignore[attr-defined]
    for error in (inner, pw.OperationalError(inner, "x")):
        said = database_errors.sentence(error, PATH)
        assert said.startswith(f"{PATH}: ")
        assert what in said


def test_codes_survive_peewee(book: Book) -> None:
    with pytest.raises(pw.IntegrityError) as found, book.writing():
        book.run("INSERT INTO visit (uid, enclosure, round, seq, at_ms) VALUES (x'00', 99, 99, 1, 1)")
    assert database_errors.code_of(found.value) == "SQLITE_CONSTRAINT_FOREIGNKEY"
    assert not database_errors.is_of_the_book(found.value)


def test_the_system_s_own_words() -> None:
    assert "No space left" in database_errors.sentence(OSError(errno.ENOSPC, "No space left on device"), PATH)
    assert database_errors.is_of_the_book(OSError(errno.ENOSPC, ""))
    assert not database_errors.is_of_the_book(ValueError())
