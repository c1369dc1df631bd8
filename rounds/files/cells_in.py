"""What one cell of a table may hold: text in, value out.

Each reader takes the cell's text (never empty) and returns the value, or raises
:class:`CellError` with what was expected. Fixed forms are read without regard to blanks
around them; texts and names are kept exactly as they stand. What people type (numbers,
counts, days, sexes, yes and no) is read by :mod:`rounds.values`, as everywhere. The way back
is :mod:`rounds.files.cells_out`; what a reading may say :mod:`rounds.files.reading_cells`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from rounds.files import cell_sentences as sentences
from rounds.problems import Refusal, nearest
from rounds.values.answers import parse_word, parse_yes_no
from rounds.values.count_parser import parse_held_count
from rounds.values.date_order import DateOrder
from rounds.values.numbers import parse_decimal, parse_whole
from rounds.values.rough_width import USUAL, RoughWidth
from rounds.values.span_parser import parse_day, parse_span
from rounds.values.spans import Span
from rounds.values.unreadable import UnreadableValue

MAX_ID = 100
"""Characters in a name, a code or a number: far above any label, low enough for every screen."""

MOST = 999_999
"""The highest whole number of a cell, but for seeds."""

MOST_SEED = 2**53
"""What every reader of JSON still keeps exactly (RFC 8259, section 6)."""


class CellError(Exception):
    """What is wrong with a cell and what was expected, and what to do."""

    def __init__(self, refusal: Refusal) -> None:
        self.refusal = refusal
        super().__init__(refusal.message)

    @property
    def message(self) -> str:
        return self.refusal.message


def unreadable(e: UnreadableValue) -> CellError:
    """The refusal of a cell that a parser of values refused."""
    return CellError(sentences.unreadable(e.reason, e.expected, e.hint))


def _text(text: str) -> str:
    return text


def _id(text: str) -> str:
    if text != text.strip():
        raise CellError(sentences.blank_at_an_end(text))
    if len(text) > MAX_ID:
        raise CellError(sentences.too_long(MAX_ID))
    return text


def _line(text: str) -> str:
    if "/" in text:
        raise CellError(sentences.stroke_in_a_line(text))
    return _id(text)


def _bay(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z]{1,4}", text.strip()):
        raise CellError(sentences.no_bay(text))
    return text.strip()


def _whole(text: str) -> int:
    return parse_whole(text, low=1, high=MOST)


def _count(text: str) -> int:
    return parse_whole(text, low=0, high=MOST)


def _seed(text: str) -> int:
    return parse_whole(text, low=0, high=MOST_SEED)


def _decimal(text: str) -> float:
    value = parse_decimal(text, what=sentences.ABOVE_NOUGHT)
    if value <= 0:
        raise CellError(sentences.not_above_nought(text))
    return value


def _plain_number(text: str) -> float:
    return parse_decimal(text, low=0, what=sentences.A_NUMBER)


def _row(text: str) -> int:
    if not re.fullmatch(r"[1-9][0-9]{0,17}", text.strip()):
        raise CellError(sentences.no_row(text))
    return int(text)


def _uid(text: str) -> bytes:
    """A UUID as its 16 bytes."""
    if not re.fullmatch(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}", text.strip()):
        raise CellError(sentences.no_uid(text))
    return bytes.fromhex(text.strip().replace("-", ""))


def _json(text: str) -> str:
    """JSON, kept as it stands."""
    import json

    try:
        json.loads(text)
    except (ValueError, RecursionError) as e:
        raise CellError(sentences.no_json(text)) from e
    return text


def _list(text: str) -> tuple[str, ...]:
    return tuple(text.split())


def _clock(text: str) -> int:
    if not (m := re.fullmatch(r"([01][0-9]|2[0-3]):([0-5][0-9])", text.strip())):
        raise CellError(sentences.no_time_of_day(text))
    return int(m[1]) * 60 + int(m[2])


@lru_cache(maxsize=1)
def _zones() -> frozenset[str]:
    from zoneinfo import available_timezones

    return frozenset(available_timezones())  # it looks through a folder


def _zone(text: str) -> str:
    name = text.strip()
    zones = _zones()
    if name not in zones:
        raise CellError(sentences.no_zone(text, nearest(name, zones)))
    return name


@lru_cache(maxsize=4096)
def address(text: str) -> tuple[str, int, int]:
    """``B3-2`` as bay, shelf, slot."""
    if not (m := re.fullmatch(r"([A-Za-z]{1,4})([0-9]{1,6})-([0-9]{1,6})", text.strip())):
        raise CellError(sentences.no_address(text))
    return m[1], int(m[2]), int(m[3])


def animal(text: str) -> tuple[str, str]:
    """``LINE/NUMBER`` as line and number; the number is kept as typed and may hold a /."""
    line, slash, number = text.partition("/")
    if not (slash and line and number):
        raise CellError(sentences.no_animal(text))
    return _line(line), _id(number)


def _words(text: str, words: tuple[str, ...]) -> tuple[str, ...]:
    given = [parse_word(w, words) for w in text.split()]
    if not given:
        raise CellError(sentences.no_words(words))
    if len(set(given)) < len(given):
        raise CellError(sentences.named_twice(text))
    return tuple(w for w in words if w in given)


_PLAIN: dict[str, Callable[[str], Any]] = {
    "text": _text,
    "id": _id,
    "line": _line,
    "bay": _bay,
    "whole": _whole,
    "count": _count,
    "seed": _seed,
    "decimal": _decimal,
    "yesno": parse_yes_no,
    "clock": _clock,
    "zone": _zone,
    "address": address,
    "animal": animal,
    "number": _plain_number,
    "row": _row,
    "uid": _uid,
    "json": _json,
    "list": _list,
    "inmate": _text,
}
_CHOSEN: dict[str, Callable[[str, tuple[str, ...]], Any]] = {"word": parse_word, "words": _words}
DATES: dict[str, Callable[..., int | Span]] = {"day": parse_day, "span": parse_span}
"""Types of columns that hold days: read with the order of day and month that their file settles."""


def reader(
    type_: str,
    words: tuple[str, ...] = (),
    order: DateOrder = DateOrder.UNSETTLED,
    about: RoughWidth = USUAL,
) -> Callable[[str], Any]:
    """The function that reads cells of a column's type. Raises KeyError for an unknown type.

    It raises :class:`CellError` with what was expected, for values that people type too.
    """
    if type_ in DATES:
        read = DATES[type_]
        return _refusing(lambda text: read(text, order=order))
    if type_ == "held_count":  # of a row that can say "at least", or how far a rough count reaches
        return _refusing(lambda text: parse_held_count(text, about))
    if type_ in _CHOSEN:
        chosen = _CHOSEN[type_]
        return _refusing(lambda text: chosen(text, words))
    return _refusing(_PLAIN[type_])


def _refusing(read: Callable[[str], Any]) -> Callable[[str], Any]:
    def cell(text: str) -> Any:
        try:
            return read(text)
        except UnreadableValue as e:
            raise unreadable(e) from e

    return cell
