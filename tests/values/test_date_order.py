"""Which of the dates of one file settle the order of day and month, and which contradict each other."""

from __future__ import annotations

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from rounds.values.date_order import DateOrder, evidence
from rounds.values.span_parser import parse_day


def test_one_date_settles_the_others() -> None:
    found = evidence(["05/06/2026", "", "before 31/10/2026", "01/02/2026"])
    assert found.order is DateOrder.DAY_FIRST
    assert (found.day_first, found.month_first, found.either) == ("31/10/2026", "", "05/06/2026")
    assert evidence(["05/06/2026", "10-31-2026"]).order is DateOrder.MONTH_FIRST


def test_dates_that_contradict_each_other_settle_nothing() -> None:
    found = evidence(["31/10/2026", "05/06/2026", "10/31/2026"])
    assert found.contradicts
    assert found.order is DateOrder.UNSETTLED
    assert (found.day_first, found.month_first) == ("31/10/2026", "10/31/2026")


def test_other_forms_say_nothing() -> None:
    texts = [
        "2026-10-31",
        "31.10.2026",
        "20261031",
        "10/2026",
        "05/05/2026",
        "20/11/26",
        "12/31/2026/7",
        "40/1/2026",
    ]
    assert evidence(texts) == ("", "", "")
    assert evidence(["05/06/2026"]).order is DateOrder.UNSETTLED


@given(st.lists(st.dates(date(1900, 1, 1), date(2199, 12, 31)), min_size=1), st.booleans())
def test_what_is_written_in_one_order_is_read_in_it_once_settled(days: list[date], day_first: bool) -> None:
    form = "%d/%m/%Y" if day_first else "%m/%d/%Y"
    texts = [day.strftime(form) for day in days]
    found = evidence(texts)
    assert not found.contradicts
    if found.order is DateOrder.UNSETTLED:
        assert all(day.day <= 12 or day.day == day.month for day in days)
        return
    assert found.order is (DateOrder.DAY_FIRST if day_first else DateOrder.MONTH_FIRST)
    assert [parse_day(text, order=found.order) for text in texts] == [day.toordinal() for day in days]
