"""A value as the text of a cell, the way back from :mod:`rounds.files.cells_in`, and the guard against formulas."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from rounds.values import spans
from rounds.values.span_parser import interval_text, parse_span
from rounds.values.unreadable import UnreadableValue

_RISKY = re.compile(r'[,"\r\n]|^\s|\s$')
_GUARDED = frozenset("=+-@\t\r'")


def line(cells: Sequence[str]) -> str:
    """One CSV line (RFC 4180, but with a bare line feed at its end)."""
    # The csv module leaves a lone carriage return bare when lines end in a line feed.
    plain = ",".join(cells)
    # A book of five years has twelve million cells: nearly all their lines need no second look.
    if plain.isascii() and plain.isprintable() and '"' not in plain and plain.count(",") == len(cells) - 1:
        spaced = " " in plain and (", " in plain or " ," in plain or plain[0] == " " or plain[-1] == " ")
        if not spaced:
            return plain + "\n"
    return ",".join('"' + c.replace('"', '""') + '"' if _RISKY.search(c) else c for c in cells) + "\n"


def guarded(text: str) -> str:
    """The text as it is written, so that a spreadsheet does not run it as a formula."""
    return "'" + text if text[:1] in _GUARDED and _guardable(text) else text


def unguarded(text: str) -> str:
    """The text as it was before :func:`guarded`."""
    return text[1:] if text[:1] == "'" and _guardable(text) else text


def _guardable(text: str) -> bool:
    # Apostrophes in front of a risky sign are counted in too, so that taking one away
    # always gives back what there was.
    return text.lstrip("'")[:1] in ("=", "+", "-", "@", "\t", "\r") and bool(text)


def iso(day: int | None) -> str:
    """A day (an ordinal) as 2026-03-01; none is an empty cell."""
    return "" if day is None else date.fromordinal(day).isoformat()


def yesno(value: object) -> str:
    return "yes" if value else "no"


def span_text(span: spans.Span) -> str:
    """A span as :func:`rounds.files.cells_in.reader` takes it: the words that were typed, or an ISO 8601 interval.

    ``2026-03-01/2026-03-05`` is a span that nobody typed, ``..`` an open end. Words that
    would be read as other days (a season of the south) follow the interval.
    """
    if span.words or span.exact:
        said = spans.text(span)
        try:
            if parse_span(said) == span:
                return said
        except UnreadableValue:
            pass  # not words of ours: the interval says the days
    return interval_text(span)
