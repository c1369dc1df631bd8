"""What the cells of one row of ``readings.csv`` say: of which reading, how deep, what, and how it is known."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rounds.files import cell_sentences as sentences
from rounds.files.cells_in import CellError, unreadable
from rounds.files.cells_out import unguarded
from rounds.files.csv_tables import HOW
from rounds.husbandry.readings import ReadingKind
from rounds.husbandry.stages import DEPTHS
from rounds.named_tuple import NamedTuple
from rounds.problems import Refusal, nearest
from rounds.records.entries import AS_EXPECTED
from rounds.values.answers import parse_word, parse_yes_no
from rounds.values.numbers import parse_decimal
from rounds.values.unreadable import UnreadableValue

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
    refusal: Refusal


class Said(NamedTuple):
    """What a row says; where ``wrong`` tells why it says nothing, only ``reading`` means anything.

    ``number`` is its own among all that were read. ``place`` is its number among all that may be said
    of one visit: a reading once as read and once as expected. ``value`` is as :func:`value` gives it,
    a range as ``(low, high)``.
    """

    number: int
    place: int
    reading: str
    depth: int
    value: Any
    expected: bool
    wrong: ReadingCellError | None = None


class ReadingCells:
    """Reads rows of readings against a vocabulary, the same cells only once while they are :attr:`known`."""

    def __init__(self, kinds: Mapping[str, ReadingKind]) -> None:
        self._kinds = kinds
        self._numbers = {id_: n for n, id_ in enumerate(kinds)}
        self.known: dict[tuple[str, str, str, str], Said] = {}
        """What was read last, by the cells as they stand in the file: reading, depth, value, how."""
        self._read = 0
        self.places = len(kinds) * 2 + 1
        """How much may be said of one visit: places are below this."""

    def read(self, cells: tuple[str, str, str, str]) -> Said:
        """What these cells say, given as in :attr:`known`."""
        if len(self.known) > REMEMBERED:
            self.known.clear()
        said = self.known[cells] = self._said(*(unguarded(t).strip() for t in cells))
        return said

    def _said(self, reading: str, depth: str, text: str, how: str) -> Said:
        self._read += 1
        wrong: ReadingCellError | None = None
        try:
            depth, how = _word("depth", depth, tuple(DEPTHS)), _word("how", how, HOW)
            expected = how == "expected"
            if reading == AS_EXPECTED and expected and text == NOTHING_ASKED:
                return Said(self._read, self.places - 1, reading, DEPTHS[depth], None, expected=True)
            reading = self._reading(reading)
            held = _value(reading, text, self._kinds[reading], expected=expected)
        except _Wrong as e:
            wrong, held, expected = e.args[0], None, how == "expected"
        place = self._numbers.get(reading, 0) * 2 + expected
        said = tuple(held) if isinstance(held, Within) else held
        return Said(self._read, place, reading, DEPTHS.get(depth, 0), said, expected, wrong)

    def _reading(self, typed: str) -> str:
        try:
            return parse_word(typed, tuple(self._kinds))
        except UnreadableValue as e:
            refusal = sentences.not_a_reading(typed, nearest(typed, self._kinds))
            raise _Wrong(ReadingCellError("reading", refusal)) from e


class _Wrong(Exception):
    """The first cell of a row that says nothing; its one argument tells which and why."""


def _word(column: str, typed: str, words: tuple[str, ...]) -> str:
    try:
        return parse_word(typed, words)
    except UnreadableValue as e:
        raise _Wrong(ReadingCellError(column, unreadable(e).refusal)) from e


def _value(reading: str, text: str, kind: ReadingKind, *, expected: bool) -> float | bool | str | Within:
    if not text:
        raise _Wrong(ReadingCellError("value", sentences.nothing_read(reading)))
    try:
        return value(text, kind, expected=expected)
    except CellError as e:
        raise _Wrong(ReadingCellError("value", e.refusal)) from e


def value(text: str, kind: ReadingKind, *, expected: bool) -> float | bool | str | Within:
    """What a reading says: a tick as bool, a choice by id, a count as a number.

    With ``expected`` a count is the range that was shown (``1..3``). Raises CellError when
    the value is outside the reading's limits or of another kind.
    """
    try:
        if kind.type == "tick":
            return parse_yes_no(text)
        if kind.type == "choice":
            return parse_word(text, tuple(c.id for c in kind.choices))
        return _range(text.strip(), kind) if expected else _number(text, kind)
    except UnreadableValue as e:
        raise unreadable(e) from e


def _range(typed: str, kind: ReadingKind) -> Within:
    low, dots, high = typed.partition("..")
    if not dots:
        raise CellError(sentences.no_range(typed, low))
    within = Within(_number(low, kind), _number(high, kind))
    if within.low > within.high:
        raise CellError(sentences.range_backwards(typed))
    return within


def _number(typed: str, kind: ReadingKind) -> float:
    what = sentences.number_read(kind.id, whole=not kind.decimals)
    number = parse_decimal(
        typed, unit=kind.unit, low=kind.low, high=kind.high, decimals=kind.decimals, what=what
    )
    return int(number) if number.is_integer() else number
