"""Big keys at the foot of the screen, for a finger where there is no keyboard.

Pure: a walk and a size in, keys with their places and lines out. A key stands at the same
place at every enclosure, so that a thumb finds it without looking; what a digit means at the
moment is written into it, and a key without meaning at the moment leaves its place empty.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from rich.cells import cell_len

from rounds.presenters import footer
from rounds.presenters.lines import BLANK, Line, cut, fit
from rounds.presenters.touch import WHOLE, keys_of
from rounds.walk.core import Walk
from rounds.walk.machine import steps

DIGITS = "1234567890"
RUB_OUT = "backspace"
UP_AND_DOWN = ("reading_up", "reading_down")
FIRST = ("next", "back", "reading_up", "reading_down", RUB_OUT, "note", "undo", "go", "skip", "help")
"""The first row under the digits: commands, and one key that is none."""
SIGNS = {"enter": "↵", "backspace": "⌫", "space": "␣", **footer.ARROWS}
SHORT = {
    "go to no.": "go to",
    "walk to no.": "walk to",
    "back to the walk": "the walk",
    "go there": "go",
    "last enclosure": "last",
    "go on": "on",
    "record an act": "record",
    "look closer": "closer",
    "other reading": "other",
    "work done": "done",
    "correct a visit": "correct",
}
"""Words of the small keys that a large one has no room for."""
TYPING = {"next": ("enter", "done"), RUB_OUT: (RUB_OUT, "rub out"), "note": ("space", "space")}
"""What the first row holds while something is typed; while something is chosen it is rub out alone."""
LEAST_WALK = 18  # lines that the walk keeps above the keys, on a screen that has as many and more
LEAST_TINY = 10
WIDE, NARROW = 60, 30  # a screen this wide holds ten keys beside each other, or five


class Big(NamedTuple):
    """A key and its place: the cells it covers, the key it presses, the word in it."""

    x: int
    y: int
    width: int
    height: int
    key: str
    word: str

    def covers(self, x: int, y: int) -> bool:
        return self.x <= x < self.x + self.width and self.y <= y < self.y + self.height


class Block(NamedTuple):
    """The foot of a screen: its lines from ``top`` on are the keys', those without a key too."""

    top: int
    keys: tuple[Big, ...] = ()

    def hit(self, x: int, y: int) -> str | None:
        """The key at a cell, or None."""
        return next((k.key for k in self.keys if k.covers(x, y)), None)


def block(walk: Walk, width: int, height: int) -> Block:
    """The big keys of a screen of ``width`` and ``height`` cells, each at least 6 by 3.

    None where the screen is too small for them and the walk: then only the small keys of the
    lines can be tapped.
    """
    columns = 10 if width >= WIDE else 5 if width >= NARROW else 0
    if not columns:
        return Block(height)
    first, rest = _commands(walk)
    offered = dict(_offers(walk))
    digits = [(d, offered.pop(d, "")) for d in DIGITS]
    other = list(offered.items())
    for rows, slots in ((4, [*first, *rest]), (3, [*first, *rest]), (3, first)):
        bands = [*_bands(other, columns), *_bands(digits, columns), *_bands(slots, columns)]
        least = LEAST_WALK if height >= 24 else max(LEAST_TINY, (height + 1) // 2)
        if height - rows * len(bands) >= (least if rows == 3 else LEAST_WALK + 6):
            return _placed(bands, rows, width // columns, height)
    return Block(height)


def lines(shown: Block, width: int, height: int) -> list[Line]:
    """The lines that show the keys, from the block's top to the foot of the screen."""
    out = []
    for y in range(shown.top, height):
        runs: list[tuple[str, str]] = []
        x = 0
        for k in sorted(k for k in shown.keys if k.y <= y < k.y + k.height):
            runs += [(" " * (k.x - x), ""), *_drawn(k, y - k.y)]
            x = k.x + k.width
        out.append(cut(runs or BLANK, width))
    return out


def _drawn(k: Big, row: int) -> list[tuple[str, str]]:
    inner = k.width - 2
    if row == 0:
        return [("┌" + "─" * inner + "┐", "faint")]
    if row == k.height - 1:
        return [("└" + "─" * inner + "┘", "faint")]
    sign = SIGNS.get(k.key, k.key)
    if k.height > 3:
        runs = [(_middle(sign, inner), "key")] if row == 1 else [(_middle(k.word, inner), "")]
    elif not k.word:
        runs = [(_middle(sign, inner), "key")]
    elif cell_len(sign) + 1 + cell_len(k.word) > inner and not k.key.isdigit():
        runs = [(_middle(k.word, inner), "key")]
    else:
        runs = [(f"{sign} ", "key"), (fit(k.word, inner - cell_len(sign) - 1), "")]
    return [("│", "faint"), *runs, ("│", "faint")]


def _middle(word: str, width: int) -> str:
    left = max(0, (width - cell_len(word)) // 2)
    return " " * left + fit(word, width - left)


def _offers(walk: Walk) -> list[tuple[str, str]]:
    """The keys that answer what is asked, with their words, as the answers line gives them."""
    return [(k.key, k.word) for line in footer.answers(walk, WHOLE) for k in keys_of(line)]


Slot = tuple[str, str] | None


def _commands(walk: Walk) -> tuple[list[Slot], list[Slot]]:
    """The first row of commands and the others, each at its place whatever the mode."""
    given = set(walk.commands.values()) - {"scan"}  # a scanner types that one
    rest = [c for c in footer.WORDS if c in given and c not in FIRST]
    held = _held(walk)
    if held is not None:
        return [held.get(c) for c in FIRST], [None for _ in rest]
    shown, words = _offered(walk)

    def slot(command: str) -> Slot:
        if command == RUB_OUT:
            return (RUB_OUT, "rub out") if walk.state.buffer else None
        key = _pressed(walk, command)
        if key == "." and _in_a_number(walk):
            return (key, "point")
        known = command in shown and command in walk.commands.values()
        return (key, SHORT.get(words[command], words[command])) if known else None

    return [slot(c) for c in FIRST], [slot(c) for c in rest]


def _in_a_number(walk: Walk) -> bool:
    """Whether a number is half typed that may have a point."""
    asked = steps.rows(walk.state, walk) if walk.state.buffer else ()
    return walk.state.cursor < len(asked) and bool(asked[walk.state.cursor].kind.decimals)


def _offered(walk: Walk) -> tuple[Collection[str], Mapping[str, str]]:
    """The commands that mean something where the walk stands, and their words there."""
    if walk.state.pages:
        return footer.ON_PAGE, {**footer.WORDS, **footer.ON_PAGE_WORDS}
    if walk.state.at >= walk.count():
        return footer.ON_SUMMARY, {**footer.WORDS, **footer.ON_SUMMARY_WORDS}
    return (*footer.ON_WALK, *UP_AND_DOWN), footer.WORDS


def _held(walk: Walk) -> Mapping[str, tuple[str, str]] | None:
    """What the first row holds while more is asked than a command; None while commands are taken."""
    mode = walk.state.mode
    moves = {c: (_pressed(walk, c), footer.WORDS[c]) for c in UP_AND_DOWN}
    if mode == "left":
        return {}
    if mode == "help":
        return {"help": (_pressed(walk, "help"), "close"), **moves}
    if mode in footer.HINTS:
        return {RUB_OUT: (RUB_OUT, "none")} if _offers(walk) else TYPING
    if walk.state.pages and walk.page(walk.state.pages[-1]).typed:
        arrows = {"reading_up": ("up", "up"), "reading_down": ("down", "down")}
        return {**TYPING, "next": ("enter", "open"), **arrows}
    return None


def _pressed(walk: Walk, command: str) -> str:
    return steps.key_for(walk, command)


def _bands(slots: Sequence[Slot], columns: int) -> list[Sequence[Slot]]:
    return [slots[i : i + columns] for i in range(0, len(slots), columns)]


def _placed(bands: Sequence[Sequence[Slot]], rows: int, wide: int, height: int) -> Block:
    top = height - rows * len(bands)
    return Block(
        top,
        tuple(
            Big(i * wide, top + n * rows, wide, rows, *slot)
            for n, band in enumerate(bands)
            for i, slot in enumerate(band)
            if slot is not None
        ),
    )
