"""Looking into the books in the middle of a round, typed at the real program, while recording goes on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.endtoend import rack
from tests.endtoend.terminal import Terminal

pytestmark = pytest.mark.pty


def test_from_the_walk_to_the_rack_and_an_animal_and_back(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.press("g", "1", "4", "enter")
    terminal.wait_for("25 of 60")
    terminal.press("3")
    terminal.wait_for("1 saved")
    terminal.press("right", "1")
    terminal.wait_for("the rack, 60 boxes")
    terminal.wait_for(">TL-014 .* ✓")  # it was just looked at
    terminal.press("right", "right")
    terminal.wait_for(">TL-016")
    terminal.press("enter")
    terminal.wait_for("box TL-016 ← the rack")
    terminal.press("4")
    terminal.wait_for("animals ← box TL-016")
    terminal.press("down", "enter")
    terminal.wait_for("animal KESTREL K12 f ← animals")
    terminal.press("b", "b", "b", "b", "b")
    terminal.wait_for("25 of 60")
    terminal.press("2", "enter")
    terminal.wait_for("2 saved")
    terminal.press("q")
    assert terminal.ended() == 0
    cells = rack.cells_today(book)
    assert cells["TL-014", "jelly_gone"] == 3
    assert cells["TL-014", "jelly_in"] == 2


def test_typed_in_one_burst_it_ends_the_same(book: Path, begin: Callable[..., Terminal]) -> None:
    """Readings, pages, an action done from the list, something looked for, and readings again."""
    keys = [
        "g",
        "1",
        "4",
        "enter",
        "3",
        "right",
        "1",
        "right",
        "right",
        "enter",
        "4",
        "down",
        "enter",
        *"bbbbb",
        "right",
        "3",
        "down",
        "down",
        "d",
        "b",
        "b",
        "/",
        *"p-12",
        "enter",
        "left",
        *["backspace"] * 4,
        "left",
        "2",
        "enter",
        "q",
    ]
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.press(*keys)
    assert terminal.ended() == 0
    cells = rack.cells_today(book)
    assert cells["TL-014", "jelly_gone"] == 3
    assert cells["TL-014", "jelly_in"] == 2
    walk = rack.opened(book, rack.config())
    assert walk.route.label(walk.state.at) == "TL-014"
    assert len([a for i in range(walk.route.count()) for a in walk.desk.actions(i)]) == 9, (
        "one of ten is done"
    )


def test_a_pair_is_found_with_what_was_seen_of_it(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.press("/", *"umber/13", "space", *"umber/14")
    screen = terminal.wait_for(lambda text: "P-12" in text and "notes of visits" in text and "none" in text)
    assert "1 mating seen" in screen
    assert "mating   UMBER 13 m" in screen
    terminal.press("enter")
    terminal.wait_for("pairing P-12 ← find")
    terminal.press("q")
    assert terminal.ended() == 0
    assert rack.cells_today(book) == {}
