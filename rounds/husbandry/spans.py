"""Dates as keepers know them: a span of days, with the words that were typed.

Both ends of a span are day ordinals and belong to it. An end at :data:`FIRST` or
:data:`LAST` is open: nobody knows how early, or how late. Arithmetic never narrows an
open end, and what it returns carries no words: nobody typed it.

What :func:`parse` reads, with D a day (``2026-03-01``, ``1 March 2026``), a month
(``2026-03``, ``March 2026``), a year (``2026``) or a season (``spring 2026``)::

    D               before D        between D and D      unknown
    about D         after D         D to D               (nothing)

Seasons are the meteorological ones, three whole calendar months. The one that runs over
New Year is named by the year of its January, or by both (``winter 2025/26``).
"""

from __future__ import annotations

import difflib
import re
from datetime import date
from typing import NamedTuple

from rounds.text.cleaning import day_words

FIRST, LAST = 1, 3652059  # date.min and date.max as ordinals: "nobody knows how early/late"

ABOUT = {"day": 7, "month": 15, "season": 30, "year": 90}
"""Days that ``about`` adds on each side of a day, a month, a season, a year: about half of
the next coarser word, so that "about March" still means something nearer than "spring"."""

MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
SEASONS = {"winter": 12, "spring": 3, "summer": 6, "autumn": 9, "fall": 9}
"""First month of each season north of the equator; the south is half a year away."""

_KEYWORDS = ("before", "after", "between", "about", "unknown", "to", "and")
_WRITE = (
    "a day (2026-03-01), a month (2026-03, March 2026), a season (spring 2026), a year (2026), "
    "`before D`, `after D`, `about D`, `between D and D`, `D to D`, or `unknown`"
)


class SpanError(ValueError):
    """The text is not a span; ``expected`` says what would be, ``near`` the closest known word."""

    def __init__(self, what: str, expected: str = _WRITE, near: str = "") -> None:
        self.what, self.expected, self.near = what, expected, near
        super().__init__(f"{what}; expected {expected}" + (f"; did you mean `{near}`?" if near else ""))


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
        return Span(_moved(self.earliest, low), _moved(self.latest, high))

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

    def is_before(self, day: int) -> bool | None:
        """Was it before ``day``: True, False, or None when the span does not say."""
        if self.latest < day:
            return True
        return False if self.earliest >= day else None

    def __str__(self) -> str:
        return text(self)


UNKNOWN = Span(FIRST, LAST, "unknown")


def day(year: int, month: int, number: int) -> Span:
    """One exact day."""
    ordinal = date(year, month, number).toordinal()
    return Span(ordinal, ordinal)


def text(span: Span) -> str:
    """The words that were typed; without any, words that :func:`parse` reads back as the same days."""
    return span.words or _plain(span)


def shifted(span: Span, days: int) -> Span:
    """The same span ``days`` later, for showing a recorded year as if it were this one.

    Days written in the words move along; a month, season or year in them has no equal on
    the other side, so such words are replaced by plain ones. Open ends stay open.
    """
    moved = Span(_moved(span.earliest, days), _moved(span.latest, days))
    if not span.words or not days:
        return moved._replace(words=span.words)
    iso = r"(?<![0-9-])[0-9]{4}-[0-9]{2}-[0-9]{2}(?![0-9-])"
    words = re.sub(iso, lambda m: _iso_later(m[0], days), span.words)
    try:
        again = parse(words)
    except SpanError:
        again = UNKNOWN
    same = (again.earliest, again.latest) == (moved.earliest, moved.latest)
    return moved._replace(words=words if same else "" if moved.exact else _plain(moved))


def parse(typed: str, *, southern: bool = False) -> Span:
    """Read what a keeper typed. Nothing typed is an unknown span without words.

    ``southern`` puts seasons where they are south of the equator. ``before`` and ``after``
    do not hold the day (month, ...) named, ``between`` and ``to`` do. Raises SpanError.
    """
    words = typed.strip()
    low = " ".join(words.lower().split())
    if not low:
        return Span(FIRST, LAST)
    if low == "unknown":
        return Span(FIRST, LAST, words)
    head, _, rest = low.partition(" ")
    if head in ("before", "after", "about"):
        earliest, latest, kind = _date(rest, southern)
        if head == "before":
            if earliest <= FIRST:
                raise SpanError(f"nothing is before {rest}")
            return Span(FIRST, earliest - 1, words)
        if head == "after":
            if latest >= LAST:
                raise SpanError(f"nothing is after {rest}")
            return Span(latest + 1, LAST, words)
        return Span(max(FIRST, earliest - ABOUT[kind]), min(LAST, latest + ABOUT[kind]), words)
    if head == "between":
        return _two(rest, " and ", words, southern, "`between D and D`")
    if " to " in low:
        return _two(low, " to ", words, southern, "`D to D`")
    earliest, latest, kind = _date(low, southern)
    plain = kind == "day" and words == date.fromordinal(earliest).isoformat()
    return Span(earliest, latest, "" if plain else words)


def _two(low: str, joint: str, words: str, southern: bool, form: str) -> Span:
    first, found, second = low.partition(joint)
    if not found:
        raise SpanError(f"`{words}` names one date", form)
    start, end = _date(first, southern), _date(second, southern)
    if start[0] > end[0] or start[1] > end[1]:
        raise SpanError(f"in `{words}` the first date is after the second", f"{form}, the earlier one first")
    return Span(start[0], end[1], words)


def _date(low: str, southern: bool) -> tuple[int, int, str]:
    """Earliest, latest and coarseness (day, month, season, year) of one date, lower case."""
    if m := re.fullmatch(r"([0-9]{4})-([0-9]{2})-([0-9]{2})", low):
        ordinal = _ordinal(int(m[1]), int(m[2]), int(m[3]), low)
        return ordinal, ordinal, "day"
    if m := re.fullmatch(r"([0-9]{4})(?:-([0-9]{2}))?", low):
        if m[2] is None:
            return _ordinal(int(m[1]), 1, 1, low), _ordinal(int(m[1]), 12, 31, low), "year"
        return *_months(int(m[1]), int(m[2]), 1, low), "month"
    if m := re.fullmatch(r"(?:([0-9]{1,2}) )?([a-z]+) ([0-9]{4})(?:/([0-9]{2}))?", low):
        number, word, year, over = m[1], m[2], int(m[3]), m[4]
        if word in SEASONS and number is None:
            return *_season(word, year, over, southern, low), "season"
        month = next((i for i, name in enumerate(MONTHS, 1) if word in (name, name[:3])), 0)
        if month and over is None:
            if number is None:
                return *_months(year, month, 1, low), "month"
            ordinal = _ordinal(year, month, int(number), low)
            return ordinal, ordinal, "day"
    if re.fullmatch(r"[0-9]{1,4}[-/. ][0-9]{1,2}[-/. ][0-9]{1,4}", low):
        raise SpanError(f"`{low}` can be read in two ways", "year-month-day with all digits, 2026-03-01")
    known = (*_KEYWORDS, *MONTHS, *SEASONS)
    odd = next((w for w in re.findall(r"[a-z]+", low) if w not in known), "")
    close = difflib.get_close_matches(odd, known, n=1, cutoff=0.6)
    raise SpanError(f"`{low}` is not a date" if low else "the date is missing", near="".join(close))


def _season(word: str, year: int, over: str | None, southern: bool, low: str) -> tuple[int, int]:
    start = (SEASONS[word] + (6 if southern else 0) - 1) % 12 + 1
    if start == 12:
        if over is not None:  # winter 2025/26: the first year is the December's
            year += 1
            if int(over) != year % 100:
                raise SpanError(f"`{low}`: the years do not follow", f"`{word} {year - 1}/{year % 100:02}`")
        return _months(year - 1, 12, 3, low)
    if over is not None:
        raise SpanError(f"`{low}`: this season lies within one year", f"`{word} {year}`")
    return _months(year, start, 3, low)


def _months(year: int, month: int, count: int, low: str) -> tuple[int, int]:
    """First and last day of ``count`` months from the given one."""
    after = month + count
    if (year, after) == (9999, 13):
        return _ordinal(year, month, 1, low), LAST
    return _ordinal(year, month, 1, low), _ordinal(year + (after > 12), (after - 1) % 12 + 1, 1, low) - 1


def _ordinal(year: int, month: int, number: int, low: str) -> int:
    try:
        return date(year, month, number).toordinal()
    except ValueError as e:
        raise SpanError(f"there is no {low} in the calendar", "a date that exists, such as 2026-03-01") from e


def _moved(ordinal: int, days: int) -> int:
    """Open ends stay open; others stop one day short of them, where they still say something."""
    if ordinal <= FIRST or ordinal >= LAST:
        return ordinal
    return min(max(ordinal + days, FIRST + 1), LAST - 1)


def _iso_later(iso: str, days: int) -> str:
    try:
        return date.fromordinal(date.fromisoformat(iso).toordinal() + days).isoformat()
    except (ValueError, OverflowError):
        return iso


def _plain(span: Span) -> str:
    if span.exact:
        return date.fromordinal(span.earliest).isoformat()
    if span.unknown:
        return "unknown"
    if span.earliest <= FIRST:
        return f"before {date.fromordinal(span.latest + 1).isoformat()}"
    if span.latest >= LAST:
        return f"after {date.fromordinal(span.earliest - 1).isoformat()}"
    return f"{date.fromordinal(span.earliest).isoformat()} to {date.fromordinal(span.latest).isoformat()}"


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
