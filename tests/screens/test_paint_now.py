"""What is sent for changed cells, fed to a terminal emulator: the same screen as when whole lines are sent."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Any

import pyte
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.color import ColorSystem
from rich.console import Console

from rounds.presenters.changed_cells import stretches
from rounds.presenters.lines import STYLES, Line, cut
from rounds.screens import palettes
from rounds.screens.paint_now import ChangedCells, Piece

WIDTH, HEIGHT = 24, 3
LINES = st.lists(st.tuples(st.text("abc ·✓é", max_size=9), st.sampled_from(STYLES)), max_size=5).map(
    lambda runs: cut(runs, WIDTH)
)
SCREENS = st.lists(LINES, min_size=HEIGHT, max_size=HEIGHT)


def sent(terminal: Any, pieces: Sequence[Piece], look: str) -> int:
    console = Console(force_terminal=True, color_system="256", width=WIDTH)
    assert console.color_system == "256"
    update = ChangedCells(pieces, palettes.styles(look)).render_segments(console)
    pyte.Stream(terminal).feed(update)
    return len(update)


def whole(screen: Sequence[Line]) -> list[Piece]:
    return [Piece(0, y, line) for y, line in enumerate(screen)]


def looks(terminal: Any) -> list[list[Any]]:
    return [[terminal.buffer[y][x] for x in range(WIDTH)] for y in range(HEIGHT)]


@pytest.mark.parametrize("look", ["dark", "terminal"])
@given(screens=st.lists(SCREENS, min_size=2, max_size=4))
def test_changes_paint_what_whole_lines_paint(look: str, screens: list[list[Line]]) -> None:
    changing = pyte.Screen(WIDTH, HEIGHT)
    sent(changing, whole(screens[0]), look)
    for old, new in itertools.pairwise(screens):
        pieces = [
            Piece(s.x, y, s.runs)
            for y, (was, now) in enumerate(zip(old, new, strict=True))
            for s in stretches(was, now)
        ]
        if pieces:
            sent(changing, pieces, look)
    anew = pyte.Screen(WIDTH, HEIGHT)
    sent(anew, whole(screens[-1]), look)
    assert looks(changing) == looks(anew)


def test_one_sign_costs_a_move_and_a_style() -> None:
    console = Console(force_terminal=True, color_system="256", width=WIDTH)
    assert console._color_system is ColorSystem.EIGHT_BIT
    update = ChangedCells([Piece(6, 1, (("✓", "saved"),))], palettes.styles("terminal"))
    assert update.render_segments(console) == "\x1b[2;7H✓\x1b[0m"
