"""Arithmetic with spans of days: nothing narrows by itself, and open ends stay open."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.values.span_parser import interval_text, parse_span, shifted
from rounds.values.spans import FIRST, LAST, UNKNOWN, Span, day, text


def d(iso: str) -> int:
    return date.fromisoformat(iso).toordinal()


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
    assert parse_span(text(span._replace(words="")))[:2] == span[:2]


@given(typed_words, st.text(" ", max_size=2))
def test_words_typed_are_kept(typed: str, blank: str) -> None:
    span = parse_span(blank + typed + blank)
    assert text(span) == typed
    assert parse_span(text(span)) == span


@given(typed_words, st.booleans())
def test_what_is_named_lies_within_about_and_outside_before_and_after(typed: str, southern: bool) -> None:
    word, _, rest = typed.partition(" ")
    if word not in ("before", "after", "about"):
        return
    named, said = parse_span(rest, southern=southern), parse_span(typed, southern=southern)
    if word == "about":
        assert said.earliest < named.earliest
        assert said.latest > named.latest
    elif word == "before":
        assert (said.earliest, said.latest) == (FIRST, named.earliest - 1)
    else:
        assert (said.earliest, said.latest) == (named.latest + 1, LAST)


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
    assert parse_span("before 2026-03-01").days_since(parse_span("2026-01-01")) == (None, 58)
    assert parse_span("2026-01-01").days_since(parse_span("before 2025-12-31")) == (2, None)
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


@given(typed_words, st.integers(-40_000, 40_000))
def test_shifted_words_say_the_shifted_days(typed: str, by: int) -> None:
    span = parse_span(typed)
    moved = shifted(span, by)
    assert parse_span(text(moved))[:2] == moved[:2]
    for before, after in zip(span[:2], moved[:2], strict=True):
        assert after == (before if before in (FIRST, LAST) else before + by)


@given(open_spans, st.text(max_size=20))
def test_an_interval_parses_back_with_any_words(span: Span, words: str) -> None:
    worded = span._replace(words=words)
    assert parse_span(interval_text(worded)) == worded


def test_a_day_of_the_calendar() -> None:
    assert day(2026, 3, 1) == parse_span("2026-03-01")
    assert str(day(2026, 3, 1)) == "2026-03-01"
