"""The start of a round says what is wrong with backups and beside the book, and nothing on a good day."""

from __future__ import annotations

import os
import shutil
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rounds.store import backup_state
from rounds.store.backup import back_up
from rounds.store.book import open_book
from rounds.store.start_notes import start_notes
from tests.store.houses import new_house, say

DAY_MS = 86_400_000


@pytest.fixture
def sound(path: Path) -> Path:
    with new_house(path) as book:
        say(book, "Wren")
        book.run("UPDATE visit SET at_ms = (SELECT made_ms FROM meta) + 1, crc = NULL")
    return path


def notes(path: Path, days: int = 0) -> list[str]:
    with open_book(path) as book:
        made = book.row("SELECT made_ms FROM meta")
        assert made is not None
        return start_notes(book, made[0] + days * DAY_MS)


def test_on_a_good_day_nothing_is_said_and_nothing_is_loaded(
    sound: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("book_notes", "backup_state", "synced_folder"):
        monkeypatch.delitem(sys.modules, f"rounds.store.{name}", raising=False)
    assert notes(sound, days=6) == []
    back_up(sound)
    monkeypatch.delitem(sys.modules, "rounds.store.book_notes", raising=False)
    assert notes(sound) == []
    assert "rounds.store.book_notes" not in sys.modules


def test_a_failed_one_an_old_one_and_none(sound: Path) -> None:
    (said,) = notes(sound, days=8)
    assert "no backup, after 8 days" in said
    with open_book(sound) as book:
        made = book.row("SELECT made_ms FROM meta")
    assert made is not None
    back_up(sound, now=datetime.fromtimestamp(made[0] / 1000 - 5, UTC))
    (said,) = notes(sound, days=9)
    assert "9 days ago" in said
    backup_state.fail(sound, made[0], "no space is left on the disk.")
    (said,) = notes(sound)
    assert "no space is left" in said
    assert "\n" not in said
    backup_state.file_of(sound).write_text("no JSON")
    assert notes(sound) == []


def test_a_copy_that_a_cloud_folder_has_made(sound: Path) -> None:
    shutil.copy(sound, sound.with_name("tarnish.book"))
    assert notes(sound) == []
    shutil.copy(sound, sound.with_name("tarn (conflicted copy 2026-03-01).book"))
    (said,) = notes(sound)
    assert "tarn (conflicted copy 2026-03-01).book" in said


def test_half_a_pair_of_book_and_log_is_told_once(sound: Path) -> None:
    """The log was taken away, or never came, while the shared memory beside it stayed."""
    Path(f"{sound}-shm").write_bytes(b"")
    with open_book(sound) as book:
        (said,) = book.notes
    assert "the log that belonged beside the book is gone" in said
    with open_book(sound) as book:
        assert book.notes == ()


def test_what_cannot_be_looked_at_is_said(sound: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def unreadable(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    with open_book(sound) as book:
        monkeypatch.setattr(os, "scandir", unreadable)
        (said,) = start_notes(book, 0)
    assert "Permission denied" in said
