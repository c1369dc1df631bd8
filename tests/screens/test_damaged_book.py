"""A book that turns out damaged while it is walked: said in words with the way back, wherever it is read, and nothing is lost."""

from __future__ import annotations

import asyncio
import io
import sqlite3
import sys
from collections.abc import Awaitable, Callable
from contextlib import closing, nullcontext
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from rounds.cli import run
from rounds.crash import EXIT_CRASH
from rounds.problems import EXIT_BOOK, EXIT_FINE
from rounds.screens import board as boards
from rounds.screens import run as runs
from rounds.screens.app import WalkApp
from rounds.screens.board import Board, compose
from rounds.store import database_errors, rescue
from rounds.store.book import open_book
from rounds.walk.core import Walk
from rounds.walk.machine.mode import Walking
from tests.screens import house
from tests.store.damaged_reads import Damage, malformed

Do = Callable[[Pilot[Any], Board], Awaitable[None]]


class Walked:
    """How the walk of a book ended: its exit code, what was said, what stood on the screen last."""

    def __init__(self, code: int, said: str, shown: str) -> None:
        self.code, self.said, self.shown = code, said, shown


@pytest.fixture
def damage(monkeypatch: pytest.MonkeyPatch) -> Damage:
    return Damage(monkeypatch)


def walked(
    book: Path,
    do: Do,
    damage: Damage,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Walked:
    """`rounds walk` with no terminal: one answer is typed and saved, then the book is damaged, then ``do``."""
    shown: list[str] = []

    async def at_the_keys(pilot: Pilot[Any]) -> None:
        board = pilot.app.query_one(Board)
        walk = board.walk
        await pilot.press("1")
        assert walk.drain(10)
        damage.there = True
        await do(pilot, board)
        for _ in range(20):
            if not pilot.app._exit:
                await pilot.pause(0.02)
        shown.append(" ".join("".join(text for text, _ in line) for line in board.shown))
        if not pilot.app._exit:
            walk.state = walk.state._replace(mode=Walking(), pages=())
            await pilot.press("q")

    start = WalkApp.run
    monkeypatch.setattr(runs, "check_terminal", lambda: None)
    monkeypatch.setattr(
        WalkApp, "run", lambda app: start(app, headless=True, size=(140, 40), auto_pilot=at_the_keys)
    )
    monkeypatch.setattr(Walk, "look_up_dues", lambda _: None)
    monkeypatch.setattr(runs, "back_up", lambda _: None)
    code = run(["--book", str(book), "--today", "2026-03-01", "walk"])
    err = capsys.readouterr()
    damage.there = False
    assert "Traceback" not in err.out + err.err
    return Walked(code, " ".join(err.err.split()), " ".join(shown[0].split()))


def pressed(*keys: str) -> Do:
    async def do(pilot: Pilot[Any], _board: Board) -> None:
        await pilot.press(*keys)

    return do


async def others_are_looked_for(_pilot: Pilot[Any], board: Board) -> None:
    with closing(sqlite3.connect(board.walk.path)) as db:
        db.execute("INSERT INTO keeper (name) VALUES ('Wren')")
        db.commit()
    board.look_about()


async def a_paint_reads(pilot: Pilot[Any], board: Board) -> None:
    """By a timer: nobody who pressed a key would catch what it raises."""
    boards.compose = _compose_reads
    asyncio.get_running_loop().call_later(0.001, board.repaint_late)
    await pilot.pause(0.05)
    boards.compose = compose


async def a_resize_reads(pilot: Pilot[Any], _board: Board) -> None:
    boards.compose = _compose_reads
    await pilot.resize_terminal(70, 20)
    await pilot.pause(0.05)
    boards.compose = compose


def _compose_reads(*_: object, **_more: object) -> Any:
    raise malformed()


ENDS: dict[str, Do] = {
    "the next boxes": pressed("space", "space", "space", "space"),
    "the rack": pressed("right"),
    "acts": pressed("y"),
    "older acts": pressed("c"),
    "the summary": pressed("v"),
    "others": others_are_looked_for,
    "a paint by a timer": a_paint_reads,
    "a resize": a_resize_reads,
}
"""What cannot go on without what it reads: the walk ends."""


def all_is_kept(book: Path) -> None:
    """The answer that was shown as saved is in the book, and no file with entries lies beside it."""
    with open_book(book) as opened:
        told = opened.rows(
            'SELECT number FROM cell c JOIN visit v ON v.id = c.visit JOIN "round" r ON r.id = v.round WHERE r.day = ?',
            (house.DAY,),
        )
    assert (1,) in told
    assert rescue.pending(book) == []


@pytest.mark.parametrize("where", ENDS)
def test_the_walk_ends_with_the_way_back(
    where: str,
    book: Path,
    damage: Damage,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    found = walked(book, ENDS[where], damage, monkeypatch, capsys)
    assert found.code == EXIT_BOOK
    assert found.said.startswith(f"{book}: the book is damaged.")
    assert "`rounds restore`" in found.said
    all_is_kept(book)


async def the_file_is_written_over(pilot: Pilot[Any], board: Board) -> None:
    """Every page but the first five, in place, as a failing disk does."""
    with board.walk.path.open("r+b") as file:
        for at in range(5 * 4096, board.walk.path.stat().st_size, 4096):
            file.seek(at)
            file.write(b"\xa5" * 4096)
    await pilot.press("space", "space", "right")


def test_a_file_that_is_really_damaged_under_the_walk(
    book: Path, damage: Damage, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    damage.only_in = "no thread"
    found = walked(book, the_file_is_written_over, damage, monkeypatch, capsys)
    assert found.code == EXIT_BOOK
    assert "the book is damaged." in found.said
    assert "`rounds restore`" in found.said


def test_control_without_the_words_it_is_called_a_mistake_of_the_program(
    book: Path, damage: Damage, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(database_errors, "in_words", lambda _: nullcontext())
    monkeypatch.setattr("rounds.crash.report", lambda error: f"a mistake: {error}")
    assert walked(book, ENDS["the rack"], damage, monkeypatch, capsys).code == EXIT_CRASH


LOOK_UP_DUES = Walk.look_up_dues


async def due_work(_pilot: Pilot[Any], board: Board) -> None:
    LOOK_UP_DUES(board.walk)
    assert board.walk.dues.finder is not None
    assert board.walk.dues.finder.wait(10)


async def find(pilot: Pilot[Any], board: Board) -> None:
    await pilot.press("/", *"smells")
    assert board.walk.pages.lookup.behind.wait(10)


BESIDE: dict[str, tuple[str, Do]] = {"due work": ("rounds-due", due_work), "find": ("rounds-behind", find)}
"""What is worked out beside the keys, by a thread of its own."""


@pytest.mark.parametrize("what", BESIDE)
def test_what_is_worked_out_beside_the_keys_says_so_where_it_would_stand_and_the_walk_goes_on(
    what: str, book: Path, damage: Damage, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    damage.only_in, do = BESIDE[what]
    found = walked(book, do, damage, monkeypatch, capsys)
    assert "could not be worked out" in found.shown
    assert "the book is damaged" in found.shown
    assert found.code == EXIT_FINE
    all_is_kept(book)


def test_what_could_not_be_saved_is_said_beside_the_damage(
    book: Path, damage: Damage, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing can be written any more either: what waits goes into a file, and both are said."""

    monkeypatch.setattr(runs, "CLOSE_SECONDS", 0.3)
    with closing(sqlite3.connect(book, isolation_level=None)) as another:

        async def do(pilot: Pilot[Any], _board: Board) -> None:
            another.execute("BEGIN IMMEDIATE")
            await pilot.press("2", "right")

        found = walked(book, do, damage, monkeypatch, capsys)
    assert found.code == EXIT_BOOK
    (file,) = rescue.pending(book)
    assert file.name in found.said
    assert "the book is damaged" in found.said


class Typed(io.StringIO):
    """Lines as they are typed; from the fourth on the book is damaged."""

    damage: Damage

    def readline(self, size: int | None = -1, /) -> str:  # type: ignore[override]
        line = super().readline()
        self.damage.there = self.damage.there or "jelly" in line
        return line


@pytest.mark.parametrize("then", ["next", "rack", "record", "summary", "correct"])
def test_a_walk_in_lines_ends_so_too(
    then: str, book: Path, damage: Damage, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(Walk, "look_up_dues", lambda _: None)
    typed = Typed(f"1\nnote jelly\n{then}\nnext\nnext\nnext\nquit\n")
    typed.damage = damage
    monkeypatch.setattr(sys, "stdin", typed)
    code = run(["--book", str(book), "--today", "2026-03-01", "walk", "--plain"])
    damage.there = False
    said = capsys.readouterr()
    assert "Traceback" not in said.out + said.err
    assert code == EXIT_BOOK, said.out
    assert "the book is damaged" in said.err
    assert "`rounds restore`" in said.err
    all_is_kept(book)
