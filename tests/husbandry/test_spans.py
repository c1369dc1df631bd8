"""Dates as keepers write them: what is read, what is refused, and that nothing narrows by itself."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.husbandry.spans import FIRST, LAST, UNKNOWN, Span, SpanError, parse, shifted, text


def d(iso: str) -> int:
    return date.fromisoformat(iso).toordinal()


@pytest.mark.parametrize(
    ("typed", "earliest", "latest"),
    [
        ("2026-03-01", "2026-03-01", "2026-03-01"),
        ("1 March 2026", "2026-03-01", "2026-03-01"),
        ("01 mar 2026", "2026-03-01", "2026-03-01"),
        ("2026-05", "2026-05-01", "2026-05-31"),
        ("May 2026", "2026-05-01", "2026-05-31"),
        ("feb 2024", "2024-02-01", "2024-02-29"),
        ("December 2025", "2025-12-01", "2025-12-31"),
        ("2026", "2026-01-01", "2026-12-31"),
        ("spring 2026", "2026-03-01", "2026-05-31"),
        ("SUMMER  2026", "2026-06-01", "2026-08-31"),
        ("autumn 2025", "2025-09-01", "2025-11-30"),
        ("fall 2025", "2025-09-01", "2025-11-30"),
        ("winter 2024", "2023-12-01", "2024-02-29"),
        ("winter 2025/26", "2025-12-01", "2026-02-28"),
        ("winter 1999/00", "1999-12-01", "2000-02-29"),
        ("about 2026-03-10", "2026-03-03", "2026-03-17"),
        ("about May 2026", "2026-04-16", "2026-06-15"),
        ("about spring 2026", "2026-01-30", "2026-06-30"),
        ("about 2026", "2025-10-03", "2027-03-31"),
        ("between 2026-03-01 and 2026-03-09", "2026-03-01", "2026-03-09"),
        ("2026-03-01 to 2026-03-09", "2026-03-01", "2026-03-09"),
        ("between March 2026 and May 2026", "2026-03-01", "2026-05-31"),
        ("2025 to spring 2026", "2025-01-01", "2026-05-31"),
        ("December 9999", "9999-12-01", "9999-12-31"),
    ],
)
def test_reads_what_keepers_write(typed: str, earliest: str, latest: str) -> None:
    span = parse(typed)
    assert (date.fromordinal(span.earliest).isoformat(), date.fromordinal(span.latest).isoformat()) == (
        earliest,
        latest,
    )


@pytest.mark.parametrize(
    ("typed", "span"),
    [
        ("before 2026-03-01", (FIRST, d("2026-02-28"))),
        ("before spring 2026", (FIRST, d("2026-02-28"))),
        ("after 2026-03-01", (d("2026-03-02"), LAST)),
        ("after May 2026", (d("2026-06-01"), LAST)),
        ("unknown", (FIRST, LAST)),
        ("", (FIRST, LAST)),
        ("   ", (FIRST, LAST)),
    ],
)
def test_open_ends(typed: str, span: tuple[int, int]) -> None:
    assert parse(typed)[:2] == span


def test_seasons_south_of_the_equator_are_half_a_year_away() -> None:
    assert parse("spring 2026", southern=True)[:2] == (d("2026-09-01"), d("2026-11-30"))
    assert parse("summer 2026", southern=True)[:2] == (d("2025-12-01"), d("2026-02-28"))
    assert parse("summer 2025/26", southern=True)[:2] == (d("2025-12-01"), d("2026-02-28"))
    assert parse("winter 2026", southern=True)[:2] == (d("2026-06-01"), d("2026-08-31"))


@pytest.mark.parametrize(
    ("typed", "part"),
    [
        ("2026-02-29", "no 2026-02-29 in the calendar"),
        ("31 June 2026", "no 31 june 2026 in the calendar"),
        ("2026-13", "no 2026-13"),
        ("0000", "no 0000"),
        ("01/03/2026", "two ways"),
        ("3.4.26", "two ways"),
        ("2026-3-1", "two ways"),
        ("between 2026-03-01", "names one date"),
        ("2026-03-09 to 2026-03-01", "first date is after the second"),
        ("between May 2026 and March 2026", "first date is after the second"),
        ("spring 2025/26", "lies within one year"),
        ("winter 2025/27", "do not follow"),
        ("before", "date is missing"),
        ("before unknown", "not a date"),
        ("٢٠٢٦-٠٣-٠١", "not a date"),
        ("2026-03-01\n2026-03-02", "not a date"),
        ("yesterday", "not a date"),
    ],
)
def test_refuses_with_what_was_expected(typed: str, part: str) -> None:
    with pytest.raises(SpanError) as e:
        parse(typed)
    assert part in e.value.what
    assert e.value.expected


@pytest.mark.parametrize(
    ("typed", "near"), [("abuot 2026-03-01", "about"), ("sprng 2026", "spring"), ("Agust 2026", "august")]
)
def test_names_the_nearest_word(typed: str, near: str) -> None:
    with pytest.raises(SpanError) as e:
        parse(typed)
    assert e.value.near == near


days = st.integers(d("1800-01-01"), d("2300-01-01"))
spans = st.builds(lambda a, b: Span(min(a, b), max(a, b)), days, days)
open_spans = st.one_of(
    spans,
    st.builds(lambda a: Span(FIRST, a), days),
    st.builds(lambda a: Span(a, LAST), days),
    st.just(UNKNOWN),
)
iso = days.map(lambda n: date.fromordinal(n).isoformat())
month = st.builds("{:04}-{:02}".format, st.integers(1800, 2300), st.integers(1, 12))
season = st.builds(
    "{} {}".format, st.sampled_from(["winter", "spring", "summer", "autumn"]), st.integers(1800, 2300)
)
one_date = st.one_of(iso, month, season, st.integers(1800, 2300).map(str))
typed_words = st.one_of(
    one_date,
    st.builds("{} {}".format, st.sampled_from(["before", "after", "about"]), one_date),
    st.just("unknown"),
)


@given(open_spans)
def test_a_span_without_words_is_written_so_that_it_reads_back(span: Span) -> None:
    assert parse(text(span._replace(words="")))[:2] == span[:2]


@given(typed_words, st.text(" ", max_size=2))
def test_words_typed_are_kept(typed: str, blank: str) -> None:
    span = parse(blank + typed + blank)
    assert text(span) == typed
    assert parse(text(span)) == span


@given(typed_words, st.booleans())
def test_what_is_named_lies_within_about_and_outside_before_and_after(typed: str, southern: bool) -> None:
    word, _, rest = typed.partition(" ")
    if word not in ("before", "after", "about"):
        return
    named, said = parse(rest, southern=southern), parse(typed, southern=southern)
    if word == "about":
        assert said.earliest < named.earliest
        assert said.latest > named.latest
    elif word == "before":
        assert (said.earliest, said.latest) == (FIRST, named.earliest - 1)
    else:
        assert (said.earliest, said.latest) == (named.latest + 1, LAST)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_in_words(typed: str) -> None:
    try:
        span = parse(typed)
    except SpanError as e:
        refused = e
    else:
        assert FIRST <= span.earliest <= span.latest <= LAST
        return
    assert refused.what
    assert refused.expected


@given(open_spans, st.integers(-400, 400), st.integers(0, 300))
def test_every_day_of_a_span_moved_lies_in_the_moved_span(span: Span, low: int, width: int) -> None:
    moved = span.plus(low, low + width)
    assert moved.words == ""
    assert (moved.earliest == FIRST) == (span.earliest == FIRST)
    assert (moved.latest == LAST) == (span.latest == LAST)
    for start in (span.earliest, span.latest):
        if FIRST < start < LAST:
            for days_later in (low, low + width):
                assert moved.earliest <= start + days_later <= moved.latest
    if not span.unknown and span.earliest > FIRST and span.latest < LAST:
        assert moved.latest - moved.earliest == span.latest - span.earliest + width


def test_arithmetic_does_not_run_backwards() -> None:
    with pytest.raises(ValueError, match="backwards"):
        Span(10, 20).plus(3, 2)


@given(spans, spans, st.data())
def test_days_between_hold_for_every_pair_of_days(a: Span, b: Span, data: st.DataObject) -> None:
    fewest, most = b.days_since(a)
    x = data.draw(st.integers(a.earliest, a.latest))
    y = data.draw(st.integers(b.earliest, b.latest))
    assert fewest is not None
    assert most is not None
    assert fewest <= y - x <= most


def test_days_between_open_ends_are_not_known() -> None:
    assert parse("before 2026-03-01").days_since(parse("2026-01-01")) == (None, 58)
    assert parse("2026-01-01").days_since(parse("before 2025-12-31")) == (2, None)
    assert UNKNOWN.days_since(UNKNOWN) == (None, None)


@given(open_spans, open_spans)
def test_hull_holds_both_and_meet_is_in_both(a: Span, b: Span) -> None:
    hull, meet = a.hull(b), a.meet(b)
    assert hull.meet(a) == Span(a.earliest, a.latest)
    assert hull.meet(b) == Span(b.earliest, b.latest)
    if meet is None:
        assert a.latest < b.earliest or b.latest < a.earliest
    else:
        assert max(a.earliest, b.earliest) == meet.earliest
        assert min(a.latest, b.latest) == meet.latest


def test_before_a_day_has_three_answers() -> None:
    span = parse("between 2026-03-01 and 2026-03-09")
    assert span.is_before(d("2026-03-10")) is True
    assert span.is_before(d("2026-03-09")) is None
    assert span.is_before(d("2026-03-01")) is False
    assert UNKNOWN.is_before(d("2026-03-01")) is None


@given(typed_words, st.integers(-40_000, 40_000))
def test_shifted_words_say_the_shifted_days(typed: str, by: int) -> None:
    span = parse(typed)
    moved = shifted(span, by)
    assert parse(text(moved))[:2] == moved[:2]
    for before, after in zip(span[:2], moved[:2], strict=True):
        assert after == (before if before in (FIRST, LAST) else before + by)


def test_shifting_keeps_the_form_where_it_can() -> None:
    day = timedelta(days=365)
    assert shifted(parse("about 2026-02-03"), day.days).words == "about 2027-02-03"
    assert shifted(parse("before 2026-02-03"), day.days).words == "before 2027-02-03"
    assert shifted(parse("spring 2026"), 1).words == "2026-03-02 to 2026-06-01"
    assert shifted(parse("2026-02-03"), 1) == parse("2026-02-04")
