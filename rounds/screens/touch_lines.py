"""Big keys at the foot of the screen, for a finger where there is no keyboard.

Pure: a walk and a size in, keys with their places and lines out. A key stands at the same
place at every enclosure, so that a thumb finds it without looking; what a digit means at the
moment is written into it, and a key without meaning at the moment leaves its place empty.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from rounds.husbandry import entry_steps
from rounds.screens import legend
from rounds.screens.lines import BLANK, Line, cut, fit
from rounds.screens.touch import keys_of
from rounds.walk import Walk

DIGITS = "1234567890"
RUB_OUT = "backspace"
FIRST = ("next", "back", "reading_up", "reading_down", RUB_OUT, "note", "undo", "go", "skip", "help")
"""The first row under the digits: commands, and one key that is none."""
SIGNS = {"enter": "↵", "backspace": "⌫", "space": "␣", **legend.ARROWS}
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


def block(walk: Walk, width: int, height: int) -> list[Big]:
    """The big keys of a screen of ``width`` and ``height`` cells, each at least 6 by 3.

    Empty where the screen is too small for them and the walk: then only the small keys of the
    lines can be tapped.
    """
    columns = 10 if width >= WIDE else 5 if width >= NARROW else 0
    if not columns:
        return []
    first, rest = _commands(walk)
    offered = dict(_offers(walk))
    digits = [(d, offered.pop(d, "")) for d in DIGITS]
    other = list(offered.items())
    for rows, slots in ((4, [*first, *rest]), (3, [*first, *rest]), (3, first)):
        bands = [*_bands(other, columns), *_bands(digits, columns), *_bands(slots, columns)]
        least = LEAST_WALK if height >= 24 else LEAST_TINY
        if height - rows * len(bands) >= (least if rows == 3 else LEAST_WALK + 6):
            return _placed(bands, rows, width // columns, height)
    return []


def hit(keys: Sequence[Big], x: int, y: int) -> str | None:
    """The key at a cell, or None."""
    return next((k.key for k in keys if k.covers(x, y)), None)


def lines(keys: Sequence[Big], width: int) -> list[Line]:
    """The lines that show the keys, from the topmost key down."""
    if not keys:
        return []
    top, bottom = min(k.y for k in keys), max(k.y + k.height for k in keys)
    out = []
    for y in range(top, bottom):
        runs: list[tuple[str, str]] = []
        x = 0
        for k in sorted(k for k in keys if k.y <= y < k.y + k.height):
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
        runs = [(sign.center(inner), "key")] if row == 1 else [(_middle(k.word, inner), "")]
    elif not k.word:
        runs = [(sign.center(inner), "key")]
    elif len(sign) + 1 + len(k.word) > inner and not k.key.isdigit():
        runs = [(_middle(k.word, inner), "key")]
    else:
        runs = [(f"{sign} ", "key"), (fit(k.word, inner - len(sign) - 1), "")]
    return [("│", "faint"), *runs, ("│", "faint")]


def _middle(word: str, width: int) -> str:
    return fit(word, width) if len(word) >= width else word.center(width)


def _offers(walk: Walk) -> list[tuple[str, str]]:
    """The keys that answer what is asked, with their words, as the answers line gives them."""
    return [(k.key, k.word) for line in legend.answers(walk, 10_000) for k in keys_of(line)]


Slot = tuple[str, str] | None


def _commands(walk: Walk) -> tuple[list[Slot], list[Slot]]:
    """The first row of commands and the others, each at its place whatever the mode."""
    on_walk = walk.state.at < walk.count()
    mode = walk.state.mode
    shown = legend.ON_WALK if on_walk else legend.ON_SUMMARY
    rest = [c for c in dict.fromkeys((*legend.ON_WALK, *legend.ON_SUMMARY)) if c not in FIRST]
    if mode in legend.HINTS or mode == "left":
        held = _held(walk, mode)
        return [held.get(c) for c in FIRST], [None for _ in rest]
    words = legend.WORDS if on_walk else {**legend.WORDS, **legend.ON_SUMMARY_WORDS}

    def slot(command: str) -> Slot:
        if command == RUB_OUT:
            return (RUB_OUT, "rub out") if walk.state.buffer else None
        if command not in shown and not (on_walk and command in ("reading_up", "reading_down")):
            return None
        return (_pressed(walk, command), words[command])

    return [slot(c) for c in FIRST], [slot(c) for c in rest]


def _held(walk: Walk, mode: str) -> Mapping[str, tuple[str, str]]:
    """What the first row holds while the walk asks for more than a command."""
    if mode == "left":
        return {}
    if mode == "help":
        return {
            "help": (_pressed(walk, "help"), "close"),
            **{c: (_pressed(walk, c), legend.WORDS[c]) for c in ("reading_up", "reading_down")},
        }
    if _offers(walk):
        return {RUB_OUT: (RUB_OUT, "none")}
    return TYPING


def _pressed(walk: Walk, command: str) -> str:
    return entry_steps.key_for(walk, command)


def _bands(slots: Sequence[Slot], columns: int) -> list[Sequence[Slot]]:
    return [slots[i : i + columns] for i in range(0, len(slots), columns)]


def _placed(bands: Sequence[Sequence[Slot]], rows: int, wide: int, height: int) -> list[Big]:
    top = height - rows * len(bands)
    return [
        Big(i * wide, top + n * rows, wide, rows, *slot)
        for n, band in enumerate(bands)
        for i, slot in enumerate(band)
        if slot is not None
    ]
