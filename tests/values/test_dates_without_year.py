"""A day said at a box without its year: the last one, or the next one; in tables it stays refused."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.values.dates import Setting, parse_date, with_its_year
from rounds.values.unreadable import YearMissing

DAYS = st.dates(date(1990, 1, 1), date(2090, 12, 31))
MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def words(day: date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]}"


@given(DAYS, st.integers(0, 364), st.sampled_from((words, lambda d: f"{d.day}.{d.month}.")))
def test_the_last_such_day_and_the_next_one(today: date, days: int, typed: object) -> None:
    assert callable(typed)
    for ahead in (False, True):
        meant = date.fromordinal(today.toordinal() + (days if ahead else -days))
        if (meant.month, meant.day) == (2, 29):
            continue
        text = with_its_year(typed(meant), today.toordinal(), ahead=ahead)
        period = parse_date(text.lower(), Setting(today=today.toordinal()))
        assert (period.earliest, period.latest) == (meant.toordinal(), meant.toordinal())


@pytest.mark.parametrize("text", ["12 Nov 2025", "2026-11-12", "today", "rubbish", "", "31 Feb"])
def test_any_other_text_stays_as_it_is(text: str) -> None:
    assert with_its_year(text, date(2026, 11, 29).toordinal(), ahead=False) == text


def test_where_nobody_knows_when_it_was_written_it_is_refused() -> None:
    with pytest.raises(YearMissing):
        parse_date("12 nov", Setting())
