"""Hatch spans: by the rule, never empty, never too narrow, and in step with what they follow from."""

from __future__ import annotations

import itertools
from datetime import date

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rounds.husbandry import hatching_sentences
from rounds.husbandry.hatching import FOUND, Hatch, Times, hatch, since_hatching
from rounds.values.spans import FIRST, LAST, Span

DAY0 = date(2026, 3, 1).toordinal()
TIMES = Times((12, 20), (10, 21), (12, 21))


def on(day: int) -> Span:
    return Span(DAY0 + day, DAY0 + day)


def within(low: int, high: int) -> Span:
    return Span(DAY0 + low, DAY0 + high)


# --- the rule, by hand --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("found", "made", "since", "times", "span"),
    [
        ("L1", on(40), on(0), TIMES, within(12, 40)),
        ("L2", on(40), on(0), TIMES, within(12, 30)),
        ("L3", on(40), on(0), TIMES, within(12, 18)),
        ("eggs", on(40), on(0), TIMES, within(40, 60)),
        ("eggs", on(5), on(0), TIMES, within(12, 25)),  # the youngest egg of its species is still 7 days off
        ("L1", on(40), on(30), TIMES._replace(egg=(8, 9)), within(38, 40)),  # a complete search on day 30
        ("L2", on(40), on(0), Times((9.6, 13), (13.5, 14), None), within(9, 27)),  # part days are dropped
        ("L3", on(40), on(0), Times(None, (13, 14), None), within(0, 27)),  # no time, no narrowing
        ("L1", on(40), on(0), None, within(0, 40)),
        ("eggs", on(40), on(0), None, Span(DAY0 + 40, LAST)),
        ("L1", on(40), None, TIMES, Span(FIRST, DAY0 + 40)),  # nobody knows since when
        ("L1", within(38, 42), within(-2, 2), TIMES, within(10, 42)),  # vague days make vague spans
    ],
)
def test_the_rule(found: str, made: Span, since: Span | None, times: Times | None, span: Span) -> None:
    assert hatch(found, made, since, times) == Hatch(span)


def test_times_that_contradict_the_books_are_doubted_and_the_books_believed() -> None:
    found = hatch("L3", on(20), on(0), TIMES)
    assert found.span == within(0, 20)
    assert found.doubt == hatching_sentences.too_soon("L3", 20, 34)
    # The control: a fortnight later it fits, and nothing is doubted.
    assert hatch("L3", on(34), on(0), TIMES) == Hatch(within(12, 12))


def test_what_an_earlier_search_left_may_have_hatched_since_then() -> None:
    """A complete search on day 30 left eggs that hatch from day 31 on; new ones could not before day 42."""
    assert hatch("L1", on(45), on(30), TIMES).span == within(42, 45)
    assert hatch("L1", on(45), on(30), TIMES, left=within(31, 50)).span == within(31, 45)
    assert hatch("L1", on(35), on(30), TIMES, left=within(31, 50)) == Hatch(within(31, 35))


def test_a_female_that_came_after_the_search_is_an_error() -> None:
    with pytest.raises(ValueError, match="after the search"):
        hatch("L1", on(10), on(11), TIMES)


# --- properties ---------------------------------------------------------------------------

days = st.integers(0, 400)
pairs = st.tuples(st.floats(0, 40), st.floats(0, 40)).map(lambda p: (min(p), max(p)))
every_times = st.builds(Times, *(st.none() | pairs for _ in range(3)))
vague = st.tuples(days, st.integers(0, 30)).map(lambda p: within(p[0], p[0] + p[1]))
found_ = st.sampled_from(FOUND)


@given(found_, vague, st.none() | vague, st.none() | every_times, st.none() | vague)
def test_a_span_is_never_empty_and_never_outside_the_books(found, made, since, times, left):
    assume(since is None or since.earliest <= made.latest)
    span, doubt = hatch(found, made, since, times, left)
    assert span.earliest <= span.latest
    first = min(s.earliest for s in (since, left) if s is not None) if since else FIRST
    if found == "eggs":
        assert span.earliest >= made.earliest
    else:
        assert span.latest <= made.latest
        assert span.earliest >= min(first, made.latest)
    if times is None:
        assert not doubt


@given(found_, vague, vague, every_times, st.integers(0, 60), st.integers(0, 60))
def test_an_earlier_search_or_female_never_makes_the_hatch_later(found, made, since, times, sooner, before):
    assume(since.earliest <= made.latest)
    now = hatch(found, made, since, times)
    then = hatch(found, made.plus(-sooner), since.plus(-sooner - before), times)
    assume(not now.doubt and not then.doubt)
    assert then.span.earliest <= now.span.earliest
    assert then.span.latest <= now.span.latest


@given(vague, vague, every_times)
def test_an_older_instar_hatched_no_later(made, since, times):
    assume(since.earliest <= made.latest)
    spans = [hatch(f, made, since, times) for f in FOUND]
    fitting = [s.span for s in spans if not s.doubt]
    for younger, older in itertools.pairwise(fitting):
        assert older.latest <= younger.latest
        assert older.earliest <= younger.earliest


@given(found_, vague, vague, every_times)
def test_knowing_less_of_the_species_never_narrows(found, made, since, times):
    assume(since.earliest <= made.latest)
    known = hatch(found, made, since, times)
    assume(not known.doubt)
    for name in Times._fields:
        less = hatch(found, made, since, times._replace(**{name: None}))
        assert not less.doubt
        assert less.span.earliest <= known.span.earliest
        assert less.span.latest >= known.span.latest


@given(found_, vague, vague, every_times, st.integers(0, 20), st.integers(0, 20))
def test_vaguer_days_never_narrow(found, made, since, times, more, less):
    assume(since.earliest <= made.latest)
    known = hatch(found, made, since, times)
    wider = hatch(
        found,
        Span(made.earliest - less, made.latest + more),
        Span(since.earliest - less, since.latest + more),
        times,
    )
    assume(not known.doubt)
    assert not wider.doubt
    assert wider.span.hull(known.span) == wider.span


life = st.tuples(st.integers(0, 60), *(st.floats(0, 1) for _ in range(3)), st.integers(0, 200))


def lived(times: Times, share: tuple[float, float, float]) -> list[float]:
    """Days in egg, L1 and L2 of one individual, within the species' times."""
    return [low + s * (high - low) for (low, high), s in zip(times, share, strict=True)]  # type: ignore[misc]


def stage(laid: int, stages: list[float], day: int) -> tuple[str, float]:
    """What it is on a day, and when it hatches or hatched."""
    age, hatched = day - laid, laid + stages[0]
    for name, length in zip(FOUND, stages, strict=False):
        if age < length:
            return name, hatched
        age -= length  # type: ignore[assignment]
    return "L3", hatched


@given(st.builds(Times, pairs, pairs, pairs), life)
def test_the_true_hatch_is_always_within(times, one):
    laid, a, b, c, later = one
    found, hatched = stage(laid, lived(times, (a, b, c)), laid + later)
    span, doubt = hatch(found, on(laid + later), on(0), times)
    assert not doubt
    assert span.earliest <= DAY0 + hatched
    assert DAY0 + hatched < span.latest + 1


def test_control_times_of_a_slower_species_miss_the_true_hatch() -> None:
    """The test above is able to fail: eggs of 8 days are missed when 12 are taken as shortest."""
    found, hatched = stage(0, [8, 10, 12], 19)
    assert (found, hatched) == ("L2", 8)
    assert hatch(found, on(19), on(0), TIMES._replace(egg=(8, 9))).span == within(8, 9)
    wrong = hatch("L1", on(16), on(0), TIMES)
    assert DAY0 + hatched < wrong.span.earliest


@given(every_times)
def test_time_since_hatching_grows_with_the_instar(times):
    reach = [since_hatching(f, times) for f in FOUND]
    assert reach == sorted(reach)
    assert reach[:2] == [0, 0]
