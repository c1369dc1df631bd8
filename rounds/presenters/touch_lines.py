"""Big keys at the foot of the screen, for a finger where there is no keyboard.

Pure: a walk and a size in, keys with their places and lines out. A key stands at the same
place at every enclosure, so that a thumb finds it without looking; what a digit means at the
moment is written into it, and a key without meaning at the moment leaves its place empty.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.cells import cell_len

from rounds.keys.commands import COMMANDS, LISTED, big_label_at
from rounds.keys.key_names import ARROWS
from rounds.named_tuple import NamedTuple
from rounds.presenters.lines import BLANK, Line, cut, fit
from rounds.presenters.prompt_lines import asked, offered
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.prompts import Prompt

DIGITS = "1234567890"
RUB_OUT = "backspace"
UP_AND_DOWN = ("reading_up", "reading_down")
FIRST = ("next", "back", "reading_up", "reading_down", RUB_OUT, "note", "undo", "go", "skip", "help")
"""The first row under the digits: commands, and one key that is none."""
SIGNS = {"enter": "↵", "backspace": "⌫", "space": "␣", **ARROWS}
REST = tuple(c for c in LISTED.large_keys if c not in FIRST)
"""The commands of the rows after the first, each where a thumb finds it."""
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
    keys = dict(offered(asked(walk)))
    digits = [(d, keys.pop(d, "")) for d in DIGITS]
    other = list(keys.items())
    for rows, slots in ((4, [*first, *rest]), (3, [*first, *rest]), (3, first)):
        bands = [*_bands(other, columns), *_bands(digits, columns), *_bands(slots, columns)]
        least = LEAST_WALK if height >= 24 else max(LEAST_TINY, (height + 1) // 2)
        kept = height - rows * len(bands)  # half of the screen at least
        if kept >= max(least if rows == 3 else LEAST_WALK + 6, height / 2):
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


Slot = tuple[str, str] | None


def _commands(walk: Walk) -> tuple[list[Slot], list[Slot]]:
    """The first row of commands and the others, each at its place whatever the mode."""
    given = set(walk.desk.commands.values())
    rest = [c for c in REST if c in given]
    found = asked(walk)
    held = _held(walk, found)
    if held is not None:
        return [held.get(c) for c in FIRST], [None for _ in rest]
    place = _place(walk)
    shown = (*LISTED.at_foot[place], *UP_AND_DOWN)

    def slot(command: str) -> Slot:
        if command == RUB_OUT:
            return (RUB_OUT, "rub out") if found.typed else None
        key = _pressed(walk, command)
        if key == "." and found.point:
            return (key, "point")
        known = command in shown and command in walk.desk.commands.values()
        return (key, big_label_at(place, command)) if known else None

    return [slot(c) for c in FIRST], [slot(c) for c in rest]


def _place(walk: Walk) -> str:
    """Where the walk stands, as the table of commands names it."""
    return "page" if walk.state.pages else "walk" if walk.state.at < walk.route.count() else "summary"


def _held(walk: Walk, found: Prompt) -> Mapping[str, tuple[str, str]] | None:
    """What the first row holds while more is asked than a command; None while commands are taken."""
    moves = {c: (_pressed(walk, c), COMMANDS[c].label) for c in UP_AND_DOWN}
    if not walk.state.mode.takes_keys:
        return {}
    if found.kind == "help":
        return {"help": (_pressed(walk, "help"), "close"), **moves}
    if found.asks:
        return TYPING if found.limit else {RUB_OUT: (RUB_OUT, "none")}
    if found.kind == "find":
        arrows = {"reading_up": ("up", "up"), "reading_down": ("down", "down")}
        return {
            **TYPING,
            "next": ("enter", "open"),
            "back": (steps.leaving_key(walk.desk), "go back"),
            **arrows,
        }
    return None


def _pressed(walk: Walk, command: str) -> str:
    return steps.key_for(walk.desk, command)


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
