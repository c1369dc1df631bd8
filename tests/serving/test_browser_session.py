"""One walk's process: ended in order, and by force where it does not end; what it could not save is kept."""

from __future__ import annotations

import asyncio
import contextlib
import json
import signal
import sqlite3
import sys
import time
from pathlib import Path

import pytest

from rounds.problems import EXIT_BOOK
from rounds.screens.run import SERVED
from rounds.serving import browser_session as sessions
from rounds.serving.browser_session import Session, why
from tests.endtoend import rack

pytestmark = [pytest.mark.long, pytest.mark.waits]
HANGS = """
import pathlib, signal, sys, time
for number in (1, 2, 15):
    signal.signal(number, signal.SIG_IGN)
pathlib.Path(sys.argv[1]).touch()
print("__GANGLION__", flush=True)
time.sleep(600)
"""


@pytest.fixture(autouse=True)
def hurry(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    # It stays after the first word, for something is not saved; then it gets all the time it needs.
    monkeypatch.setattr(sessions, "LEAVE_SECONDS", (0.5, 60.0))
    monkeypatch.chdir(Path(__file__).resolve().parents[2])
    monkeypatch.setenv("TMPDIR", str(tmp_path))


async def painted(received: list[bytes], words: bytes) -> None:
    end = time.monotonic() + 30
    while words not in b"".join(received):
        assert time.monotonic() < end, b"".join(received)[-2000:]
        await asyncio.sleep(0.02)


def test_a_walk_that_hangs_is_ended_by_force(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sessions, "LEAVE_SECONDS", (0.1, 0.1))
    deaf = tmp_path / "deaf"

    async def run() -> Session:
        session = Session([sys.executable, "-c", HANGS, str(deaf)], SERVED, received_by([]))
        await session.start(80, 24)
        while not deaf.exists():  # before that a signal would end it
            await asyncio.sleep(0.01)
        await asyncio.gather(session.stop(), session.stop())
        return session

    session = asyncio.run(run())
    assert session.code == -signal.SIGKILL
    assert why(session) == (4001, "the walk ended with exit code -9")


def test_the_page_hears_what_is_wrong_with_the_book_and_not_where_it_lies() -> None:
    """A close reason holds 123 bytes (RFC 6455, 5.5): the path of a book could take them all."""
    book = f"/{'house' * 30}/tarn.sqlite"
    session = Session(["rounds", "--book", book, "walk"], SERVED, received_by([]))
    session.code, session.said = (
        3,
        f"{book}: the book is damaged. Leave it as it is. `rounds restore` lists the backups",
    )
    assert why(session)[1].startswith("the book is damaged. Leave it as it is. `rounds restore`")


def received_by(received: list[bytes]) -> sessions.Send:
    async def send(data: bytes) -> None:
        received.append(data)

    return send


@pytest.mark.parametrize("page", ["there", "gone"])
def test_what_a_full_disk_does_not_take_is_kept_in_a_file(book: Path, tmp_path: Path, page: str) -> None:
    """The page is gone while nothing can be saved: the walk still ends, and the next start takes it in."""
    received: list[bytes] = []
    note = "z" * 300
    with contextlib.closing(sqlite3.connect(book)) as db:
        pages = int(db.execute("PRAGMA page_count").fetchone()[0])

    async def send(data: bytes) -> None:
        received.append(data)
        if page == "gone" and b"NOT SAVED" in b"".join(received):
            raise ConnectionResetError

    async def run() -> Session:
        session = Session(rack.worse(book, "--touch", pages=pages), SERVED, send)
        await session.start(113, 33)
        await painted(received, b"of 60")
        assert await session.take(json.dumps(["stdin", f"n{note}"])) == ""
        await painted(received, b"NOT SAVED")
        await session.stop()
        return session

    session = asyncio.run(run())
    assert session.code == EXIT_BOOK
    assert "What was not saved is kept in" in " ".join(session.said.split())
    assert note not in rack.cells_today(book).values()
    assert len(list(book.parent.glob("book.sqlite.unsaved-*.jsonl"))) == 1
    assert rack.opened(book, rack.config()).close(30) is None  # the next start takes it in
    assert note in rack.cells_today(book).values()


def test_a_ping_is_answered_and_nonsense_is_an_error() -> None:
    async def run() -> None:
        session = Session(["x"], SERVED, received_by([]))
        assert await session.take('["ping", "12"]') == '["pong", "12"]'
        assert await session.take('["focus"]') == await session.take('["blur"]') == ""
        for text in ("", "nonsense", "null", '["ping", 1]', '["stdin"]', "[" * 100_000):
            with pytest.raises(ValueError, match=r"."):
                await session.take(text)

    asyncio.run(run())


def test_a_reason_fits_a_close_frame() -> None:
    """RFC 6455 section 5.5: a control frame holds at most 125 bytes, two of which are the code."""

    async def run() -> None:
        session = Session(["x"], SERVED, received_by([]))
        session.code, session.said = 3, "first\n" + "ü" * 300
        code, reason = why(session)
        assert code == 4001
        assert 100 < len(reason.encode()) <= 123
        for code_ in sessions.ENDS:
            session.code = code_
            assert why(session) == (4000, "")

    asyncio.run(run())
