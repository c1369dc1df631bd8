"""The number pad's layout on the screen: every mode at every size, its keys shown, none that a pad lacks."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from rounds.keys.menu_keys import keys_of_entry as pressed
from rounds.presenters.lines import size as cells
from rounds.screens.board import compose
from tests.screens import house, seen
from tests.screens.test_screens import update as update
from tests.walk.machine.ways_into_modes import WAYS, keys_into

NUMBERS = house.shipped().with_keys("numbers")
# At the enclosure of house.go(14): two open actions and a past.
TOLD = {
    **house.TOLD,
    "walk": (),
    "series": ("act:weigh", "2", "0", "+", "+", "+", "1", "enter"),
    "sure": ("act:search", "1", "enter"),
}
PLACES = {
    "menu's second page": ("/", "0"),
    "half typed": ("+", "1"),
    "summary": ("/", "6"),
    "page": ("/", "0", "3"),
    "find": ("/", "0", "4", "1"),
    "unknown key": ("left",),
}
KEYS = {**{mode: keys_into(mode, NUMBERS.commands, TOLD) for mode in WAYS}, **PLACES}
PICTURES = ("walk", "menu", "why", "summary")


@pytest.mark.parametrize("size", house.SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
@pytest.mark.parametrize("name", KEYS)
def test_every_mode_is_painted_whole_and_names_no_key_that_a_pad_has_not(
    book: Path, update: bool, name: str, size: tuple[int, int]
) -> None:
    with house.walking(book, NUMBERS) as walk:
        house.press(walk, "at:14", *KEYS[name])
        assert name in PLACES or walk.state.mode.name == name
        lines = compose(walk, *size)
        assert len(lines) == size[1]
        assert all(cells(line) == size[0] for line in lines)
        text = "\n".join(t.rstrip() for t in house.text(lines)) + "\n"
        assert not re.search(r"backspace|\bspace\b|\barrow\b", text)
        if name in PICTURES and size != house.SIZES[2]:
            seen.compare(f"pad-{name}-{size[0]}x{size[1]}.txt", text, update)


def test_a_key_shown_for_a_command_does_it_when_it_is_pressed(book: Path) -> None:
    """`/8` on the screen is `/` and then `8`."""
    with house.walking(book, NUMBERS) as walk:
        for key in pressed("/8", walk.desk.commands):
            walk.press(key)
        assert walk.state.mode.name == "help"
        walk.press("0")
        assert pressed("/03", walk.desk.commands) == ("/", "0", "3")
        assert pressed("/", walk.desk.commands) == ("/",)
        assert pressed("enter", walk.desk.commands) == ("enter",)


def test_num_lock_is_named_when_the_pad_sends_arrows(book: Path) -> None:
    with house.walking(book, NUMBERS) as walk:
        walk.press("left")
        assert "is Num Lock off?" in walk.state.message
    with house.walking(book) as walk:
        walk.press("home")
        assert "Num Lock" not in walk.state.message, "the control: letters have arrows"
