"""Parts of the calendar as first and last day: a day, a part of a month, a month, a week, a season, a year.

Weeks are those of ISO 8601: they begin on Monday, and week 1 is the one with 4 January.
Seasons are the meteorological ones, three whole calendar months. The one that runs over
New Year is named by the year of its January, or by both (``winter 2025/26``). A month's
early, mid and late part are the 1st to 10th, 11th to 20th and 21st to its end (the ten-day
periods, dekads, of the World Meteorological Organization; from memory); those of a season
are its three months, those of a year thirds of four months (common practice, no source).
"""

from __future__ import annotations

from datetime import date, timedelta

from rounds.named_tuple import NamedTuple
from rounds.values import value_sentences as sentences
from rounds.values.spans import FIRST, LAST, iso
from rounds.values.unreadable import UnreadableValue

ABOUT = {"day": 7, "week": 10, "part": 10, "month": 15, "season": 30, "year": 90}
"""Days that ``about`` adds on each side of a period: about half of the next coarser one,
so that "about March" still means something nearer than "spring"."""

SEASONS = {"winter": 12, "spring": 3, "summer": 6, "autumn": 9}
"""First month of each season north of the equator; the south is half a year away."""

EARLY, MID, LATE = 0, 1, 2


class Period(NamedTuple):
    """First and last day (ordinals, both included) and the grain, a key of :data:`ABOUT`.

    ``standing`` is False where the text says these days only today, or only in the order
    of day and month that somebody settled: such words cannot be kept.
    """

    earliest: int
    latest: int
    grain: str
    standing: bool = True


def day(year: int, month: int, number: int, typed: str) -> Period:
    """One day. Like all below raises UnreadableValue, about ``typed``, where the calendar has none."""
    first, last = _month(year, month, typed)
    if not 1 <= number <= last - first + 1:
        nearest = iso(first if number < 1 else last)
        reason = sentences.no_such_day(year, month, last - first + 1)
        raise UnreadableValue(typed, reason, sentences.EXPECTED_DATE, (nearest,))
    return Period(first + number - 1, first + number - 1, "day")


def month(year: int, number: int, typed: str, part: int | None = None) -> Period:
    first, last = _month(year, number, typed)
    if part is None:
        return Period(first, last, "month")
    return Period(first + 10 * part, last if part == LATE else first + 10 * part + 9, "part")


def year(number: int, typed: str, part: int | None = None) -> Period:
    if part is None:
        return Period(_month(number, 1, typed)[0], _month(number, 12, typed)[1], "year")
    return Period(*_months(number, 1 + 4 * part, 4, typed), "season")


def week(year: int, number: int, typed: str, weekday: int | None = None) -> Period:
    """A week of ISO 8601, or one day of it (1 is Monday). ``year`` is the week's, not always the day's."""
    if not 1 <= year <= date.max.year:
        raise UnreadableValue(typed, sentences.no_such_year(typed), sentences.EXPECTED_DATE)
    weeks = date(year, 12, 28).isocalendar().week  # the last Thursday is never later than its Sunday
    if not 1 <= number <= weeks:
        nearest = f"week {1 if number < 1 else weeks} {year}"
        raise UnreadableValue(typed, sentences.no_such_week(year, weeks), sentences.EXPECTED_DATE, (nearest,))
    monday = date.fromisocalendar(year, number, 1).toordinal()
    if weekday is not None:
        if monday + weekday - 1 > LAST:
            raise UnreadableValue(typed, sentences.no_such_year(typed), sentences.EXPECTED_DATE)
        return Period(monday + weekday - 1, monday + weekday - 1, "day")
    return Period(monday, min(monday + 6, LAST), "week")


def season(
    name: str, year: int, second_year: int | None, typed: str, part: int | None = None, *, southern: bool
) -> Period:
    """A season; ``second_year`` is the two digits after a stroke (``winter 2025/26``), if any."""
    start = (SEASONS[name] + (6 if southern else 0) - 1) % 12 + 1
    if start == 12:
        if second_year is not None:  # the first year is the December's
            year += 1
            if second_year != year % 100:
                right = f"{name} {year - 1}/{year % 100:02}"
                raise UnreadableValue(typed, sentences.season_years(name), sentences.EXPECTED_DATE, (right,))
        year -= 1
    elif second_year is not None:
        reason = sentences.season_within_year(name, year)
        raise UnreadableValue(typed, reason, sentences.EXPECTED_DATE, (f"{name} {year}",))
    if part is None:
        return Period(*_months(year, start, 3, typed), "season")
    return Period(*_months(year, start + part, 1, typed), "month")


def days_back(today: int, count: int, unit: str, typed: str) -> Period:
    """``count`` days ago is that day; weeks, months and years ago are as vague as ``about`` makes them."""
    back = round(count * {"day": 1, "week": 7, "month": 30.4375, "year": 365.25}[unit])
    vague = 0 if unit == "day" or not count else {"week": 3, "month": 15, "year": 90}[unit]
    middle = today - back
    if not FIRST < middle - vague <= middle < LAST:
        raise UnreadableValue(typed, sentences.no_such_year(typed), sentences.EXPECTED_DATE)
    grain = {"day": "day", "week": "week", "month": "month", "year": "season"}[unit]
    return Period(middle - vague, min(middle + vague, max(today, middle)), grain, standing=False)


def around(today: int, unit: str, back: int, typed: str) -> Period:
    """This week, month or year (``back`` 0), or the last one (1)."""
    now = date.fromordinal(today)
    if unit == "week":
        if today - 7 * back < FIRST:
            raise UnreadableValue(typed, sentences.no_such_year(typed), sentences.EXPECTED_DATE)
        iso_year, number, _ = (now - timedelta(days=7 * back)).isocalendar()
        return week(iso_year, number, typed)._replace(standing=False)
    if unit == "month":
        before = now.year * 12 + now.month - 1 - back
        return month(before // 12, before % 12 + 1, typed)._replace(standing=False)
    return year(now.year - back, typed)._replace(standing=False)


def _month(year: int, month: int, typed: str) -> tuple[int, int]:
    if not 1 <= year <= date.max.year:
        raise UnreadableValue(typed, sentences.no_such_year(typed), sentences.EXPECTED_DATE)
    if not 1 <= month <= 12:
        raise UnreadableValue(typed, sentences.no_such_month(month), sentences.EXPECTED_DATE)
    first = date(year, month, 1).toordinal()
    if (year, month) == (date.max.year, 12):
        return first, LAST
    return first, date(year + month // 12, month % 12 + 1, 1).toordinal() - 1


def _months(year: int, start: int, count: int, typed: str) -> tuple[int, int]:
    """First and last day of ``count`` months; ``start`` may lie beyond December."""
    last = start + count - 2
    return (
        _month(year + (start - 1) // 12, (start - 1) % 12 + 1, typed)[0],
        _month(year + last // 12, last % 12 + 1, typed)[1],
    )
