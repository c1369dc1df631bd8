"""A checkup finds each thing that is wrong, says what to do, and changes nothing."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rounds.records.entries import StandAt
from rounds.store import backup_state, checkup_around, rescue
from rounds.store.backup import back_up
from rounds.store.book import open_book
from rounds.store.checkup import Finding, of_the_book
from rounds.store.checkup_around import around_the_book, sqlite_version
from rounds.store.synced_folder import conflict_copies
from tests.store.houses import NOON, fill, new_house
from tests.store.test_foreign_log import session
from tests.store.test_migrations import OLD

NOW = NOON + 3_600_000


@pytest.fixture
def sound(path: Path) -> Path:
    with new_house(path) as book:
        fill(book, 3, [1, 2, 3], [("moisture", "right"), ("jelly_gone", 2), ("note", "smells odd")])
    back_up(path, now=datetime.fromtimestamp(NOON / 1000 + 60, UTC))
    return path


def findings(path: Path, now: int = NOW) -> list[Finding]:
    return [*of_the_book(path), *around_the_book(path, now)]


def wrong(path: Path, now: int = NOW) -> dict[str, Finding]:
    return {f.check: f for f in findings(path, now) if f.state == "wrong"}


def test_a_sound_book_has_nothing_wrong_and_every_check_says_so(sound: Path) -> None:
    found = findings(sound)
    assert {f.state for f in found} <= {"good", "note"}
    assert [f.check for f in found] == sorted({f.check for f in found}, key=[f.check for f in found].index)
    assert all(f.to_do == "" for f in found if f.state == "good")
    assert all(f.found for f in found)


def execute(path: Path, sql: str) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute(sql)
        db.commit()


def scribbled(path: Path) -> None:
    content = bytearray(path.read_bytes())
    for page in range(10, len(content) // 4096):
        content[page * 4096 : page * 4096 + 8] = b"\xa5" * 8
    path.write_bytes(content)


def missing(path: Path) -> None:
    path.unlink()


def no_book(path: Path) -> None:
    path.write_text("jelly, 4 cups\n" * 500)


def of_another_program(path: Path) -> None:
    path.unlink()
    execute(path, "CREATE TABLE t (x)")


def a_reference_to_nothing(path: Path) -> None:
    execute(path, "UPDATE visit SET enclosure = 77 WHERE id = 2")


def in_two_places(path: Path) -> None:
    execute(path, "INSERT INTO line (id, name) VALUES (1, 'UMBER')")
    execute(path, "INSERT INTO animal (id, line, number) VALUES (1, 1, '5')")
    for box in (1, 2):
        execute(path, f"INSERT INTO content (enclosure, animal) VALUES ({box}, 1)")


def a_foreign_log(path: Path) -> None:
    copy = shutil.copy(path, path.with_name("copy"))
    session(path, "more", kill=False)
    session(path, "killed", kill=True)
    shutil.copyfile(copy, path)
    Path(copy).unlink()


def left_a_rescue_file(path: Path) -> None:
    rescue.write(path, [StandAt(b"r" * 16, 1)])


def a_conflict_copy(path: Path) -> None:
    shutil.copy(path, path.with_name("tarn (Finch's conflicted copy 2026-03-01).book"))


def a_failed_backup(path: Path) -> None:
    backup_state.fail(path, NOON, "no space is left on the disk.")


def a_cut_off_backup(path: Path) -> None:
    backup_state.begin(path, NOON)


def a_changed_backup(path: Path) -> None:
    (copy,) = (path.parent / "tarn.book.backups").glob("*.book")
    copy.write_bytes(copy.read_bytes() + b"x")


WRONG: dict[Callable[[Path], None], tuple[str, str]] = {
    scribbled: ("damage", "--salvage"),
    missing: ("the file", ""),
    no_book: ("damage", "restore"),
    of_another_program: ("damage", ""),
    a_reference_to_nothing: ("references", ""),
    in_two_places: ("the books", "record history"),
    a_foreign_log: ("the log", "puts the log aside"),
    left_a_rescue_file: ("rescued entries", "takes them in"),
    a_conflict_copy: ("other copies", "--book"),
    a_failed_backup: ("backup", "rounds backup"),
    a_cut_off_backup: ("backup", "rounds backup"),
    a_changed_backup: ("backup", "another"),
}


@pytest.mark.parametrize("act", WRONG, ids=lambda act: act.__name__)
def test_what_is_wrong_is_found_and_nothing_is_changed(act: Callable[[Path], None], sound: Path) -> None:
    act(sound)
    before = {
        f: f.read_bytes() for f in sound.parent.rglob("*") if f.is_file() and not f.name.endswith("-shm")
    }
    check, to_do = WRONG[act]
    found = wrong(sound)
    assert check in found
    assert to_do in found[check].to_do
    after = {
        f: f.read_bytes() for f in sound.parent.rglob("*") if f.is_file() and not f.name.endswith("-shm")
    }
    assert {f: b for f, b in after.items() if b} == {f: b for f, b in before.items() if b}


def test_a_clock_behind_the_book_and_a_disk_without_room(
    sound: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "the clock" in wrong(sound, NOON - 86_400_000)
    assert "the clock" not in wrong(sound, NOON - 60_000)
    whole = os.statvfs(sound)
    assert whole.f_bavail > 0
    monkeypatch.setattr(
        checkup_around.shutil, "disk_usage", lambda _: type("Usage", (), {"free": sound.stat().st_size})
    )
    assert "Make room" in wrong(sound)["room"].to_do


def test_an_old_backup_of_a_book_that_was_written_since(sound: Path) -> None:
    session(sound, "later", kill=False)  # its visits are of 1970: the clock of that terminal was wrong
    assert "backup" not in wrong(sound, NOW + 30 * 86_400_000)
    execute(sound, f"UPDATE visit SET at_ms = {NOON + 90_000} WHERE id = (SELECT max(id) FROM visit)")
    assert "30 days ago" in wrong(sound, NOW + 30 * 86_400_000)["backup"].found


def test_a_book_of_an_older_schema_is_told_to_be_opened(path: Path) -> None:
    path.parent.mkdir()
    shutil.copy(OLD / "1.book", path)
    found = {f.check: f for f in findings(path)}
    assert found["the books"].state == "note"
    assert "Start `rounds` once" in found["the books"].to_do
    with open_book(path):
        pass
    assert {f.check: f for f in findings(path)}["the books"].state == "good"


@pytest.mark.parametrize(
    ("version", "state"),
    [
        ((3, 6, 23), "good"),
        ((3, 34, 1), "note"),
        ((3, 35, 4), "wrong"),
        ((3, 37, 2), "note"),
        ((3, 40, 1), "note"),
        ((3, 44, 6), "good"),
        ((3, 50, 7), "good"),
        ((3, 51, 2), "note"),
        ((3, 51, 3), "good"),
        ((3, 52, 0), "wrong"),
        ((3, 53, 0), "good"),
    ],
)
def test_versions_of_sqlite(version: tuple[int, int, int], state: str) -> None:
    """By SQLite's own release notes (sqlite.org/changes.html) and its page on the log (sqlite.org/wal.html)."""
    assert sqlite_version(version).state == state


COPIES = [
    "tarn (Finch's conflicted copy 2026-03-01).book",
    "tarn (conflicted copy 2026-03-01 073000).book",
    "tarn.sync-conflict-20260301-073000-ABCDEFG.book",
    "tarn_conflict-20260301-073000.book",
    "tarn (1).book",
    "tarn (Kopie in Konflikt).book",
    "tarn - Copy.book",
    "tarn 2.book",
    "tarn (conflicted copy).book-wal",
]
OTHERS = [
    "tarn-house.book",
    "tarn.book-wal",
    "tarn.book.kept-20260301T073000Z",
    "tarn2.book",
    "tarnish.book",
    "fell (1).book",
    "tarn (1).txt",
    "tarn.book.unsaved-1.jsonl",
]


def test_copies_that_a_cloud_folder_makes_are_told_from_other_files(path: Path) -> None:
    path.parent.mkdir()
    for name in [*COPIES, *OTHERS, path.name]:
        path.with_name(name).touch()
    (path.parent / "tarn (2).book").mkdir()
    assert sorted(p.name for p in conflict_copies(path)) == sorted(COPIES)
