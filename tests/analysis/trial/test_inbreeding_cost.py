"""Lethal equivalents over levels of F."""

from __future__ import annotations

from math import exp, inf, isfinite, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.analysis.trial import cost_sentences, cost_words, inbreeding_cost
from rounds.analysis.trial.inbreeding_cost import Level
from rounds.reports.as_json import json_object
from rounds.reports.verdict_report import cost_report
from tests.sampled import sampled

LEVELS = st.lists(
    st.tuples(st.sampled_from([0.0, 0.125, 0.25, 0.375, 0.5]), st.integers(1, 200)).flatmap(
        lambda x: st.tuples(st.just(x[0]), st.just(x[1]), st.integers(0, x[1]))
    ),
    min_size=2,
    max_size=8,
).filter(lambda rows: len({f for f, _, _ in rows}) > 1 and any(y for _, _, y in rows))


def no_number_without_limit(rows: list[Level], c: inbreeding_cost.Cost) -> bool:
    """Is B null for programs, as JSON has no number without limit?"""
    found = json_object(cost_report(rows, c))
    figures = [found[name] for name in ("b_per_gamete", "b_per_animal")]
    return all(isinstance(f, dict) and f["value"] is None for f in figures)


def loglik(rows: list[Level], a: float, b: float) -> float:
    total = 0.0
    for r in rows:
        x = a + b * r.f
        if x < 0 or (x == 0 and r.survived < r.n):
            return -inf
        total += -r.survived * x + ((r.n - r.survived) * log(1 - exp(-x)) if r.survived < r.n else 0)
    return total


@settings(max_examples=sampled(40, 150))
@given(LEVELS)
def test_no_line_near_or_far_is_likelier_and_survival_never_passes_1(levels: list) -> None:
    rows = [Level(*x) for x in levels]
    c = inbreeding_cost.fit(rows)
    if not isfinite(c.b):
        end = (min if c.b > 0 else max)(x.f for x in rows)
        assert all(r.survived == 0 for r in rows if r.f != end)
        return
    for r in rows:
        assert c.survival(r.f) <= 1 + 1e-9
    for da in (-0.05, -1e-3, 0, 1e-3, 0.05, 0.5):
        for db in (-0.5, -1e-2, 0, 1e-2, 0.5):
            assert loglik(rows, c.a + da, c.b + db) <= c.loglik + 1e-7
    if c.low is not None and c.high is not None:
        assert c.low <= c.b <= c.high


@settings(max_examples=sampled(20, 60))
@given(LEVELS)
def test_order_and_splitting_rows_do_not_change_the_line(levels: list) -> None:
    rows = [Level(*x) for x in levels]
    c = inbreeding_cost.fit(rows)
    merged: dict[float, list[int]] = {}
    for r in rows[::-1]:
        n, y = merged.setdefault(r.f, [0, 0])
        merged[r.f] = [n + r.n, y + r.survived]
    d = inbreeding_cost.fit([Level(f, n, y) for f, (n, y) in merged.items()])
    if isfinite(c.b):
        assert (d.a, d.b) == pytest.approx((c.a, c.b), abs=1e-4)
        assert d.loglik == pytest.approx(c.loglik, abs=1e-7)
    else:
        assert d.b == c.b


def test_all_alive_at_one_end_holds_survival_at_1() -> None:
    c = inbreeding_cost.fit([Level(0, 50, 50), Level(0.125, 50, 40), Level(0.25, 50, 20)])
    assert c.a == pytest.approx(0, abs=1e-9)
    assert c.b > 0
    assert (c.error_b, c.low, c.high) == (None, None, None)
    assert cost_sentences.NO_INTERVAL in cost_words.cost_lines([Level(0, 50, 50)], c)


def test_nothing_alive_above_the_lowest_f_has_no_limit() -> None:
    rows = [Level(0, 100, 80), Level(0.25, 100, 0)]
    c = inbreeding_cost.fit(rows)
    assert c.b == inf
    assert no_number_without_limit(rows, c)
    assert inbreeding_cost.between(0.8, 0.0, 0.25) == (inf, 1.0)


def test_nothing_alive_below_the_highest_f_has_no_limit_either() -> None:
    """No line of a hundred lethal equivalents out of the last step the climb happened to take."""
    rows = [Level(0, 100, 0), Level(0.125, 50, 0), Level(0.25, 100, 20)]
    c = inbreeding_cost.fit(rows)
    assert (c.b, c.low, c.high) == (-inf, None, None)
    assert c.loglik == pytest.approx(20 * log(0.2) + 80 * log(0.8))
    said = cost_words.cost_lines(rows, c)
    assert said[:2] == [cost_sentences.NO_RANGE, cost_sentences.NO_LOWER_LIMIT]
    assert said[-1] == cost_sentences.level(0.25, 20, 100)
    assert no_number_without_limit(rows, c)


def test_a_negative_cost_stays_negative() -> None:
    assert inbreeding_cost.fit([Level(0, 100, 60), Level(0.25, 100, 80)]).b < 0
    b, delta = inbreeding_cost.between(0.6, 0.8, 0.25)
    assert b < 0
    assert delta < 0


@pytest.mark.parametrize("rows", [[Level(0.25, 9, 3)] * 2, [Level(0, 9, 0), Level(0.25, 9, 0)]])
def test_what_has_no_cost_to_fit_is_refused(rows: list[Level]) -> None:
    with pytest.raises(ValueError, match=r"levels|survived"):
        inbreeding_cost.fit(rows)


@given(st.floats(-3, 20), st.floats(0.01, 1))
def test_cost_and_b_are_each_others_inverse(b: float, f: float) -> None:
    cost = inbreeding_cost.cost_of(b, f)
    if cost < 1 - 1e-9:
        assert inbreeding_cost.b_of(cost, f) == pytest.approx(b, abs=1e-6)


def test_rows_that_vary_more_than_chance_widen_the_interval() -> None:
    calm = [Level(f, 40, y) for f, y in ((0, 30), (0, 30), (0, 30), (0.25, 20), (0.25, 20), (0.25, 20))]
    wild = [Level(f, 40, y) for f, y in ((0, 40), (0, 20), (0, 30), (0.25, 35), (0.25, 5), (0.25, 20))]
    a, b = inbreeding_cost.fit(calm), inbreeding_cost.fit(wild)
    assert a.b == pytest.approx(b.b, abs=1e-6)
    assert a.phi is not None
    assert b.phi is not None
    assert b.phi > 1 > a.phi
    assert b.high is not None
    assert a.high is not None
    assert b.high > a.high
    assert not b.independent


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("F,n,survived\n0,10,11\n", "No more"),
        ("F,n,survived\n0,10,1\n0,9,1\n", "one level"),
        ("f,n\n0,1\n", "`survived`"),
        ("F,n,survived\n2,10,1\n", "above 1, the highest possible"),
        ("F,n,survived\n0,0,0\n", "how many eggs"),
    ],
)
def test_bad_levels_are_refused(text: str, said: str) -> None:
    rows, problems = inbreeding_cost.levels(text.splitlines(keepends=True), "l.csv")
    assert rows == []
    assert any(said in str(p) for p in problems), problems


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (
            [(0, 100, y) for y in (80, 78, 82)] + [(0.25, 100, y) for y in (60, 55, 58)],
            "survival fell as F rose",
        ),
        (
            [(0, 100, y) for y in (60, 55, 58)] + [(0.25, 100, y) for y in (80, 78, 82)],
            "survival rose with F",
        ),
        (
            [(0, 100, y) for y in (80, 40, 60)] + [(0.25, 100, y) for y in (70, 30, 55)],
            "the range of B holds 0",
        ),
        ([(0, 1000, 800), (0.25, 1000, 600)], "so few rows do not show"),
        ([(0, 50, 50), (0.25, 50, 20)], "no range of B"),
        ([(0, 50, 20), (0.25, 50, 0)], "no range of B"),
    ],
)
def test_the_finding_comes_first_and_pooled_eggs_prove_nothing(rows: list, said: str) -> None:
    levels = [Level(*x) for x in rows]
    c = inbreeding_cost.fit(levels)
    first = cost_words.cost_lines(levels, c)[0]
    assert said in first
    assert first.startswith("cannot tell") == (not said.startswith("survival"))
    assert json_object(cost_report(levels, c))["finding"] == first
