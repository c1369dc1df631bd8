"""Tests and intervals of brood shares: what must hold for any numbers."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.analysis.trial import beta_binomial as betabinomial
from rounds.analysis.trial import survival_shares as shares
from tests.sampled import sampled


def test_the_variance_of_what_does_not_vary_is_nothing() -> None:
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
