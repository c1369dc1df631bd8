"""A span of days: earliest and latest, with the words that were typed for it.

Both ends are day ordinals and belong to the span. An end at :data:`FIRST` or :data:`LAST`
is open: nobody knows how early, or how late. Arithmetic never narrows an open end, and
what it returns carries no words: nobody typed it. Texts are parsed in
:mod:`rounds.values.span_parser`; this module is on the start path and stays cheap to import.
"""

from __future__ import annotations

import re
from datetime import date

from rounds.named_tuple import NamedTuple
from rounds.text.cleaning import day_and_year, day_words

FIRST, LAST = 1, 3652059  # date.min and date.max as ordinals: "nobody knows how early/late"


class Span(NamedTuple):
    """Earliest and latest day, both included, and the words typed (empty for a plain date)."""

    earliest: int
    latest: int
    words: str = ""

    @property
    def exact(self) -> bool:
        return self.earliest == self.latest

    @property
    def unknown(self) -> bool:
        """Nothing at all is known."""
        return self.earliest <= FIRST and self.latest >= LAST

    def plus(self, low: int, high: int | None = None) -> Span:
        """The day ``low`` to ``high`` days later (or earlier, if negative), as a span.

        ``high`` defaults to ``low``. Raises ValueError if ``low > high``.
        """
        high = low if high is None else high
        if low > high:
            raise ValueError(f"a span of {low} to {high} days runs backwards")
        return Span(moved(self.earliest, low), moved(self.latest, high))

    def days_since(self, earlier: Span) -> tuple[int | None, int | None]:
        """Fewest and most days from ``earlier`` to this; None where an open end says nothing."""
        fewest = None if self.earliest <= FIRST or earlier.latest >= LAST else self.earliest - earlier.latest
        most = None if self.latest >= LAST or earlier.earliest <= FIRST else self.latest - earlier.earliest
        return fewest, most

    def hull(self, other: Span) -> Span:
        """The narrowest span that holds both."""
        return Span(min(self.earliest, other.earliest), max(self.latest, other.latest))

    def meet(self, other: Span) -> Span | None:
        """The days in both, or None if there are none."""
        low, high = max(self.earliest, other.earliest), min(self.latest, other.latest)
        return Span(low, high) if low <= high else None

    def __str__(self) -> str:
        return text(self)


UNKNOWN = Span(FIRST, LAST, "unknown")


def day(year: int, month: int, number: int) -> Span:
    """One exact day."""
    ordinal = date(year, month, number).toordinal()
    return Span(ordinal, ordinal)


def text(span: Span) -> str:
    """The words that were typed; without any, words that parse back to the same days."""
    return span.words or plain_words(span)


def told(span: Span) -> str:
    """The span as keepers are told it: ``9 Jan 2026``, ``about 9 Jan 2026``; other words as they were typed."""
    return re.sub(_ISO, _told_day, text(span))


_ISO = r"(?<![0-9-])[0-9]{4}-[0-9]{2}-[0-9]{2}(?![0-9-])"


def _told_day(found: re.Match[str]) -> str:
    """A day of the calendar in words; what is none stays as it was typed."""
    try:
        return day_and_year(date.fromisoformat(found[0]).toordinal())
    except ValueError:
        return found[0]


def plain_words(span: Span) -> str:
    """The days in ISO form, whatever was typed: ``2026-03-01 to 2026-03-05``, ``before 2026-03-01``."""
    if span.exact:
        return iso(span.earliest)
    if span.unknown:
        return "unknown"
    if span.earliest <= FIRST:
        return f"before {iso(span.latest + 1)}"
    if span.latest >= LAST:
        return f"after {iso(span.earliest - 1)}"
    return f"{iso(span.earliest)} to {iso(span.latest)}"


def iso(ordinal: int) -> str:
    return date.fromordinal(ordinal).isoformat()


def moved(ordinal: int, days: int) -> int:
    """Open ends stay open; others stop one day short of them, where they still say something."""
    if ordinal <= FIRST or ordinal >= LAST:
        return ordinal
    return min(max(ordinal + days, FIRST + 1), LAST - 1)


def span_words(earliest: int, latest: int) -> str:
    """``28 Feb``, or ``26 Feb to 5 Mar``; an open end is said as such."""
    if earliest == latest:
        return day_words(earliest)
    if earliest <= FIRST and latest >= LAST:
        return "at any time"
    if earliest <= FIRST:
        return f"by {day_words(latest)}"
    if latest >= LAST:
        return f"from {day_words(earliest)}"
    return f"{day_words(earliest)} to {day_words(latest)}"
