"""What the cells of one row of ``readings.csv`` say: of which reading, how deep, what, and how it is known."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

from rounds.files.cells_in import CellError, number_hint, one_of, shown
from rounds.files.cells_out import unguarded
from rounds.files.csv_tables import HOW
from rounds.husbandry.readings import ReadingKind
from rounds.husbandry.stages import DEPTHS
from rounds.problems import nearest
from rounds.records.entries import AS_EXPECTED

NOTHING_ASKED = "nothing"
"""The value of a row for the reading ``as_expected``: confirmed by one key, with nothing left to ask."""

REMEMBERED = 20_000
"""Rows of the same cells are read once; numbers with decimals could fill the memory without end."""


class Within(NamedTuple):
    """An expected count: somewhere from ``low`` to ``high``."""

    low: float
    high: float


class ReadingCellError(NamedTuple):
    """What is wrong with a row, and in which column."""

    column: str
    message: str
    hint: str = ""


class Said(NamedTuple):
    """What a row says; where ``wrong`` tells why it says nothing, only ``reading`` means anything.

    ``place`` is its number among all that may be said of one visit: a reading once as read
    and once as expected. ``value`` is as :func:`value` gives it, a range as ``(low, high)``.
    """

    place: int
    reading: str
    depth: int
    value: Any
    expected: bool
    wrong: ReadingCellError | None = None


class ReadingCells:
    """Reads rows of readings against a vocabulary, the same cells only once."""

    def __init__(self, kinds: Mapping[str, ReadingKind]) -> None:
        self._kinds = kinds
        self._numbers = {id_: n for n, id_ in enumerate(kinds)}
        self._known: dict[tuple[str, str, str, str], Said] = {}
        self.places = len(kinds) * 2 + 1
        """How much may be said of one visit: places are below this."""

    def read(self, reading: str, depth: str, value: str, how: str) -> Said:
        """What these cells say, given as they stand in the file."""
        key = (reading, depth, value, how)
        known = self._known.get(key)
        if known is None:
            if len(self._known) > REMEMBERED:
                self._known.clear()
            known = self._known[key] = self._said(*(unguarded(t).strip() for t in key))
        return known

    def _said(self, reading: str, depth: str, text: str, how: str) -> Said:
        expected = how == "expected"
        if reading == AS_EXPECTED and expected and text == NOTHING_ASKED and depth in DEPTHS:
            return Said(self.places - 1, reading, DEPTHS[depth], None, True)
        kind, held = self._kinds.get(reading), None
        wrong = self._wrong(reading, depth, text, how)
        if wrong is None and kind is not None:
            try:
                held = value(text, kind, expected)
            except CellError as e:
                wrong = ReadingCellError("value", e.message, e.hint)
        place = self._numbers.get(reading, 0) * 2 + expected
        return Said(
            place,
            reading,
            DEPTHS.get(depth, 0),
            tuple(held) if isinstance(held, Within) else held,
            expected,
            wrong,
        )

    def _wrong(self, reading: str, depth: str, text: str, how: str) -> ReadingCellError | None:
        """The first of the cells that says nothing."""
        if reading not in self._kinds:
            hint = nearest(reading, self._kinds) or "See readings.yaml for what can be read."
            return ReadingCellError("reading", f"`{shown(reading)}` is not a reading.", hint)
        for column, word, words in (("depth", depth, DEPTHS), ("how", how, HOW)):
            if word not in words:
                return ReadingCellError(
                    column, f"expected {one_of(words)}, not `{shown(word)}`.", nearest(word, words)
                )
        return (
            None if text else ReadingCellError("value", f"is empty; expected what was read of `{reading}`.")
        )


def value(text: str, kind: ReadingKind, expected: bool) -> float | bool | str | Within:
    """What a reading says: a tick as bool, a choice by id, a count as a number.

    With ``expected`` a count is the range that was shown (``1..3``). Raises CellError when
    the value is outside the reading's limits or of another kind.
    """
    typed = text.strip()
    if kind.type == "tick":
        if typed not in ("yes", "no"):
            raise CellError(f"`{kind.id}` is a tick; expected yes or no, not `{shown(text)}`.")
        return typed == "yes"
    if kind.type == "choice":
        ids = tuple(c.id for c in kind.choices)
        if typed not in ids:
            hint = nearest(typed.lower(), ids)
            raise CellError(f"`{shown(text)}` is not an answer of `{kind.id}`; expected {one_of(ids)}.", hint)
        return typed
    if not expected:
        return _number(typed, kind)
    low, dots, high = typed.partition("..")
    if not dots:
        raise CellError(
            f"an expected count is a range such as 1..3, not `{shown(text)}`.",
            f"Write {shown(low)}..{shown(low)}.",
        )
    within = Within(_number(low, kind), _number(high, kind))
    if within.low > within.high:
        raise CellError(f"the range `{shown(text)}` runs backwards.", "Write the lower number first.")
    return within


def _number(typed: str, kind: ReadingKind) -> float:
    if not re.fullmatch(r"-?[0-9]{1,9}(?:\.[0-9]{1,6})?", typed):
        raise CellError(f"`{kind.id}` is a number{_unit(kind)}; `{shown(typed)}` is not.", number_hint(typed))
    number = float(typed)
    if not kind.low <= number <= kind.high:
        raise CellError(
            f"{shown(typed)} is outside the limits of `{kind.id}`, {kind.low:g} to {kind.high:g}{_unit(kind)}."
        )
    if len(typed.partition(".")[2].rstrip("0")) > kind.decimals:
        places = (
            f"{kind.decimals} decimal place{'s' if kind.decimals != 1 else ''}"
            if kind.decimals
            else "whole numbers"
        )
        raise CellError(f"`{kind.id}` takes {places}, not {shown(typed)}.")
    return int(number) if number.is_integer() else number


def _unit(kind: ReadingKind) -> str:
    return f" {kind.unit}" if kind.unit else ""
