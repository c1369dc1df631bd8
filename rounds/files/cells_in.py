"""What one cell of a table may hold: text in, value out.

Each reader takes the cell's text (never empty) and returns the value, or raises
:class:`CellError` with what was expected. Fixed forms are read without regard to blanks
around them; texts and names are kept exactly as they stand. The way back is
:mod:`rounds.files.cells_out`; what a reading may say :mod:`rounds.files.reading_cells`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Any

from rounds.problems import nearest
from rounds.values import spans
from rounds.values.span_parser import parse_day, parse_span
from rounds.values.unreadable import UnreadableValue

MAX_ID = 100
"""Characters in a name, a code or a number: far above any label, low enough for every screen."""


class CellError(Exception):
    """``message`` says what is wrong and what was expected, ``hint`` what to do."""

    def __init__(self, message: str, hint: str = "") -> None:
        self.message, self.hint = message, hint
        super().__init__(message)


def shown(text: str) -> str:
    """A cell as a message may print it: short, one line, nothing a terminal would obey."""
    cut = text if len(text) <= 40 else text[:39] + "…"
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in cut)


def one_of(words: Iterable[str]) -> str:
    words = list(words)
    return "one of " + ", ".join(words[:24]) + (", …" if len(words) > 24 else "")


def _text(text: str) -> str:
    return text


def _id(text: str) -> str:
    if text != text.strip():
        raise CellError(f"`{shown(text)}` begins or ends with a blank.", "Take the blank away.")
    if len(text) > MAX_ID:
        raise CellError(
            f"is longer than {MAX_ID} characters.", "Use a shorter name and put the rest in a note."
        )
    return text


def _line(text: str) -> str:
    if "/" in text:
        raise CellError(
            f"`{shown(text)}` holds a /, which stands between line and number.", "Use another sign."
        )
    return _id(text)


def _bay(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z]{1,4}", text.strip()):
        raise CellError(f"expected one to four letters, not `{shown(text)}`.")
    return text.strip()


def _whole(text: str) -> int:
    value = _count(text)
    if not value:
        raise CellError("expected a whole number from 1, not 0.")
    return value


def _count(text: str) -> int:
    if not re.fullmatch(r"[0-9]{1,6}", text.strip()):
        raise CellError(f"expected a whole number, not `{shown(text)}`.", number_hint(text))
    return int(text)


def _decimal(text: str) -> float:
    value = _plain_number(text, "a number above 0, such as 2.5")
    if not value:
        raise CellError(f"expected a number above 0, such as 2.5, not `{shown(text)}`.")
    return value


def _plain_number(text: str, wanted: str = "a number, such as 2.5") -> float:
    if not re.fullmatch(r"[0-9]{1,15}(?:\.[0-9]{1,20})?", text.strip()):
        raise CellError(f"expected {wanted}, not `{shown(text)}`.", number_hint(text))
    return float(text)


def _row(text: str) -> int:
    if not re.fullmatch(r"[1-9][0-9]{0,17}", text.strip()):
        raise CellError(f"expected a whole number from 1, not `{shown(text)}`.")
    return int(text)


def _uid(text: str) -> bytes:
    """A UUID as its 16 bytes."""
    if not re.fullmatch(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}", text.strip()):
        raise CellError(f"expected a UUID of 32 hexadecimal digits (8-4-4-4-12), not `{shown(text)}`.")
    return bytes.fromhex(text.strip().replace("-", ""))


def _json(text: str) -> str:
    """JSON, kept as it stands."""
    import json

    try:
        json.loads(text)
    except (ValueError, RecursionError) as e:
        raise CellError(f"expected JSON, not `{shown(text)}`.") from e
    return text


def _list(text: str) -> tuple[str, ...]:
    return tuple(text.split())


def number_hint(text: str) -> str:
    """What to do about a number with a decimal comma ("" for any other)."""
    if re.fullmatch(r"\s*[0-9]+,[0-9]+\s*", text):
        return f"Write the decimal point as a point: {text.strip().replace(',', '.')}."
    return ""


def _yesno(text: str) -> bool:
    return _word(text, ("yes", "no")) == "yes"


def _day(text: str) -> int:
    try:
        return parse_day(text)
    except UnreadableValue as e:
        raise _unreadable(e) from e


def _span(text: str) -> spans.Span:
    try:
        return parse_span(text)
    except UnreadableValue as e:
        raise _unreadable(e) from e


def _unreadable(e: UnreadableValue) -> CellError:
    return CellError(f"{shown_sentence(e.reason).removesuffix('.')}; expected {e.expected}.", e.hint)


def shown_sentence(text: str) -> str:
    """Like :func:`shown`, for a sentence that holds a cell."""
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text[:120])


def _clock(text: str) -> int:
    if not (m := re.fullmatch(r"([01][0-9]|2[0-3]):([0-5][0-9])", text.strip())):
        raise CellError(f"expected a time of day such as 04:00, not `{shown(text)}`.")
    return int(m[1]) * 60 + int(m[2])


def _zone(text: str) -> str:
    from zoneinfo import available_timezones

    name = text.strip()
    zones = available_timezones()
    if name not in zones:
        hint = nearest(name, zones)
        raise CellError(
            f"`{shown(text)}` is not a time zone; expected an IANA name such as Europe/Berlin.", hint
        )
    return name


@lru_cache(maxsize=4096)
def address(text: str) -> tuple[str, int, int]:
    """``B3-2`` as bay, shelf, slot."""
    if not (m := re.fullmatch(r"([A-Za-z]{1,4})([0-9]{1,6})-([0-9]{1,6})", text.strip())):
        raise CellError(f"expected an address such as B3-2 (bay, shelf, slot), not `{shown(text)}`.")
    return m[1], int(m[2]), int(m[3])


def animal(text: str) -> tuple[str, str]:
    """``LINE/NUMBER`` as line and number; the number is kept as typed and may hold a /."""
    line, slash, number = text.partition("/")
    if not (slash and line and number):
        raise CellError(f"expected LINE/NUMBER, such as UMBER/07, not `{shown(text)}`.")
    return _line(line), _id(number)


def _word(text: str, words: tuple[str, ...]) -> str:
    word = text.strip()
    if word not in words:
        close = nearest(word.lower(), words)
        raise CellError(f"`{shown(text)}` is not known; expected {one_of(words)}.", close)
    return word


def _words(text: str, words: tuple[str, ...]) -> tuple[str, ...]:
    given = [_word(w, words) for w in text.split()]
    if not given:
        raise CellError(f"expected some of {' '.join(words)}.")
    if len(set(given)) < len(given):
        raise CellError(f"`{shown(text)}` names something twice.", "Keep one of them.")
    return tuple(w for w in words if w in given)


_PLAIN: dict[str, Callable[[str], Any]] = {
    "text": _text,
    "id": _id,
    "line": _line,
    "bay": _bay,
    "whole": _whole,
    "count": _count,
    "decimal": _decimal,
    "yesno": _yesno,
    "day": _day,
    "span": _span,
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
_CHOSEN: dict[str, Callable[[str, tuple[str, ...]], Any]] = {"word": _word, "words": _words}


def reader(type_: str, words: tuple[str, ...] = ()) -> Callable[[str], Any]:
    """The function that reads cells of a column's type. Raises KeyError for an unknown type."""
    if type_ in _CHOSEN:
        chosen = _CHOSEN[type_]
        return lambda text: chosen(text, words)
    return _PLAIN[type_]
