"""Saved means committed: with a locked, full, read-only or moved book, and with entries that cannot be written."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from rounds.records.entries import Assign, CloseRound, Entry, OpenRound, OpenVisit
from rounds.store import read
from rounds.store import writer as store_writer
from rounds.store.book import Book, open_book
from rounds.store.connection import WITHOUT_LOG, connect
from rounds.store.orm import run
from rounds.store.writer import Writer
from tests.store import children
from tests.store.houses import DAY, NOON, new_house

ROUND, VISIT = b"r" * 16, b"v" * 16
WAIT = 20.0  # far more than anything here takes; only a failure waits that long
OPENING: list[Entry] = [OpenRound(ROUND, "Ferrow", DAY, NOON, "UTC"), OpenVisit(VISIT, ROUND, 1, 1, NOON)]


def put_dead(n: int) -> Assign:
    return Assign(VISIT, "dead", 1, n - 1 if n else None, n, NOON + n, "Ferrow")


class Heard:
    """What a writer said, in order: numbers for saved, sentences or None for trouble."""

    def __init__(self) -> None:
        self.said: list[int | str | None] = []
        self.changed = threading.Condition()

    def __call__(self, what: int | str | None) -> None:
        with self.changed:
            self.said.append(what)
            self.changed.notify_all()

    def wait(self, wanted: Callable[[list[Any]], bool]) -> None:
        with self.changed:
            assert self.changed.wait_for(lambda: bool(self.said) and wanted(self.said), WAIT), self.said

    @property
    def saved(self) -> list[int]:
        return [x for x in self.said if isinstance(x, int)]


@pytest.fixture
def heard() -> Heard:
    return Heard()


@pytest.fixture
def writer(path: Path, heard: Heard) -> Iterator[Writer]:
    new_house(path).close()
    made = Writer(path, heard, heard)
    yield made
    made.close(WAIT)


def stored(path: Path) -> int | None:
    with open_book(path) as book:
        row = book.row("SELECT number FROM cell WHERE reading = 'dead'")
        return None if row is None else int(row[0])


def test_tickets_count_from_one_and_saved_rises_to_the_last(path: Path, writer: Writer, heard: Heard) -> None:
    assert writer.put(OPENING) == 2
    assert [writer.put([put_dead(n)]) for n in range(50)] == list(range(3, 53))
    assert writer.drain(WAIT)
    heard.wait(lambda said: said[-1:] == [52])
    assert heard.saved == sorted(set(heard.saved))
    assert writer.close(WAIT) == []
    assert stored(path) == 49


def test_saved_is_said_only_when_another_connection_can_see_it(path: Path, heard: Heard) -> None:
    new_house(path).close()
    late: list[int] = []
    reader: list[Book] = []

    def saved(ticket: int) -> None:
        if not reader:
            reader.append(open_book(path))
        row = reader[0].row("SELECT number FROM cell WHERE reading = 'dead'")
        if ticket > 2 and (row is None or row[0] < ticket - 3):
            late.append(ticket)

    writer = Writer(path, saved, heard)
    writer.put(OPENING)
    for n in range(100):
        writer.put([put_dead(n)])
    assert writer.close(WAIT) == []
    assert late == []


def test_a_burst_shares_its_commits(path: Path, heard: Heard) -> None:
    new_house(path).close()
    batches: list[int] = []

    class Counting(Writer):
        def save(self, batch: list[Any]) -> None:
            batches.append(len(batch))
            time.sleep(0.05)  # a slow disk
            super().save(batch)

    writer = Counting(path, heard, heard)
    writer.put(OPENING)
    for n in range(200):
        writer.put([put_dead(n)])
    assert writer.close(WAIT) == []
    assert sum(batches) == 202
    assert len(batches) < 20


def test_putting_never_waits_for_the_disk(path: Path, heard: Heard) -> None:
    new_house(path).close()
    go = threading.Event()

    class Stuck(Writer):
        def save(self, batch: list[Any]) -> None:
            assert go.wait(WAIT)
            super().save(batch)

    writer = Stuck(path, heard, heard)
    writer.put(OPENING)
    writer.put([put_dead(n) for n in range(100)])
    assert heard.said == []
    assert not writer.drain(0.01)
    assert len(writer.close(0.05)) == 102  # not known to be saved, so handed back
    go.set()


HOLD = """
    import sqlite3, sys
    db = sqlite3.connect(sys.argv[1], isolation_level=None)
    db.execute("BEGIN IMMEDIATE")
    print("held")
    sys.stdin.read()
    db.execute("ROLLBACK")
"""


def test_locked_by_another_program_then_released(path: Path, writer: Writer, heard: Heard) -> None:
    writer.put(OPENING)
    assert writer.drain(WAIT)
    with children.start(HOLD, path) as child:
        assert child.stdin is not None
        assert child.stdout is not None
        child.stdout.readline()
        writer.put([put_dead(0)])
        heard.wait(lambda said: isinstance(said[-1], str))
        assert "locked" in str(heard.said[-1])
        assert 3 not in heard.said
        assert stored(path) is None
        child.stdin.close()
        child.wait(WAIT)
    heard.wait(lambda said: said[-1] == 3)
    assert heard.said[-2] is None  # the trouble is over, then it is saved
    assert stored(path) == 0


class Small(Writer):
    """A book on a disk with room for ``room`` more pages."""

    room: int | None = 4

    def open(self) -> Book:
        book = super().open()
        pages = (book.row("PRAGMA page_count") or (0,))[0]
        book.run(f"PRAGMA max_page_count = {pages + self.room if self.room is not None else 1 << 30}")
        return book


def test_full_then_room_is_made(path: Path, heard: Heard) -> None:
    new_house(path).close()
    writer = Small(path, heard, heard)
    writer.put([*OPENING, Assign(VISIT, "note", 0, None, "x" * 100_000, NOON, "Ferrow")])
    heard.wait(lambda said: isinstance(said[-1], str) and "no space" in said[-1])
    assert heard.saved == []
    writer.room = None
    heard.wait(lambda said: said[-2:] == [None, 3])
    assert writer.close(WAIT) == []
    with open_book(path) as book:
        assert len(read.last_visits(book, 1, 1)[0].note) == 100_000


@pytest.mark.skipif(os.name == "nt", reason="no limits on files there")
def test_the_system_refuses_to_let_the_file_grow(path: Path) -> None:
    """What a full disk looks like from below: writes fail, then work again."""
    new_house(path).close()
    code = """
        import resource, sys
        from rounds.records.entries import Assign, OpenRound, OpenVisit
        from rounds.store.writer import Writer
        heard = []
        w = Writer(sys.argv[1], lambda n: print("saved", n), lambda t: print("trouble", t))
        w.put([OpenRound(b"r" * 16, "Ferrow", 1, 1, "UTC"), OpenVisit(b"v" * 16, b"r" * 16, 1, 1, 1)])
        assert w.drain(20)
        hard = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
        resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, hard))
        w.put([Assign(b"v" * 16, "note", 0, None, "x" * 400_000, 2, "Ferrow")])
        sys.stdin.readline()
        resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))
        assert w.drain(20)
        print("left", w.close(20))
    """
    with children.start(code, path) as child:
        assert child.stdout is not None
        assert child.stdin is not None
        assert child.stdout.readline() == "saved 2\n"
        said = child.stdout.readline()
        assert said.startswith(f"trouble {path}: ")
        assert "disk" in said
        child.stdin.write("\n")
        child.stdin.flush()
        rest = child.stdout.read().splitlines()
    assert rest[-3:] == ["trouble None", "saved 3", "left []"]


@pytest.mark.skipif(os.name == "nt", reason="rights of another kind")
def test_read_only_hands_everything_back(tmp_path: Path) -> None:
    path = tmp_path / "house" / "tarn.book"
    new_house(path).close()
    children.open_to_all(path.parent)
    path.chmod(0o444)
    code = """
        import sys
        from rounds.records.entries import OpenRound
        from rounds.store.writer import Writer
        w = Writer(sys.argv[1], lambda n: print("saved", n), lambda t: print("trouble", t))
        w.put([OpenRound(b"r" * 16, "Ferrow", 1, 1, "UTC")])
        print(w.drain(0.5), len(w.close(0.1)))
    """
    exit_code, out, _ = children.run(code, path, unprivileged=True)
    assert exit_code == 0
    assert "saved" not in out
    assert "the book is read-only" in out
    assert out.endswith("False 1\n")


def test_a_book_moved_away_is_not_written_to(path: Path, writer: Writer, heard: Heard) -> None:
    """SQLite would go on writing into the file that no path leads to."""
    writer.put(OPENING)
    assert writer.drain(WAIT)
    away = path.with_name("away.book")
    os.rename(path, away)
    writer.put([put_dead(0)])
    heard.wait(lambda said: isinstance(said[-1], str))
    assert 3 not in heard.said
    os.rename(away, path)
    heard.wait(lambda said: said[-1] == 3)
    assert stored(path) == 0


def test_an_entry_that_can_never_be_written_does_not_block_the_others(
    path: Path, writer: Writer, heard: Heard
) -> None:
    lost = Assign(b"?" * 16, "dead", 1, None, 1, NOON, "Ferrow")
    orphan = OpenVisit(b"w" * 16, ROUND, 999, 2, NOON)  # no such enclosure
    writer.put([*OPENING, put_dead(0), lost, orphan, put_dead(1)])
    heard.wait(lambda said: isinstance(said[-1], str))
    assert "2 entries cannot be written" in str(heard.said[-1])
    writer.put([put_dead(2)])
    assert not writer.drain(WAIT)
    assert stored(path) == 2
    assert max(heard.saved) == 3  # never past the first that is not in the book
    assert heard.said[-1] is not None
    assert writer.close(WAIT) == [lost, orphan]


def test_a_listener_that_fails_does_not_stop_the_saving(path: Path, caplog: pytest.LogCaptureFixture) -> None:
    new_house(path).close()

    def broken(_: object) -> None:
        raise RuntimeError("the screen is gone")

    writer = Writer(path, broken, broken)
    writer.put(OPENING)
    writer.put([put_dead(0)])
    assert writer.drain(WAIT)
    writer.put([put_dead(1)])
    assert writer.close(WAIT) == []
    assert stored(path) == 1
    assert "a listener of the writer failed" in caplog.text


def test_a_closed_writer_takes_nothing(writer: Writer) -> None:
    assert writer.close(WAIT) == []
    with pytest.raises(RuntimeError):
        writer.put(OPENING)


def test_the_log_is_folded_in_when_a_round_is_over(path: Path, writer: Writer) -> None:
    writer.put([*OPENING, *(put_dead(n) for n in range(100))])
    assert writer.drain(WAIT)
    assert Path(f"{path}-wal").stat().st_size > 0
    writer.put([CloseRound(ROUND, NOON, (2, 3))])
    assert writer.close(WAIT) == []
    assert not Path(f"{path}-wal").exists() or Path(f"{path}-wal").stat().st_size == 0


def in_the_file_alone(path: Path) -> int:
    """How many readings the file holds without its log."""
    db = connect(path, WITHOUT_LOG)
    try:
        return int(run(db, "SELECT count(*) FROM change").fetchone()[0])
    finally:
        db.close()


def test_the_log_is_folded_in_by_a_lull_and_not_by_a_key(
    path: Path, heard: Heard, monkeypatch: pytest.MonkeyPatch
) -> None:
    new_house(path).close()
    monkeypatch.setattr(store_writer, "LULL", 3600.0)  # no lull comes
    writer = Writer(path, heard, heard)
    writer.put(OPENING)
    for n in range(store_writer.FOLD_AFTER + 40):
        writer.put([put_dead(n)])
        assert writer.drain(WAIT)
    before = in_the_file_alone(path)
    assert before == 0  # about 1,400 pages: SQLite alone would have folded them in within a commit
    monkeypatch.setattr(store_writer, "LULL", 0.01)
    writer.put([put_dead(store_writer.FOLD_AFTER + 40)])
    until = time.monotonic() + WAIT
    while in_the_file_alone(path) == 0:
        assert time.monotonic() < until
        time.sleep(0.02)
    assert writer.close(WAIT) == []


def test_two_programs_write_into_one_book(path: Path) -> None:
    new_house(path).close()
    code = """
        import sys
        from rounds.records.entries import Assign, OpenRound, OpenVisit
        from rounds.store.writer import Writer
        who = sys.argv[2]
        r, v = who.encode() * 16, who.encode().upper() * 16
        w = Writer(sys.argv[1], lambda n: None, lambda t: None)
        w.put([OpenRound(r, who, 1, 1, "UTC"), OpenVisit(v, r, 1, 1, 1)])
        for n in range(150):
            w.put([Assign(v, f"k{n}", 1, None, n, n, who)])
            w.drain(20)
        print(w.close(20))
    """
    with children.start(code, path, "a") as one, children.start(code, path, "b") as two:
        assert [one.communicate(timeout=60)[0], two.communicate(timeout=60)[0]] == ["[]\n", "[]\n"]
    with open_book(path) as book:
        assert [len(s.read) for s in read.last_visits(book, 1, 5)] == [150, 150]
