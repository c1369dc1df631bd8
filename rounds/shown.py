"""Text from the book made fit to be shown: it can never steer a terminal or break a layout.

The book keeps what was typed, letter by letter; everything that prints or paints goes
through :func:`clean` first.
"""

from __future__ import annotations

import unicodedata
from datetime import date

MAX_MARKS = 2  # combining marks kept on one letter

_DROPPED = ("Cf", "Cs", "Co", "Cn", "Cc")  # formats (bidi, joiners), surrogates, private, unassigned, controls
_SPACES = "\t\n\r\v\f\x85\u2028\u2029"


def clean(text: str, limit: int = 200) -> str:
    """``text`` on one line, without controls, bidi marks or joiners, at most ``limit`` characters.

    Longer texts end in ``…``. Markup such as ``[bold]`` is left as it is: it is text here,
    and nothing that paints interprets it.
    """
    if text.isascii() and text.isprintable() and len(text) <= limit:
        return text
    out: list[str] = []
    marks = 0
    for ch in unicodedata.normalize("NFC", text[: limit * 4 + 64]):
        if ch in _SPACES:
            ch = " "
        kind = unicodedata.category(ch)
        if kind in _DROPPED or "\ufe00" <= ch <= "\ufe0f":
            continue
        marks = marks + 1 if kind[0] == "M" else 0
        if marks > MAX_MARKS or (marks and not out):
            continue
        out.append(ch)
        if len(out) > limit:
            return "".join(out[: limit - 1]) + "…"
    return "".join(out)


def day_words(day: int) -> str:
    """``28 Feb``."""
    d = date.fromordinal(day)
    return f"{d.day} {d:%b}"


def long_day(day: int) -> str:
    """``Sat 28 Feb 2026``."""
    d = date.fromordinal(day)
    return f"{d:%a} {d.day} {d:%b} {d.year}"


def span_words(earliest: int, latest: int) -> str:
    """``28 Feb``, or ``26 Feb to 5 Mar``; an open end is said as such."""
    from rounds.husbandry.spans import FIRST, LAST

    if earliest == latest:
        return day_words(earliest)
    if earliest <= FIRST:
        return f"by {day_words(latest)}"
    if latest >= LAST:
        return f"from {day_words(earliest)}"
    return f"{day_words(earliest)} to {day_words(latest)}"


def number(value: float) -> str:
    """A count or measure without a needless ``.0``."""
    return f"{value:g}"
