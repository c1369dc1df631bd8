"""A backup counts only once it was opened again and compared."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
import threading
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.problems import BookError
from rounds.store import backup, read
from rounds.store.backup import back_up, count, folder_of, to_thin_out
from rounds.store.book import Book, open_book
from tests.store import children
from tests.store.houses import DAY, fill, held, new_house

NOW = datetime(2026, 3, 1, 7, 30, tzinfo=UTC)


def counted(path: Path) -> backup.Counted:
    with closing(sqlite3.connect(path)) as db:
        return count(db)


def test_the_drill(path: Path, book: Book) -> None:
    """Back up, lose the book, put the copy in its place: the same book."""
    fill(book, 3, [1, 2, 3], [("moisture", "right"), ("jelly_gone", 2), ("note", "smells odd")])
    wanted = held(book)
    copy = back_up(path, now=NOW)
    assert copy == folder_of(path) / "tarn-20260301T073000Z.book"
    book.close()
    for gone in path.parent.glob("tarn.book*"):
        if gone.is_file():
            gone.unlink()
    os.rename(copy, path)
    with open_book(path) as restored:
        assert held(restored) == wanted
        assert restored.row("PRAGMA integrity_check") == ("ok",)
        assert len(read.history(restored, since_day=DAY)) == 3


def test_copies_are_private_and_nothing_else_is_left(path: Path) -> None:
    before = os.umask(0o022)
    try:
        new_house(path).close()
        copy = back_up(path, now=NOW)
    finally:
        os.umask(before)
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert stat.S_IMODE(copy.parent.stat().st_mode) == 0o700
    assert list(copy.parent.iterdir()) == [copy]


def test_while_a_round_is_written_the_copy_is_of_one_moment(path: Path, book: Book) -> None:
    stop, backups = threading.Event(), list[Path]()

    def copy() -> None:
        while not stop.is_set() and len(backups) < 20:
            backups.append(back_up(path, now=NOW + timedelta(seconds=len(backups))))

    thread = threading.Thread(target=copy)
    thread.start()
    for n in range(300):
        with book.writing():  # two rows that belong together
            book.run("INSERT INTO keeper (name) VALUES (?)", (f"k{n}",))
            book.run(
                "INSERT INTO line (name, species, origin, generation, note) VALUES (?, '', '', '', '')",
                (f"l{n}",),
            )
    stop.set()
    thread.join()
    assert backups
    for one in folder_of(path).glob("*.book"):
        rows = counted(one).rows
        assert rows["keeper"] == rows["line"]


def test_in_a_process_of_its_own(path: Path) -> None:
    new_house(path).close()
    done = subprocess.run(
        [sys.executable, "-m", "rounds.store.backup", str(path)],
        capture_output=True,
        text=True,
        cwd=children.ROOT,
        check=True,
    )
    copy = Path(done.stdout.strip())
    assert counted(copy) == counted(path)
    failed = subprocess.run(
        [sys.executable, "-m", "rounds.store.backup", str(path) + "x"],
        capture_output=True,
        text=True,
        cwd=children.ROOT,
        check=False,
    )
    assert (failed.returncode, failed.stdout) == (3, "")
    assert "The backup could not be made" in failed.stderr
    assert "Traceback" not in failed.stderr
    assert backup.main([]) == 2


def test_a_copy_that_differs_is_not_kept(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Control: a copy with one value changed after copying is found out."""
    new_house(path).close()
    settle = sqlite3.connect

    def tampering(target: object, **options: object) -> sqlite3.Connection:
        db: sqlite3.Connection = settle(target, **options)  # type: ignore[call-overload]
        if str(target).endswith(".part"):
            rows = db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
            if rows:
                db.execute("UPDATE place SET slot = 99 WHERE id = 1")
                db.commit()
        return db

    monkeypatch.setattr(backup.sqlite3, "connect", tampering)
    with pytest.raises(BookError, match="does not hold the same"):
        back_up(path, now=NOW)
    assert list(folder_of(path).iterdir()) == []


def test_a_damaged_book_gives_no_backup(path: Path) -> None:
    with new_house(path, 200) as book:
        fill(book, 5, range(1, 201), [("jelly_gone", 2)])
    content = bytearray(path.read_bytes())
    for page in range(6, len(content) // 4096):  # scribble over the head of most pages
        content[page * 4096 : page * 4096 + 8] = b"\xa5" * 8
    path.write_bytes(content)
    with pytest.raises(BookError, match="damaged"):
        back_up(path, now=NOW)
    assert list(folder_of(path).glob("*")) == []


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE visit SET at_ms = at_ms + 1 WHERE id = 3",
        "UPDATE reading SET number = NULL WHERE visit = 2",
        "DELETE FROM kind WHERE id = (SELECT max(id) FROM kind)",
        "UPDATE visit SET uid = randomblob(16) WHERE id = 1",
        "UPDATE enclosure SET litres = 5.000001 WHERE id = 1",
        "CREATE TABLE more (id)",
    ],
)
def test_the_hash_sees_any_change(path: Path, change: str) -> None:
    with new_house(path) as book:
        fill(book, 1, [1, 2, 3], [("moisture", "right"), ("jelly_gone", 2)])
    before = counted(path)
    assert counted(path) == before
    with closing(sqlite3.connect(path)) as db:
        db.execute(change)
        db.commit()
    assert counted(path) != before


def names(times: list[datetime]) -> list[Path]:
    return [Path(f"tarn-{t:%Y%m%dT%H%M%SZ}.book") for t in times]


def test_a_year_of_two_backups_a_day_is_thinned_to_days_weeks_and_months() -> None:
    times = [NOW - timedelta(hours=12 * n) for n in range(730)]
    copies = names(times)
    kept = sorted(set(copies) - set(to_thin_out(copies, "tarn")), reverse=True)
    newest = [max(c for c in copies if f"{NOW - timedelta(days=n):%Y%m%d}T" in c.name) for n in range(7)]
    assert kept[:7] == newest
    assert len(kept) <= 7 + 4 + 12
    months = {name.name[5:11] for name in kept}
    assert len(months) == 12
    assert to_thin_out(kept, "tarn") == []  # thinning a thinned folder takes nothing


@given(st.sets(st.integers(0, 400 * 24), min_size=1))
def test_thinning_one_by_one_always_keeps_the_newest(hours: set[int]) -> None:
    folder: list[Path] = []
    for hour in sorted(hours):
        (new,) = names([NOW + timedelta(hours=hour)])
        folder.append(new)
        gone = to_thin_out(folder, "tarn")
        assert new not in gone
        folder = [f for f in folder if f not in gone]
        assert len(folder) <= 7 + 4 + 12


def test_what_is_not_an_ordinary_backup_of_this_book_is_never_taken_away() -> None:
    old = [NOW - timedelta(days=n) for n in range(60)]
    others = [Path(p.name.replace("tarn-", "tarn-before-schema-2-")) for p in names(old)] + [
        Path("notes.book"),
        Path("moss-20260101T000000Z.book"),
    ]
    assert not set(to_thin_out([*others, *names(old)], "tarn")) & set(others)


def test_two_in_one_second_are_two(path: Path) -> None:
    new_house(path).close()
    assert len({back_up(path, now=NOW, label="before-load") for _ in range(3)}) == 3
