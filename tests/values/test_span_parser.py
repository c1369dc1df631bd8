"""Dates as keepers type them: what is read, what is refused, and with which words."""

from __future__ import annotations

from datetime import date

import pytest

from rounds.values.date_order import DateOrder
from rounds.values.span_parser import interval_text, parse_day, parse_span, shifted
from rounds.values.spans import FIRST, LAST, Span, plain_words, text
from rounds.values.unreadable import UnreadableValue

TODAY = date(2026, 11, 29).toordinal()  # a Sunday


def d(iso: str) -> int:
    return date.fromisoformat(iso).toordinal()


def refused(typed: str, **setting: object) -> UnreadableValue:
    with pytest.raises(UnreadableValue) as e:
        parse_span(typed, **setting)  # type: ignore[arg-type]  # a few settings, each of its own type
    assert e.value.text == typed
    assert e.value.reason
    assert e.value.expected
    return e.value


@pytest.mark.parametrize(
    "typed",
    [
        "2026-11-20",
        "2026-11-20 ",
        "2026/11/20",
        "2026.11.20",
        "2026 11 20",
        "20261120",
        "20.11.2026",
        "20. 11. 2026",
        "20.11.26",
        "20/11/2026",
        "11/20/2026",
        "20-11-2026",
        "11-20-2026",
        "20 November 2026",
        "20. November 2026",
        "20th of November 2026",
        "20 Nov. 2026",
        "20-Nov-2026",
        "NOV 20, 2026",
        "November 20th 2026",
        "2026-W47-5",
        "2026w47-5",
    ],
)
def test_one_day_in_many_forms(typed: str) -> None:
    span = parse_span(typed)
    assert (span.earliest, span.latest) == (d("2026-11-20"), d("2026-11-20"))
    assert parse_day(typed) == d("2026-11-20")
    assert parse_span(text(span)) == span


def test_single_digits() -> None:
    assert parse_day("2026-1-5") == parse_day("5.1.2026") == parse_day("5 jan 2026") == d("2026-01-05")


def test_only_a_plain_iso_day_has_no_words() -> None:
    assert parse_span(" 2026-11-20 ").words == ""
    assert parse_span("20.11.2026").words == "20.11.2026"
    assert parse_span("2026-W47-5").words == "2026-W47-5"


@pytest.mark.parametrize(
    ("typed", "earliest", "latest"),
    [
        ("10/2026", "2026-10-01", "2026-10-31"),
        ("10.2026", "2026-10-01", "2026-10-31"),
        ("2026/10", "2026-10-01", "2026-10-31"),
        ("2026-2", "2026-02-01", "2026-02-28"),
        ("Oct. 2026", "2026-10-01", "2026-10-31"),
        ("Oktober 2026", "2026-10-01", "2026-10-31"),
        ("März 2026", "2026-03-01", "2026-03-31"),
        ("early October 2026", "2026-10-01", "2026-10-10"),
        ("mid October 2026", "2026-10-11", "2026-10-20"),
        ("mid-October 2026", "2026-10-11", "2026-10-20"),
        ("late October 2026", "2026-10-21", "2026-10-31"),
        ("end of February 2024", "2024-02-21", "2024-02-29"),
        ("early spring 2026", "2026-03-01", "2026-03-31"),
        ("late winter 2025/26", "2026-02-01", "2026-02-28"),
        ("early winter 2026", "2025-12-01", "2025-12-31"),
        ("early 2026", "2026-01-01", "2026-04-30"),
        ("mid 2026", "2026-05-01", "2026-08-31"),
        ("late 2026", "2026-09-01", "2026-12-31"),
        ("KW 45 2026", "2026-11-02", "2026-11-08"),
        ("KW45/2026", "2026-11-02", "2026-11-08"),
        ("week 45 2026", "2026-11-02", "2026-11-08"),
        ("week 45 of 2026", "2026-11-02", "2026-11-08"),
        ("2026-W45", "2026-11-02", "2026-11-08"),
        ("2026W45", "2026-11-02", "2026-11-08"),
        ("2026-03-01..2026-03-05", "2026-03-01", "2026-03-05"),
        ("2026-03-01 - 2026-03-05", "2026-03-01", "2026-03-05"),
        ("2026-03-01 – 2026-03-05", "2026-03-01", "2026-03-05"),
        ("2025–2026", "2025-01-01", "2026-12-31"),
        ("from 1.3.2026 to 5.3.2026", "2026-03-01", "2026-03-05"),
        ("3 to 5 March 2026", "2026-03-03", "2026-03-05"),
        ("between 3 March and 5 April 2026", "2026-03-03", "2026-04-05"),
        ("March to May 2026", "2026-03-01", "2026-05-31"),
        ("~ 2026-03-10", "2026-03-03", "2026-03-17"),
        ("ca. 10.3.2026", "2026-03-03", "2026-03-17"),
        ("around May 2026", "2026-04-16", "2026-06-15"),
        ("about week 45 2026", "2026-10-23", "2026-11-18"),
        ("about mid October 2026", "2026-10-01", "2026-10-30"),
    ],
)
def test_stretches_of_time(typed: str, earliest: str, latest: str) -> None:
    span = parse_span(typed)
    assert plain_words(span) == f"{earliest} to {latest}"
    assert span.words == typed
    assert parse_span(text(span)) == span


@pytest.mark.parametrize(
    ("typed", "span"),
    [
        ("since 2026-03-01", (d("2026-03-01"), LAST)),
        ("2026-03-01..", (d("2026-03-01"), LAST)),
        ("until March 2026", (FIRST, d("2026-03-31"))),
        ("..2026-03-01", (FIRST, d("2026-03-01"))),
        ("2026-03-01/..", (d("2026-03-01"), LAST)),
        ("../2026-03-01", (FIRST, d("2026-03-01"))),
        ("before week 45 2026", (FIRST, d("2026-11-01"))),
        ("after 20.11.2026", (d("2026-11-21"), LAST)),
    ],
)
def test_open_ends(typed: str, span: tuple[int, int]) -> None:
    assert parse_span(typed)[:2] == span


@pytest.mark.parametrize(
    ("typed", "earliest", "latest", "words"),
    [
        ("today", "2026-11-29", "2026-11-29", ""),
        ("Yesterday", "2026-11-28", "2026-11-28", ""),
        ("tomorrow", "2026-11-30", "2026-11-30", ""),
        ("3 days ago", "2026-11-26", "2026-11-26", ""),
        ("a day ago", "2026-11-28", "2026-11-28", ""),
        ("0 days ago", "2026-11-29", "2026-11-29", ""),
        ("2 weeks ago", "2026-11-12", "2026-11-18", ""),
        ("a week ago", "2026-11-19", "2026-11-25", ""),
        ("0 weeks ago", "2026-11-29", "2026-11-29", ""),
        ("2 months ago", "2026-09-14", "2026-10-14", ""),
        ("this month", "2026-11-01", "2026-11-30", ""),
        ("last month", "2026-10-01", "2026-10-31", ""),
        ("last week", "2026-11-16", "2026-11-22", ""),
        ("last year", "2025-01-01", "2025-12-31", ""),
        ("in 3 days", "2026-12-02", "2026-12-02", ""),
        ("+14", "2026-12-13", "2026-12-13", ""),
        ("3 days ago to today", "2026-11-26", "2026-11-29", ""),
        ("about yesterday", "2026-11-21", "2026-12-05", "about 2026-11-28"),
        ("2026-11-01 to yesterday", "2026-11-01", "2026-11-28", ""),
    ],
)
def test_words_that_depend_on_today_are_not_kept(typed: str, earliest: str, latest: str, words: str) -> None:
    span = parse_span(typed, today=TODAY)
    assert span == Span(d(earliest), d(latest), words)
    assert parse_span(text(span))[:2] == span[:2]
    assert "tomorrow" in refused(typed).reason  # it depends on the day it is read


def test_before_yesterday_becomes_a_day() -> None:
    span = parse_span("before yesterday", today=TODAY)
    assert text(span) == "before 2026-11-28"


def test_digits_alone_are_days_ago_only_where_the_caller_says_so() -> None:
    assert parse_day("3", today=TODAY, digits_are_days_ago=True) == TODAY - 3
    assert parse_day("0", today=TODAY, digits_are_days_ago=True) == TODAY
    assert parse_span("2026", today=TODAY, digits_are_days_ago=True).words == "2026"
    assert refused("3", today=TODAY).reason == "`3` is not a date."


def test_a_date_that_can_be_read_in_two_ways_is_refused_with_both() -> None:
    e = refused("05/06/2026")
    assert e.reason == "`05/06/2026` can be 5 June or 6 May."
    assert e.suggestions == ("2026-06-05", "2026-05-06")
    assert e.hint == "Did you mean `2026-06-05` or `2026-05-06`?"
    assert refused("before 5-6-2026").suggestions == ("before 2026-06-05", "before 2026-05-06")


@pytest.mark.parametrize(
    "typed", ["31/10/2026", "31.10.2026", "31-10-2026", "10/31/2026", "05/05/2026", "05.06.2026"]
)
def test_a_date_that_can_be_read_in_one_way_is_read(typed: str) -> None:
    assert parse_span(typed).exact
    assert parse_span(typed).words == typed


def test_a_settled_order_reads_the_others_and_keeps_no_words_that_need_it() -> None:
    assert parse_span("05/06/2026", order=DateOrder.DAY_FIRST) == Span(d("2026-06-05"), d("2026-06-05"))
    assert parse_span("05/06/2026", order=DateOrder.MONTH_FIRST) == Span(d("2026-05-06"), d("2026-05-06"))
    assert text(parse_span("before 05/06/2026", order=DateOrder.DAY_FIRST)) == "before 2026-06-05"
    assert parse_day("05/06/26", order=DateOrder.DAY_FIRST) == d("2026-06-05")
    assert parse_span("31/10/2026", order=DateOrder.MONTH_FIRST).words == "31/10/2026"


def test_two_digit_years_after_points() -> None:
    assert parse_day("20.11.68") == d("2068-11-20")
    assert parse_day("20.11.69") == d("1969-11-20")


@pytest.mark.parametrize(
    ("typed", "reason", "suggestions"),
    [
        ("2026-02-29", "February 2026 has 28 days.", ("2026-02-28",)),
        ("before 2026-02-29", "February 2026 has 28 days.", ("before 2026-02-28",)),
        ("31 June 2026", "June 2026 has 30 days.", ("2026-06-30",)),
        ("0.3.2026", "March 2026 has 31 days.", ("2026-03-01",)),
        ("2026-13", "There is no month 13.", ()),
        ("2026-20-11", "There is no month 20.", ("2026-11-20",)),
        ("10.31.2026", "There is no month 31.", ("2026-10-31",)),
        ("32/10/2026", "October 2026 has 31 days.", ("2026-10-31",)),
        ("10/32/2026", "October 2026 has 31 days.", ("2026-10-31",)),
        ("40/40/2026", "There is no month 40.", ()),
        ("0000", "`0000` is outside the calendar, which runs from the year 1 to 9999.", ()),
        ("week 54 2026", "2026 has 53 weeks.", ("week 53 2026",)),
        ("KW 53 2025", "2025 has 52 weeks.", ("week 52 2025",)),
        ("week 0 2025", "2025 has 52 weeks.", ("week 1 2025",)),
        ("winter 2025/27", "Winter runs from one year into the next.", ("winter 2025/26",)),
        ("spring 2025/26", "Spring 2025 lies within one year.", ("spring 2025",)),
        ("20/11/26", "`20/11/26` does not give the year in four digits.", ("2026-11-20", "2020-11-26")),
        ("between 2026-03-01", "`between 2026-03-01` names one date, not two.", ()),
        ("2026-03-09 to 2026-03-01", "`2026-03-09` comes after `2026-03-01`.", ("2026-03-01 to 2026-03-09",)),
        ("2026-03-09/2026-03-01", "`2026-03-09` comes after `2026-03-01`.", ("2026-03-01/2026-03-09",)),
        ("before", "The date is missing.", ()),
        ("..", "The date is missing.", ()),
        ("before 0001", "No date comes before `0001`.", ()),
        ("after 9999", "No date comes after `9999`.", ()),
        ("before unknown", "`unknown` is not a date.", ()),
        ("abuot 2026-03-01", "`abuot 2026-03-01` is not a date.", ("about 2026-03-01",)),
        ("sprng 2026", "`sprng 2026` is not a date.", ("spring 2026",)),
        ("Agust 2026", "`agust 2026` is not a date.", ("august 2026",)),
        ("2026-03-01 08:30", "`2026-03-01 08:30` is not a date.", ("2026-03-01",)),
        ("٢٠٢٦-٠٣-٠١", "`٢٠٢٦-٠٣-٠١` is not a date.", ()),
        ("2026-03-01\n2026-03-02", "`2026-03-01 2026-03-02` is not a date.", ()),
    ],
)
def test_refused_with_the_reason_and_what_would_work(
    typed: str, reason: str, suggestions: tuple[str, ...]
) -> None:
    e = refused(typed)
    assert (e.reason, e.suggestions) == (reason, suggestions)


@pytest.mark.parametrize(
    ("typed", "suggestion"),
    [
        ("20.11.", "20.11.2026"),
        ("20.11", "20.11.2026"),
        ("24.12.", "24.12.2025"),
        ("20 november", "20 november 2026"),
        ("december", "december 2025"),
        ("summer", "summer 2026"),
        ("kw 45", "kw 45 2026"),
    ],
)
def test_a_date_without_its_year_is_offered_with_the_latest_that_is_not_ahead(
    typed: str, suggestion: str
) -> None:
    e = refused(typed, today=TODAY)
    assert e.reason == f"`{typed}` does not say which year."
    assert e.suggestions == (suggestion,)
    assert refused(typed).suggestions == ()


def test_more_than_one_day_is_no_day() -> None:
    for typed, reason in (
        ("March 2026", "`March 2026` is more than one day."),
        ("unknown", "`unknown` is more than one day."),
        (" ", "The date is missing."),
    ):
        with pytest.raises(UnreadableValue) as e:
            parse_day(typed)
        assert e.value.reason == reason


def test_long_text_is_refused_short() -> None:
    e = refused("2026-03-01 " * 10_000)
    assert len(str(e)) < 500


def test_an_interval_carries_any_words() -> None:
    span = Span(d("2026-03-01"), d("2026-03-05"), "when the frost broke\n\tand after")
    assert interval_text(span) == "2026-03-01/2026-03-05 when the frost broke\n\tand after"
    assert parse_span(interval_text(span)) == span
    assert interval_text(Span(FIRST, LAST)) == "../.."
    assert parse_span("../..") == Span(FIRST, LAST)


def test_shifting_keeps_the_form_where_it_can() -> None:
    assert shifted(parse_span("about 2026-02-03"), 365).words == "about 2027-02-03"
    assert shifted(parse_span("spring 2026"), 1).words == "2026-03-02 to 2026-06-01"
    assert shifted(parse_span("20.11.2026"), 1) == parse_span("2026-11-21")
    assert shifted(parse_span("week 45 2026"), 7).words == "2026-11-09 to 2026-11-15"
    assert shifted(parse_span("2026-02-03"), 1) == parse_span("2026-02-04")
    assert shifted(Span(FIRST, LAST, "unknown"), 5).words == "unknown"
