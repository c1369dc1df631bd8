"""The board paints by itself what the library would paint a clock's turn later: the same cells, and no others."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from rich.style import Style
from textual.app import App
from textual.geometry import Region
from textual.pilot import Pilot
from textual.widget import Widget

from rounds.screens import board as board_module
from rounds.screens import paint_now
from rounds.screens.app import NOT_HERE, WalkApp
from rounds.screens.board import Board
from rounds.walk.core import Walk
from rounds.walk.machine.mode import Walking
from tests.screens import house
from tests.screens.test_screens import settled

KEYS = {"a question": (), "flags": ("m", "4"), "summary": ("v",), "help": ("?",), "rack": ("right", "3")}


def at_a_board(book: Path, size: tuple[int, int], look: Callable[[Board, Walk, Pilot[Any]], Any]) -> None:
    async def looking() -> None:
        with house.walking(book) as walk:
            app = WalkApp(walk)
            async with app.run_test(size=size) as pilot:
                await settled(walk, pilot)
                await look(app.screen.query_one(Board), walk, pilot)
                walk.state = walk.state._replace(mode=Walking(), pages=())
                await pilot.press("q")

    asyncio.run(looking())


@pytest.mark.parametrize("size", house.SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
def test_its_lines_are_those_the_library_would_make_of_them(book: Path, size: tuple[int, int]) -> None:
    async def look(board: Board, walk: Walk, pilot: Pilot[Any]) -> None:
        for keys in KEYS.values():
            walk.state = walk.state._replace(mode=Walking(), pages=())
            await pilot.press("g", "7", "enter", *keys)
            assert walk.drain(10)
            await pilot.pause()
            board.repaint()
            region = Region(0, 0, *size)
            ours = board.render_lines(region)
            board._styles_cache.clear()
            assert ours == Widget.render_lines(board, region)
            assert ours is not board.strips
            upper = Region(0, 1, size[0], 3)
            assert board.render_lines(upper) == Widget.render_lines(board, upper)
            narrow = Region(2, 0, size[0] - 2, 3)
            assert board.render_lines(narrow) == Widget.render_lines(board, narrow)

    at_a_board(book, size, look)


def test_a_line_is_painted_within_the_call_and_alone(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def look(board: Board, walk: Walk, pilot: Pilot[Any]) -> None:
        painted: list[Any] = []
        monkeypatch.setattr(board.app, "_display", lambda _, update: painted.append(update))
        walk.say("something to show in one line")
        board.rendered = -1.0  # nothing was painted for a while
        board.repaint()
        (y,) = (y for y, line in enumerate(house.text(board.shown)) if "something to show" in line)
        assert [{piece.y for piece in update.pieces} for update in painted] == [{y}]
        assert "something to show" in "".join(text for p in painted[0].pieces for text, _ in p.runs)

        walk.say("and another thing")
        board.rendered = asyncio.get_running_loop().time() + 60  # painted only just now
        board.repaint()
        assert len(painted) == 1, "left to the library's clock, which joins such paints"
        async with asyncio.timeout(60):
            while len(painted) < 2 or painted[-1] is None:
                await pilot.pause()
        assert "and another" in painted[-1].chops[y][0].text

    at_a_board(book, (80, 24), look)


def test_a_line_that_was_left_to_the_library_is_sent_whole(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Only what differs from a line that was never painted would leave a number on the screen that nobody said."""

    async def look(board: Board, walk: Walk, pilot: Pilot[Any]) -> None:
        painted: list[Any] = []
        walk.say("9 of these are on the screen")
        board.rendered = -1.0
        board.repaint()
        monkeypatch.setattr(board.app, "_display", lambda _, update: painted.append(update))
        walk.say("12 of these are left to the library")
        board.rendered = asyncio.get_running_loop().time() + 60  # painted only just now
        board.repaint()
        walk.say("13 of these are left to the library")
        board.rendered = -1.0
        board.repaint()
        said = ["".join(text for text, _ in piece.runs) for piece in painted[-1].pieces if piece.x == 0]
        assert any(line.startswith(" 13 of these") for line in said)

    at_a_board(book, (80, 24), look)


def test_nothing_is_painted_of_what_has_not_changed(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async def look(board: Board, walk: Walk, pilot: Pilot[Any]) -> None:
        painted: list[Any] = []
        monkeypatch.setattr(board.app, "_display", lambda _, update: painted.append(update))
        board.rendered = -1.0
        board.repaint()
        assert not painted

    at_a_board(book, (80, 24), look)


@pytest.mark.parametrize("part", ["", "BATCHES", "DISPLAY", "UPDATE"])
def test_every_key_is_seen_also_without_the_librarys_private_parts(
    book: Path, monkeypatch: pytest.MonkeyPatch, part: str
) -> None:
    """A later version of the library may not have them: then it paints by its own clock."""
    sent: dict[int, str] = {}  # by line, what the terminal was last sent
    at_once: list[bool] = []

    def display(_: Any, update: Any) -> None:
        if hasattr(update, "pieces"):
            for piece in update.pieces:
                line, said = sent[piece.y], "".join(text for text, _ in piece.runs)
                sent[piece.y] = line[: piece.x] + said + line[piece.x + len(said) :]
        elif hasattr(update, "spans"):
            sent.update({y: update.chops[y][0].text for y, _, _ in update.spans})
        elif hasattr(update, "strips"):
            sent.update({y: "".join(s.text for s in strip) for y, strip in enumerate(update.strips)})

    def painting(board: Widget, pieces: list[paint_now.Piece], styles: Mapping[str, Style]) -> bool:
        at_once.append(paint_now.paint_now(board, pieces, styles))
        return at_once[-1]

    async def look(board: Board, walk: Walk, pilot: Pilot[Any]) -> None:
        if part:
            monkeypatch.setattr(paint_now, part, None if part == "UPDATE" else "no_such_part")
        monkeypatch.setattr(board_module, "paint_now", painting)
        monkeypatch.setattr(board.app, "_display", display)
        board.repaint(whole=True)
        for key in ("g", "1", "4", "enter", "j", "1", "n", "d", "r", "y", "enter", "right", "left", "?"):
            board.rendered = -1.0  # nothing was painted for a while
            await pilot.press(key)
            assert walk.drain(10)
            async with asyncio.timeout(60):
                while [sent.get(y) for y in range(24)] != house.text(board.shown):
                    await pilot.pause(0.01)
        await pilot.press("?")

    at_a_board(book, (80, 24), look)
    assert at_once
    assert any(at_once) is not bool(part), "the control: with all of them, lines are painted at once"


def test_a_start_makes_nothing_of_the_library_that_nobody_sees(book: Path) -> None:
    """No styles of other widgets, no colours of a theme, no notices and tooltips: each was a part of every start."""

    async def look(board: Board, walk: Walk, pilot: Pilot[Any]) -> None:
        app = board.app
        assert list(board.screen.children) == [board]
        own = [source for _, source in app.stylesheet.source]
        assert own == ["WalkApp.DEFAULT_CSS", "WalkScreen.DEFAULT_CSS", "Board.DEFAULT_CSS"]
        assert board.size == app.size
        assert app.get_css_variables() == {}

    at_a_board(book, (80, 24), look)
    theirs: App[None] = App()
    with house.walking(book) as walk:
        ours = WalkApp(walk)
        assert [(getattr(theirs, name), getattr(ours, name)) for name in NOT_HERE] == [(False, True)] * 2
