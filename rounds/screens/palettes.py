"""Looks by name, as small data: how runs of text are painted. One becomes styles when a walk opens.

A style's name says what a run of text is (rounds.presenters.lines.STYLES), ``PAINTED`` which role
it has and which shape, and a palette what colours the roles have. Whatever differs in colour
differs in words or signs as well, so that every palette shows everything. Colours are those of
the 256-colour cube, which any terminal with colours shows alike.
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
    """The colours of the roles: of letters, or ``letters on ground``; ground is that of every other cell.

    An empty one is the terminal's own.
    """

    text: str = ""
    ground: str = ""
    quiet: str = ""
    accent: str = ""
    good: str = ""
    attention: str = ""
    danger: str = ""
    selection: str = ""
    title: str = ""


class Paint(NamedTuple):
    """A role's name in Palette, the shapes that go with its colours, and those that stand in for colours."""

    role: str
    shapes: str = ""
    without_colour: str = ""

    def how(self, palette: Palette) -> str:
        """The style as rich reads it, colours of the role included where the palette has any of its own."""
        colours = getattr(palette, self.role)
        own = colours and colours != palette.text
        return f"{self.shapes} {colours}" if own else f"{self.shapes} {self.without_colour}"


PAINTED: Mapping[str, Paint] = {
    "": Paint("text"),
    "strong": Paint("text", "bold"),
    "code": Paint("text", "bold"),
    "faint": Paint("quiet"),
    "bar": Paint("title", "", "reverse"),
    "lock": Paint("text", "bold reverse"),
    "key": Paint("accent", "bold"),
    "saved": Paint("good"),
    "look": Paint("attention"),
    "today": Paint("attention", "bold"),
    "now": Paint("danger", "bold", "reverse"),
    "cursor": Paint("selection", "bold", "reverse"),
}
"""How every style is painted, in every palette: bold and reverse alone where roles have no colours."""

PALETTES = {
    "dark": Palette(
        text="#e4e4e4",
        ground="#1c1c1c",
        quiet="#b2b2b2",
        accent="#5fd7d7",
        good="#87d787",
        attention="#ffaf5f",
        danger="#ffffff on #af0000",
        selection="#ffffff on #005f87",
        title="#e4e4e4 on #3a3a3a",
    ),
    "light": Palette(
        text="#121212",
        ground="#ffffff",
        quiet="#4e4e4e",
        accent="#005f87",
        good="#005f00",
        attention="#870000",
        danger="#ffffff on #af0000",
        selection="#ffffff on #005f87",
        title="#121212 on #afd7ff",
    ),
    # The terminal's sixteen colours may be too light or too dark on a ground nobody knows: none is used.
    "terminal": Palette(),
    # Red light alone: eyes stay used to the dark, and beetles hardly see it. The next red of the cube has a
    # contrast of 3.9 to 1 on black, too little to be read, so that every role has the same one.
    "red": Palette(text="#ff0000", ground="#000000"),
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
    palette = PALETTES[name] if colour else PALETTES["terminal"]
    base = Style(color=palette.text or None, bgcolor=palette.ground or None)
    return {style: base + Style.parse(paint.how(palette)) for style, paint in PAINTED.items()}
