"""Weeks against ISO 8601, read in ISO 8601:2000(E): the examples that the standard itself gives."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.values.span_parser import parse_day, parse_span
from rounds.values.spans import LAST


@pytest.mark.parametrize(
    ("week_date", "day"),
    [
        ("1985-W15-5", "1985-04-12"),  # 5.2.3.1, of the day that 5.2.1.1 and 5.2.2.1 write 1985-04-12
        ("1994-W52-7", "1995-01-01"),  # note 3 to "calendar week": Sunday, 7th day of the 52nd week of 1994
        ("1997-W01-2", "1996-12-31"),  # the same note: Tuesday, 2nd day of the 1st week of 1997
    ],
)
def test_the_examples_of_the_standard(week_date: str, day: str) -> None:
    assert parse_day(week_date) == date.fromisoformat(day).toordinal()


@pytest.mark.parametrize("typed", ["1985-W15", "1985W15", "week 15 1985", "KW 15 1985", "kw15/1985"])
def test_a_week_is_monday_to_sunday(typed: str) -> None:
    """5.2.3.2 writes the week of 1985-04-12 as 1985-W15; Monday is day 1 (table 2)."""
    span = parse_span(typed)
    assert (date.fromordinal(span.earliest), date.fromordinal(span.latest)) == (
        date(1985, 4, 8),
        date(1985, 4, 14),
    )


@given(st.integers(1, 9999))
def test_the_first_week_is_the_one_with_4_january_and_with_the_first_thursday(year: int) -> None:
    """The rule and its equivalent in note 4 to "calendar week"."""
    first = parse_span(f"week 1 {year:04}")
    assert first.earliest <= date(year, 1, 4).toordinal() <= first.latest
    thursday = next(date(year, 1, n) for n in range(1, 8) if date(year, 1, n).isoweekday() == 4)
    assert first.earliest <= thursday.toordinal() <= first.latest


@given(st.dates())
def test_every_day_lies_in_its_week(day: date) -> None:
    """Against strftime's %G, %V and %u (C library: year, number and day of the ISO 8601 week)."""
    year, week, weekday = f"{day.isocalendar().year:04}", day.strftime("%V"), day.strftime("%u")
    span = parse_span(f"week {week} {year}")
    assert span.earliest == day.toordinal() - int(weekday) + 1
    assert span.latest == min(span.earliest + 6, LAST)
    assert parse_day(f"{year}-W{week}-{weekday}") == day.toordinal()
    assert span.earliest == date.fromisocalendar(int(year), int(week), 1).toordinal()
