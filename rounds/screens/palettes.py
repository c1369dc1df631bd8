"""Palettes by name, as small data: how runs of text are painted. One becomes styles when a walk opens.

A style's name says what a run of text is (rounds.presenters.lines.STYLES), a palette how that is
painted. Whatever differs in colour differs in words or signs as well, so that every palette
shows everything; where colours are few, bold, underline and reverse tell runs apart. Colours
are those of the 256-colour cube, which any terminal with colours shows alike.
"""

from __future__ import annotations

import os
from collections.abc import Mapping

from rich.style import Style

from rounds.named_tuple import NamedTuple
from rounds.problems import RoundsError, nearest
from rounds.screens import program_end_sentences
from rounds.settings.choices import PALETTE_NAMES


class Palette(NamedTuple):
    """Text and ground (empty: the terminal's own) of every cell, and what single styles have instead."""

    text: str
    ground: str
    styles: Mapping[str, str]


_SHAPES = {
    "strong": "bold",
    "bar": "reverse",
    "cursor": "bold reverse",
    "code": "bold",
    "lock": "bold reverse",
}
"""What is the same in every palette."""
_FEW = {**_SHAPES, "key": "bold", "now": "bold reverse", "today": "bold underline", "look": "underline"}
"""What tells runs apart where colours do not."""

PALETTES = {
    "dark": Palette(
        "#e4e4e4",
        "#1c1c1c",
        {
            **_SHAPES,
            "faint": "#b2b2b2",
            "code": "bold #ffffff",
            "key": "bold #5fd7d7",
            "now": "bold #ffffff on #af0000",
            "today": "bold #ffaf5f",
            "look": "#ffd787",
            "saved": "#87d787",
        },
    ),
    "light": Palette(
        "#121212",
        "#ffffff",
        {
            **_SHAPES,
            "faint": "#4e4e4e",
            "code": "bold #000000",
            "key": "bold #005f87",
            "now": "bold #ffffff on #af0000",
            "today": "bold #870000",
            "look": "#5f0087",
            "saved": "#005f00",
        },
    ),
    # Of the sixteen only red, as a ground: the others may be too light or too dark on a ground nobody knows.
    "terminal": Palette("", "", {**_FEW, "now": "bold bright_white on red"}),
    # Red light alone: eyes stay used to the dark, and beetles hardly see it.
    "red": Palette("#ff0000", "#000000", _FEW),
}


def chosen(asked: str, setting: str) -> str:
    """The name of the palette: ``asked`` on the command line, else ROUNDS_LOOK, else the config's ``setting``.

    Raises RoundsError for a name no palette has, with the nearest.
    """
    for name, where in ((asked, "--look"), (os.environ.get("ROUNDS_LOOK", ""), "ROUNDS_LOOK")):
        if name and name not in PALETTES:
            near = nearest(name, PALETTES) or program_end_sentences.looks_are(PALETTE_NAMES)
            raise RoundsError(program_end_sentences.no_look(where, name, near))
        if name:
            return name
    return setting


def without_colour() -> bool:
    """Whether NO_COLOR asks for no colour at all: it is set, and not empty (no-color.org)."""
    return bool(os.environ.get("NO_COLOR"))


def styles(name: str, *, colour: bool = True) -> dict[str, Style]:
    """How every style is painted in a palette; without ``colour``, its shapes alone."""
    palette = PALETTES[name] if colour else Palette("", "", _FEW)
    base = Style(color=palette.text or None, bgcolor=palette.ground or None)
    plain = dict.fromkeys(("", "faint", "now", "today", "look", "saved", "key"), base)
    return {**plain, **{style: base + Style.parse(how) for style, how in palette.styles.items()}}
