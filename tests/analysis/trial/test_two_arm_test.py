"""Comparing two arms: the same whatever the order, and what the simulations of it rest on."""

from __future__ import annotations

import numpy as np
import pytest
import scipy  # its parts are loaded where they are used: this file is collected in every run
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.analysis.trial.brood_likelihood import loglik
from rounds.analysis.trial.two_arm_test import two_arm_test
from tests.bench import bench_two_arms as bench
from tests.sampled import sampled

BROOD = st.integers(1, 30).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n)))
ARM = st.lists(BROOD, min_size=2, max_size=7)


@settings(max_examples=sampled(8, 100))
@given(ARM, ARM)
def test_with_the_arms_changed_over_it_is_the_same(one: list, other: list) -> None:
    t, back = two_arm_test(one, other), two_arm_test(other[::-1], one[::-1])
    assert (back.p, back.welch, back.likelihood) == pytest.approx((t.p, t.welch, t.likelihood), abs=1e-9)
    assert (-back.interval.high, -back.interval.low) == pytest.approx(t.interval, abs=1e-6)
    assert t.ratio.low <= t.ratio.high
    if t.ratio.low > 0 and t.ratio.high < np.inf:
        assert (1 / back.ratio.high, 1 / back.ratio.low) == pytest.approx(t.ratio, rel=1e-5)


@settings(max_examples=sampled(8, 100))
@given(ARM, ARM)
def test_the_ranges_leave_out_no_difference_just_where_p_says_so(one: list, other: list) -> None:
    t = two_arm_test(one, other)
    assert -1 <= t.interval.low <= t.difference <= t.interval.high <= 1
    assert (t.p <= 0.05) == (not t.interval.low <= 0 <= t.interval.high)
    assert (t.p <= 0.05) == (not t.ratio.low <= 1 <= t.ratio.high)


def test_the_likelihood_is_scipys() -> None:
    n, y = np.array([10, 40, 1, 7]), np.array([3, 40, 0, 5])
    means, rhos = np.array([0.1, 0.5, 0.9]), np.array([0.01, 0.2, 0.7])
    found = loglik(n, y, means, rhos)
    for t, rho in enumerate(rhos):
        for m, mean in enumerate(means):
            a, b = mean * (1 - rho) / rho, (1 - mean) * (1 - rho) / rho
            # Without the number of ways, which is the same for every mean and rho.
            wanted = (
                scipy.stats.betabinom.logpmf(y, n, a, b) - scipy.stats.binom.logpmf(y, n, 0.5) - n * np.log(2)
            )
            assert found[:, t, m] == pytest.approx(wanted, abs=1e-8)
    flat = loglik(n, y, means, np.array([0.0]))
    assert flat[:, 0, 1] == pytest.approx(n * np.log(0.5), abs=1e-12)


def test_the_likelihood_ratio_is_that_of_a_general_optimiser() -> None:
    one = [(40, 30), (35, 22), (20, 18), (44, 29), (40, 33)]
    other = [(40, 22), (35, 22), (20, 12), (44, 24), (40, 13), (12, 9)]

    def top(arms: list) -> float:
        def minus(x: np.ndarray) -> float:
            mean, total = scipy.special.expit(x[0]), 0.0
            for rows, rho in zip(arms, scipy.special.expit(x[1:]), strict=True):
                n, y = np.array(rows).T
                total += loglik(n, y, np.array([mean]), np.array([rho])).sum()
            return -float(total)

        starts = [[0.5, *[r] * len(arms)] for r in (-4.0, -2.5, -1.0)]
        return -min(float(scipy.optimize.minimize(minus, x, method="Nelder-Mead").fun) for x in starts)

    ratio = 2 * (top([one]) + top([other]) - top([one, other]))
    assert two_arm_test(one, other).likelihood == pytest.approx(scipy.stats.chi2.sf(ratio, 1), rel=0.05)


def test_what_the_simulations_reject_is_what_the_test_rejects() -> None:
    draw = np.random.default_rng(21)
    likelihoods = bench.Likelihoods()
    n, differ = 40, 0
    cell = bench.Cell((5, 8), (0.1, 0.2), (0.7, 0.4))
    one, other = bench.both(draw, n, cell)
    out = bench.rejected(likelihoods, one, other, 0.0, 2)
    for i in range(n):
        arms = [
            [(int(e), int(y)) for e, y in zip(a.eggs[i], a.alive[i], strict=True) if e] for a in (one, other)
        ]
        p = two_arm_test(arms[0], arms[1]).p
        differ += bool(out[i]) != (p <= 0.05) and abs(p - 0.05) > 0.005
    assert differ == 0
    assert 5 < out.sum() < n - 5, "both ways of it are among them"


@pytest.mark.parametrize("arms", [([(4, 1)], [(4, 1), (3, 1)]), ([(4, 1), (0, 0)], [(4, 1), (3, 1)])])
def test_it_needs_two_broods_with_eggs_in_each_arm(arms: tuple) -> None:
    with pytest.raises(ValueError, match="two broods"):
        two_arm_test(*arms)
