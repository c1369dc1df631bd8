"""What one cell of a table may hold: text in, value out, and the guard against formulas.

Each reader takes the cell's text (never empty) and returns the value, or raises
:class:`CellError` with what was expected. Fixed forms are read without regard to blanks
around them; texts and names are kept exactly as they stand.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import date
from functools import lru_cache
from typing import Any, NamedTuple

from rounds.husbandry import spans
from rounds.husbandry.readings import Kind
from rounds.problems import nearest

MAX_ID = 100
"""Characters in a name, a code or a number: far above any label, low enough for every screen."""


class CellError(Exception):
    """``message`` says what is wrong and what was expected, ``hint`` what to do."""

    def __init__(self, message: str, hint: str = "") -> None:
        self.message, self.hint = message, hint
        super().__init__(message)


class Within(NamedTuple):
    """An expected count: somewhere from ``low`` to ``high``."""

    low: float
    high: float


def shown(text: str) -> str:
    """A cell as a message may print it: short, one line, nothing a terminal would obey."""
    cut = text if len(text) <= 40 else text[:39] + "…"
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in cut)


def guarded(text: str) -> str:
    """The text as it is written, so that a spreadsheet does not run it as a formula."""
    return "'" + text if _guardable(text) else text


def unguarded(text: str) -> str:
    """The text as it was before :func:`guarded`."""
    return text[1:] if text[:1] == "'" and _guardable(text) else text


def _guardable(text: str) -> bool:
    # Apostrophes in front of a risky sign are counted in too, so that taking one away
    # always gives back what there was.
    return text.lstrip("'")[:1] in ("=", "+", "-", "@", "\t", "\r") and bool(text)


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
        raise CellError(f"expected a whole number, not `{shown(text)}`.", _number_hint(text))
    return int(text)


def _decimal(text: str) -> float:
    value = _plain_number(text, "a number above 0, such as 2.5")
    if not value:
        raise CellError(f"expected a number above 0, such as 2.5, not `{shown(text)}`.")
    return value


def _plain_number(text: str, wanted: str = "a number, such as 2.5") -> float:
    if not re.fullmatch(r"[0-9]{1,15}(?:\.[0-9]{1,20})?", text.strip()):
        raise CellError(f"expected {wanted}, not `{shown(text)}`.", _number_hint(text))
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


def uid_text(uid: bytes) -> str:
    """The inverse of the reader of UUIDs."""
    h = uid.hex()
    return f"{h[:8]}-{h[8:12]}-{h[12:16]}-{h[16:20]}-{h[20:]}"


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


def _number_hint(text: str) -> str:
    if re.fullmatch(r"\s*[0-9]+,[0-9]+\s*", text):
        return f"Write the decimal point as a point: {text.strip().replace(',', '.')}."
    return ""


def _yesno(text: str) -> bool:
    return _word(text, ("yes", "no")) == "yes"


def _day(text: str) -> int:
    typed = text.strip()
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", typed):
        raise CellError(f"expected a day such as 2026-03-01, not `{shown(text)}`.")
    try:
        return date.fromisoformat(typed).toordinal()
    except ValueError as e:
        raise CellError(f"there is no {typed} in the calendar.") from e


_DAY = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
_INTERVAL = re.compile(rf"(\.\.|{_DAY})/(\.\.|{_DAY})(?: (.*))?", re.DOTALL)


def span_text(span: spans.Span) -> str:
    """A span as :func:`reader` takes it: the words that were typed, or an ISO 8601 interval.

    ``2026-03-01/2026-03-05`` is a span that nobody typed, ``..`` an open end. Words that
    would be read as other days (a season of the south) follow the interval.
    """
    if span.words or span.exact:
        said = spans.text(span)
        try:
            if spans.parse(said) == span:
                return said
        except spans.SpanError:
            pass  # not words of ours: the interval says the days
    low = ".." if span.earliest <= spans.FIRST else date.fromordinal(span.earliest).isoformat()
    high = ".." if span.latest >= spans.LAST else date.fromordinal(span.latest).isoformat()
    return f"{low}/{high} {span.words}" if span.words else f"{low}/{high}"


def _span(text: str) -> spans.Span:
    if m := _INTERVAL.fullmatch(text):
        low = spans.FIRST if m[1] == ".." else _day(m[1])
        high = spans.LAST if m[2] == ".." else _day(m[2])
        if low > high:
            raise CellError(f"`{shown(text)}` ends before it begins.", "Write the earlier day first.")
        return spans.Span(low, high, m[3] or "")
    try:
        return spans.parse(text)
    except spans.SpanError as e:
        hint = f"Did you mean `{e.near}`?" if e.near else ""
        raise CellError(f"{shown_sentence(e.what)}; expected {e.expected}.", hint) from e


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
    "text": _text, "id": _id, "line": _line, "bay": _bay, "whole": _whole, "count": _count, "decimal": _decimal,
    "yesno": _yesno, "day": _day, "span": _span, "clock": _clock, "zone": _zone, "address": address, "animal": animal,
    "number": _plain_number, "row": _row, "uid": _uid, "json": _json, "list": _list, "inmate": _text,
}  # fmt: skip
_CHOSEN: dict[str, Callable[[str, tuple[str, ...]], Any]] = {"word": _word, "words": _words}


def reader(type_: str, words: tuple[str, ...] = ()) -> Callable[[str], Any]:
    """The function that reads cells of a column's type. Raises KeyError for an unknown type."""
    if type_ in _CHOSEN:
        chosen = _CHOSEN[type_]
        return lambda text: chosen(text, words)
    return _PLAIN[type_]


def value(text: str, kind: Kind, expected: bool) -> float | bool | str | Within:
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


def _number(typed: str, kind: Kind) -> float:
    if not re.fullmatch(r"-?[0-9]{1,9}(?:\.[0-9]{1,6})?", typed):
        raise CellError(
            f"`{kind.id}` is a number{_unit(kind)}; `{shown(typed)}` is not.", _number_hint(typed)
        )
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


def _unit(kind: Kind) -> str:
    return f" {kind.unit}" if kind.unit else ""
