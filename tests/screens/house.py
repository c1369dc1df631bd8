"""Walks over the invented house on a fixed day with a fixed clock, and every place a screen can be at."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from functools import cache
from pathlib import Path

from rounds.config import Config, read
from rounds.keys.menu_keys import keys_of_entry
from rounds.presenters.lines import Line
from rounds.screens.board import compose
from rounds.settings.layers import layers
from rounds.walk.core import Walk
from tests.walk.machine.desk import LETTERS
from tests.walk.machine.ways_into_modes import WAYS, keys_into

DAY = date(2026, 3, 1).toordinal()
SIZES = ((80, 24), (120, 40), (40, 10))

NAMED = {"space": " ", "enter": "\r", "backspace": "\x7f", "up": "\x1b[A", "down": "\x1b[B"}

# At an enclosure with two open actions and a past.
TOLD = {
    "walk": ("m", "3"),
    "action": ("1",),
    "card": ("act:dead",),
    "weighing": ("at:7",),
    "series": ("act:weigh", "2", "0", "space", "space", "space", "1", "enter"),
    "sure": ("act:move-box", "1", "enter"),
    "acting": ("act:search", "1", "enter", "1"),
    "older": ("4",),
    "due": ("at:35",),
}
"""What a way into a mode (``ways_into_modes``) is told here."""
MODES = {mode: keys_into(mode, LETTERS, TOLD) for mode in WAYS if mode != "menu"}
"""Every mode that letters lead to: they have no menu (``tests/presenters/test_numbers.py`` has one)."""
# More that a screen can show, without a mode of its own.
PLACES = {
    "summary": ("v",),
    "summary's help": ("v", "?"),
    "correcting": ("c", "1"),
    "half typed": ("i", "1"),
    "a code half typed": ("g", "T", "L"),
    "days half typed": ("p", "1", "1", "4"),
    "a reason half typed": ("p", "1", "1", "4", "enter", *"jelly is out"),
    "a card with a caution": ("y", "act:given-away"),
    "a text half typed on a card": ("y", "act:lock", "1", "space", *"not"),
    "acts with their cards": ("y", "/"),
    "a note half typed": ("n", *"dry at the wall"),
    "every reading": ("l", "l"),
    "second page of help": ("?", "down"),
    "more other readings": (".", "0"),
    "noted": ("n", *"a note", "enter", "b"),
    "skipped": ("s", "1", "b"),
    "refused": ("k", "9", "%"),
}
KEYS = {**MODES, **PLACES}


class Clock:
    """Seven o'clock of the fixed day, a second later at every look."""

    def __init__(self) -> None:
        self.at_ms = (DAY - date(1970, 1, 1).toordinal()) * 86_400_000 + 7 * 3_600_000

    def __call__(self) -> int:
        self.at_ms += 1_000
        return self.at_ms


@cache
def shipped() -> Config:
    return read(layers(None)[:1])


@contextmanager
def walking(book: Path, config: Config | None = None, day: int = DAY, name: str = "") -> Iterator[Walk]:
    walk = Walk(book, config or shipped(), day=day, clock=Clock(), name=name)
    try:
        yield walk
    finally:
        assert walk.close(10) is None


def copied(book: Path, to: Path) -> Path:
    """A copy to walk on; the book is closed and has no log beside it."""
    path = to / "book.sqlite"
    shutil.copyfile(book, path)
    return path


def press(walk: Walk, *keys: str) -> None:
    for key in keys:
        for k in resolved(walk, key):
            walk.press(k)
    assert walk.drain(10)


def resolved(walk: Walk, key: str) -> list[str]:
    """``act:lock`` as the keys that choose that act where acts are listed, nine to a page; ``at:7`` as those that go there.

    Other keys are as they are.
    """
    if key.startswith("at:"):
        go_key = next(k for k, c in walk.desk.commands.items() if c == "go")
        return [*keys_of_entry(go_key, walk.desk.commands), *key.removeprefix("at:"), "enter"]
    name = key.removeprefix("act:")
    if name == key:
        return [key]
    at = [o.act for o in walk.desk.offers(walk.state.at)].index(name)
    return [*"0" * (at // 9), str(at % 9 + 1)]


def go(walk: Walk, number: int) -> None:
    press(walk, f"at:{number}")


def text(lines: list[Line]) -> list[str]:
    """What is left of a screen when every style is taken away."""
    return ["".join(part for part, _ in line) for line in lines]


def screen(walk: Walk, width: int, height: int) -> list[str]:
    return text(compose(walk, width, height))
