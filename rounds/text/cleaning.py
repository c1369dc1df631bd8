"""Text from the book made fit to be shown: it can never steer a terminal or break a layout.

The book keeps what was typed, letter by letter; everything that prints or paints goes
through :func:`clean`, :func:`clean_lines` or :func:`json_text` first.
"""

from __future__ import annotations

import unicodedata
from datetime import date
from functools import lru_cache

MAX_MARKS = 2  # combining marks kept on one letter

_DROPPED = (
    "Cf",
    "Cs",
    "Co",
    "Cn",
    "Cc",
)  # formats (bidi, joiners), surrogates, private, unassigned, controls
_PLAIN = frozenset(map(chr, range(0x20, 0x7F))) | frozenset("…–—·×°≥≤✓→♀♂²½äöüßÄÖÜéèáčěřšž")
"""Signs that are shown as they are, beside whatever stands next to them: what our own sentences are made of."""
_SPACES = "\t\n\r\v\f\x1c\x1d\x1e\x1f\x85\u2028\u2029"
_FIRST_FLAG_LETTER = 0x1F1E6  # regional indicators A..Z


def clean(text: str, limit: int = 200) -> str:
    """``text`` on one line, without controls, bidi marks or joiners, at most ``limit`` characters.

    Longer texts end in ``…``. Markup such as ``[bold]`` is left as it is: it is text here,
    and nothing that paints interprets it. Cleaning a clean text changes nothing. No sign of
    the result changes the width of its neighbour, so a line's width is the sum of its signs'.
    """
    if len(text) <= limit and ((text.isascii() and text.isprintable()) or _PLAIN.issuperset(text)):
        return text
    return _cleaned(text, limit)


@lru_cache(512)  # a screen shows the same names at every key
def _cleaned(text: str, limit: int) -> str:
    out = _once(text[: limit * 4 + 64], limit)
    while (again := _once(out, limit)) != out:  # what is left may join up once what stood between is gone
        out = again
    return out


def _once(text: str, limit: int) -> str:
    kept = [sign for ch in text if (sign := _sign(ch))]
    out: list[str] = []
    marks = 0
    for ch in unicodedata.normalize("NFC", "".join(kept)):
        marks = marks + 1 if unicodedata.category(ch)[0] == "M" else 0
        if marks > MAX_MARKS or (marks and not out):
            continue
        out.append(ch)
        if len(out) > limit:
            return "".join(out[: limit - 1]) + "…"
    return "".join(out)


def _sign(ch: str) -> str:
    """What is shown for one character of the book; nothing for what only steers."""
    if ch.isascii() and ch.isprintable():
        return ch
    if ch in _SPACES:
        return " "
    code = ord(ch)
    if 0xFE00 <= code <= 0xFE0F or 0xE0100 <= code <= 0xE01EF or 0x1F3FB <= code <= 0x1F3FF:
        return (
            ""  # variation selectors and skin tones: terminals differ in how wide they make the sign before
        )
    if _FIRST_FLAG_LETTER <= code < _FIRST_FLAG_LETTER + 26:
        return chr(ord("A") + code - _FIRST_FLAG_LETTER)  # two of these make a flag on some terminals only
    if 0x1160 <= code <= 0x11FF or 0xD7B0 <= code <= 0xD7FF:
        return ""  # Hangul vowels and finals that did not join a letter: no width of their own
    return "" if unicodedata.category(ch) in _DROPPED else ch


def clean_lines(text: str, limit: int = 2000) -> str:
    """Several lines, each cleaned; for words of our own that quote what somebody else wrote."""
    return "\n".join(clean(line, limit) for line in text.split("\n"))


def json_text(value: object) -> str:
    """JSON that loses nothing and steers no terminal: controls and formats are written ``\\uXXXX``."""
    import json

    text = json.dumps(value, ensure_ascii=False, indent=1)
    if text.isascii() and "\x7f" not in text:
        return text
    return "".join(_escaped(ch) if ch != "\n" and unicodedata.category(ch) in _ESCAPED else ch for ch in text)


_ESCAPED = (*_DROPPED, "Zl", "Zp")


def _escaped(ch: str) -> str:
    code = ord(ch)
    if code < 0x10000:
        return f"\\u{code:04x}"
    code -= 0x10000
    return f"\\u{0xD800 + (code >> 10):04x}\\u{0xDC00 + (code & 0x3FF):04x}"


@lru_cache(64)
def day_words(day: int) -> str:
    """``28 Feb``."""
    d = date.fromordinal(day)
    return f"{d.day} {d:%b}"


@lru_cache(64)
def day_of_week(day: int) -> str:
    """``Sat 28 Feb``: where days stand one behind the other, each with the digit that chooses it."""
    return f"{date.fromordinal(day):%a} {day_words(day)}"


def day_and_year(day: int) -> str:
    """``28 Feb 2026``."""
    return f"{day_words(day)} {date.fromordinal(day).year}"


@lru_cache(64)
def long_day(day: int) -> str:
    """``Sat 28 Feb 2026``."""
    d = date.fromordinal(day)
    return f"{d:%a} {d.day} {d:%b} {d.year}"


def number(value: float) -> str:
    """A count or measure without a needless ``.0``."""
    return f"{value:g}"
