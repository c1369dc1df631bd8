"""Tests and intervals of brood shares: what must hold for any numbers."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.analysis.trial import beta_binomial as betabinomial
from rounds.analysis.trial import survival_shares as shares
from tests.external.permutations import permutation_ps
from tests.sampled import sampled

SHARE = st.fractions(0, 1, max_denominator=40).map(float)
ARM = st.lists(SHARE, min_size=2, max_size=5)


def brute_p(one: list[float], other: list[float]) -> float:
    """Every arrangement, one by one."""
    every = [*one, *other]
    m = len(other)
    seen = abs(sum(other) / m - sum(one) / len(one))
    hits = total = 0
    for chosen in combinations(range(len(every)), m):
        moved = sum(every[i] for i in chosen)
        total += 1
        hits += abs(moved / m - (sum(every) - moved) / len(one)) >= seen - 1e-9
    return hits / total


@given(ARM, ARM)
def test_permutation_p_is_that_of_going_through_every_arrangement(
    one: list[float], other: list[float]
) -> None:
    wanted = brute_p(one, other)
    assert shares.permutation_test(one, other).p == pytest.approx(wanted, abs=1e-12)
    assert float(permutation_ps([[*one, *other]], len(one))[0]) == pytest.approx(wanted, abs=1e-12)


@given(ARM, ARM)
def test_arms_and_broods_may_be_given_in_any_order(one: list[float], other: list[float]) -> None:
    a, b = shares.permutation_test(one, other), shares.permutation_test(other[::-1], one[::-1])
    assert a.p == pytest.approx(b.p, abs=1e-12)
    assert a.difference == pytest.approx(-b.difference, abs=1e-12)
    assert a.interval.low == pytest.approx(-b.interval.high, abs=1e-9)


@settings(max_examples=sampled(20, 60))
@given(st.lists(SHARE, min_size=4, max_size=5), st.lists(SHARE, min_size=4, max_size=5))
def test_the_interval_holds_what_the_test_does_not_reject(one: list[float], other: list[float]) -> None:
    t = shares.permutation_test(one, other)
    low, high = t.interval.low, t.interval.high
    assert -1 <= low <= t.difference + 1e-9
    assert t.difference - 1e-9 <= high <= 1
    for shift, inside in ((low - 1e-4, False), (low + 1e-4, True), (high - 1e-4, True), (high + 1e-4, False)):
        if not -1 < shift < 1 or abs(high - low) < 1e-3:
            continue
        p = shares.permutation_test(one, [x - shift for x in other]).p
        assert (p > 0.05) == inside, (shift, p)


@given(st.lists(SHARE, min_size=2, max_size=9), st.lists(SHARE, min_size=2, max_size=9))
def test_welchs_interval_and_p_agree(one: list[float], other: list[float]) -> None:
    if shares.variance(one) + shares.variance(other) < 1e-6:
        return
    t = shares.welch_test(one, other)
    assert 0 <= t.p <= 1
    if t.interval.low > -1 and t.interval.high < 1 and abs(t.p - 0.05) > 1e-9:
        assert (t.interval.low <= 0 <= t.interval.high) == (t.p > 0.05)


def test_nothing_varies_nothing_to_divide_by() -> None:
    with pytest.raises(ValueError, match="varies"):
        shares.welch([0.5, 0.5], [0.7, 0.7])
    assert shares.variance([0.1] * 7) == 0.0


@given(st.integers(1, 300).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), st.floats(0.5, 0.999))
def test_wilsons_interval_stays_between_0_and_1_and_holds_the_share(
    counts: tuple[int, int], level: float
) -> None:
    y, n = counts
    low, high = shares.wilson(y, n, level)
    assert 0 <= low <= y / n <= high <= 1


@given(
    st.lists(
        st.integers(1, 60).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n))), min_size=1, max_size=8
    )
)
def test_an_arms_interval_holds_its_mean(broods: list[tuple[int, int]]) -> None:
    parts = [y / n for n, y in broods]
    found = shares.of_arm(parts, sum(n for n, _ in broods))
    assert 0 <= found.low <= shares.mean(parts) + 1e-12
    assert shares.mean(parts) - 1e-12 <= found.high <= 1
    assert found.high > found.low, "a share is never known without any doubt"


BROODS = st.lists(
    st.integers(1, 25).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n))), min_size=2, max_size=7
)


@settings(max_examples=sampled(12, 40))
@given(BROODS, BROODS)
def test_the_beta_binomial_fit_is_a_top_whatever_the_order(one: list, other: list) -> None:
    fit = betabinomial.fit([one, other])
    assert all(0 <= mu <= 1 for mu in fit.mu)
    assert 0 <= fit.rho_low <= fit.rho <= fit.rho_high <= betabinomial.MOST_RHO
    again = betabinomial.fit([sorted(one), sorted(other)])
    assert again.loglik == pytest.approx(fit.loglik, abs=1e-7)
    # No fit with another rho is likelier.
    from rounds.analysis.trial.beta_binomial import _Arm

    for rho in (0.0, 0.01, 0.1, 0.3, 0.7):
        theta = rho / (1 - rho)
        total = sum(a.loglik(a.mean(theta), theta) for a in map(_Arm, (one, other)))
        assert total <= fit.loglik + 1e-6


def test_without_any_spread_it_is_the_binomial() -> None:
    from math import comb, log

    broods = [(10, 5)] * 6
    fit = betabinomial.fit([broods])
    assert fit.rho == 0
    assert fit.loglik == pytest.approx(6 * log(comb(10, 5) / 2**10), abs=1e-12)


@pytest.mark.parametrize("arms", [[], [[]], [[(0, 0)]], [[(3, 1)], []]])
def test_a_fit_needs_broods_and_eggs(arms: list) -> None:
    with pytest.raises(ValueError, match="brood"):
        betabinomial.fit(arms)


def test_exactly_as_likely_by_chance_as_the_number_of_arrangements_says() -> None:
    assert shares.smallest_p(3, 3) == 0.1
    assert shares.smallest_p(4, 5) == pytest.approx(1 / 126)
    assert shares.smallest_p(1, 1) == 1.0
    assert shares.permutations_feasible(10, 10)
    assert not shares.permutations_feasible(11, 11)


@pytest.mark.parametrize(
    ("one", "other", "p"),
    [(4, 4, 2 / 70), (4, 5, 6 / 126), (5, 5, 12 / 252), (6, 6, 46 / 924), (3, 3, 0.0), (400, 400, 0.05)],
)
def test_the_level_a_test_of_few_broods_really_has(one: int, other: int, p: float) -> None:
    """Counted out by hand: how many arrangements, in pairs where the arms are alike, lie at 0.05 or below."""
    assert shares.reachable_p(one, other) == pytest.approx(p, abs=1e-12)
