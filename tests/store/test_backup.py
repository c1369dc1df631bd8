"""A backup counts only once it was opened again and compared."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.problems import BookError
from rounds.store import backup, backup_state, read
from rounds.store.backup import back_up, count, hash_file_of, is_as_made
from rounds.store.backup_ladder import DAILY, MONTHLY, WEEKLY, backups_in, folder_of, kept, to_thin_out
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
    files = [copy, hash_file_of(copy), backup_state.file_of(path)]
    assert sorted(copy.parent.iterdir()) == sorted(files)
    assert [stat.S_IMODE(file.stat().st_mode) for file in files] == [0o600] * 3


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
    assert not list(folder_of(path).glob("*.book*"))
    assert "does not hold the same" in backup_state.read(path).failed


def test_a_damaged_book_gives_no_backup(path: Path) -> None:
    with new_house(path, 200) as book:
        fill(book, 5, range(1, 201), [("jelly_gone", 2)])
    content = bytearray(path.read_bytes())
    for page in range(6, len(content) // 4096):  # scribble over the head of most pages
        content[page * 4096 : page * 4096 + 8] = b"\xa5" * 8
    path.write_bytes(content)
    with pytest.raises(BookError, match="damaged"):
        back_up(path, now=NOW)
    assert not list(folder_of(path).glob("*.book*"))
    assert "damaged" in backup_state.read(path).failed


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
    copies = names([NOW - timedelta(hours=12 * n) for n in range(730)])
    stay = sorted(set(copies) - set(to_thin_out(copies, "tarn")), reverse=True)
    newest = [max(c for c in copies if f"{NOW - timedelta(days=n):%Y%m%d}T" in c.name) for n in range(7)]
    assert stay[:7] == newest
    assert len(stay) <= DAILY + WEEKLY + MONTHLY
    assert len({name.name[5:11] for name in stay}) == 12
    assert to_thin_out(stay, "tarn") == []  # thinning a thinned folder takes nothing


HOURS = st.sets(st.integers(0, 3 * 365 * 24), min_size=1)
"""Hours after NOW at which backups were made, over three years."""


@given(HOURS)
def test_the_ladder_keeps_the_last_of_each_of_its_days_weeks_and_months_and_nothing_else(
    hours: set[int],
) -> None:
    dates = sorted(NOW + timedelta(hours=hour) for hour in hours)

    def last_of_the_newest(n: int, period: Callable[[datetime], object]) -> set[datetime]:
        """Of each of the newest ``n`` periods that have any: the last."""
        return set(list({period(at): at for at in dates}.values())[-n:])

    wanted = (
        last_of_the_newest(7, lambda at: at.date())
        | last_of_the_newest(4, lambda at: at.isocalendar()[:2])
        | last_of_the_newest(12, lambda at: (at.year, at.month))
    )
    assert kept(dates) == wanted
    assert dates[-1] in wanted
    assert kept(reversed(dates)) == wanted, "in whatever order they are told"
    assert kept(wanted) == wanted


@given(HOURS, st.integers(0, 3 * 365 * 24))
def test_thinning_one_by_one_never_takes_the_one_just_verified(hours: set[int], set_back: int) -> None:
    """Also where a clock set back makes it the oldest by its name."""
    folder: list[Path] = []
    for hour in [*sorted(hours), set_back - 3 * 365 * 24]:
        (new,) = names([NOW + timedelta(hours=hour)])
        folder.append(new)
        gone = to_thin_out(folder, "tarn", {new})
        assert new not in gone
        folder = [f for f in folder if f not in gone]
        assert len(folder) <= DAILY + WEEKLY + MONTHLY + 1


def test_control_without_being_named_the_one_just_verified_would_go() -> None:
    copies = names([NOW + timedelta(days=31 * n) for n in range(40)])
    (new,) = names([NOW - timedelta(days=20_000)])
    assert new in to_thin_out([*copies, new], "tarn")
    assert new not in to_thin_out([*copies, new], "tarn", {new})


def test_what_is_not_an_ordinary_backup_of_this_book_is_never_taken_away() -> None:
    old = [NOW - timedelta(days=n) for n in range(60)]
    others = [Path(p.name.replace("tarn-", "tarn-before-schema-2-")) for p in names(old)] + [
        Path("notes.book"),
        Path("moss-20260101T000000Z.book"),
    ]
    assert not set(to_thin_out([*others, *names(old)], "tarn")) & set(others)


def test_two_in_one_second_are_two(path: Path) -> None:
    new_house(path).close()
    assert len({back_up(path, now=NOW, reason="before-load") for _ in range(3)}) == 3


def test_thinning_takes_the_hashes_along_and_nothing_in_another_folder(path: Path) -> None:
    new_house(path).close()
    elsewhere = path.parent / "stick"
    for n in range(10):
        back_up(path, now=NOW + timedelta(days=n))
        back_up(path, now=NOW + timedelta(days=n), folder=elsewhere)
    own = sorted(folder_of(path).glob("*.book"))
    assert len(own) == len(kept(NOW + timedelta(days=n) for n in range(10))) < 10
    assert sorted(folder_of(path).glob("*.sha256")) == [hash_file_of(copy) for copy in own]
    assert len(backups_in(elsewhere, "tarn")) == 10


def test_a_changed_copy_is_told_by_the_hash_beside_it(path: Path) -> None:
    new_house(path).close()
    copy = back_up(path, now=NOW)
    assert is_as_made(copy) is True
    assert (
        subprocess.run(["sha256sum", "-c", hash_file_of(copy).name], cwd=copy.parent, check=False).returncode
        == 0
    )
    content = bytearray(copy.read_bytes())
    content[5000] ^= 1
    copy.write_bytes(content)
    assert is_as_made(copy) is False
    hash_file_of(copy).unlink()
    assert is_as_made(copy) is None


# How the last one ended is heard of at the next start

MADE = 1_770_000_000_000
DAY_MS = backup_state.DAY_MS


def wrong(path: Path, *, written: int, now: int) -> str:
    return backup_state.what_is_wrong(path, written, MADE, now)


def test_a_failed_backup_is_told_until_one_succeeds(path: Path) -> None:
    new_house(path).close()
    whole = path.read_bytes()
    path.write_bytes(whole[:8192])
    with pytest.raises(BookError, match="The backup could not be made"):
        back_up(path)
    path.write_bytes(whole)
    assert "failed" in wrong(path, written=MADE, now=MADE)
    assert "`rounds checkup`" in wrong(path, written=MADE, now=MADE)
    back_up(path)
    assert wrong(path, written=MADE, now=MADE) == ""


def test_a_backup_that_was_cut_off_is_told_once_it_should_have_ended(path: Path) -> None:
    new_house(path).close()
    backup_state.begin(path, MADE)
    assert wrong(path, written=MADE, now=MADE + 60_000) == ""
    assert "did not come to its end" in wrong(path, written=MADE, now=MADE + backup_state.LONGEST_MS + 1)


def test_only_a_book_written_since_is_told_that_its_backup_is_old(path: Path) -> None:
    new_house(path).close()
    assert wrong(path, written=MADE + 1, now=MADE + 7 * DAY_MS) == "", "a new book"
    assert "no backup, after 9 days" in wrong(path, written=MADE + 1, now=MADE + 9 * DAY_MS)
    assert wrong(path, written=0, now=MADE + 9 * DAY_MS) == "", "nothing was ever written into it"
    at = datetime.fromtimestamp(MADE / 1000, UTC)
    back_up(path, now=at)
    backup_state.file_of(path).unlink()
    assert wrong(path, written=MADE - 1000, now=MADE + 30 * DAY_MS) == "", "nothing was written since"
    assert "30 days ago" in wrong(path, written=MADE + 1000, now=MADE + 30 * DAY_MS)
    assert wrong(path, written=MADE + 1000, now=MADE + 6 * DAY_MS) == ""


@pytest.mark.parametrize("text", ["", "{", "[]", '{"failed": 3}', '{"more": 3}', "\x00"])
def test_a_broken_note_of_the_last_backup_is_as_none(text: str, path: Path) -> None:
    new_house(path).close()
    back_up(path, now=NOW)
    backup_state.file_of(path).write_text(text)
    assert backup_state.read(path) == backup_state.BackupState()
    assert backup_state.verified_ms(path) == NOW.timestamp() * 1000


def test_what_a_backup_left_half_made_goes_with_a_later_one(path: Path, book: Book) -> None:
    folder = folder_of(path)
    folder.mkdir()
    old, new, other = (
        folder / f".{name}-20250221T120000Z.book.{n}.part" for n, name in enumerate(("tarn", "tarn", "fell"))
    )
    for part in (old, new, other):
        part.write_bytes(b"half")
    for part in (old, other):
        os.utime(part, (1, 1))
    back_up(path)
    assert {part for part in (old, new, other) if part.exists()} == {new, other}
