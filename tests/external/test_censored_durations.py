"""The likelihood of roughly known stage lengths against published worked examples.

The first is of the NAG Library manual, Mark 26.2, routine G07BBF/g07bbc (estimates of the normal distribution from
grouped and censored data), section 10: the example's data and results; the method is that of
Wolynetz 1979, Applied Statistics 28, 185-195 (AS 138). Twelve values are exact, three are
censored on the right, two on the left, one is an interval.
"""

from __future__ import annotations

import math
from itertools import pairwise
from statistics import NormalDist

import pytest
from scipy import optimize, stats

from rounds.analysis.forecast.stage_length import StageLength, from_range, log_likelihood

EXACT = (4.5, 5.4, 3.9, 5.1, 4.6, 4.8, 2.9, 6.3, 5.5, 4.6, 4.1, 5.2)
DATA = (
    *((value, value) for value in EXACT),
    *((value, math.inf) for value in (3.2, 4.0, 3.1)),
    *((-math.inf, value) for value in (5.1, 3.8)),
    (2.2, 2.5),
)
MEAN, SD, LOG_LIKELIHOOD = 4.4924, 1.0196, -22.2817
"""The manual's "Mean", "Standard deviation" and "Log-likelihood"."""


def test_the_log_likelihood_of_the_example_is_the_published_one() -> None:
    assert log_likelihood(DATA, MEAN, SD) == pytest.approx(LOG_LIKELIHOOD, abs=5e-5)


def test_the_likelihood_is_highest_at_the_published_estimates() -> None:
    best = log_likelihood(DATA, MEAN, SD)
    for mean, sd in ((MEAN + 0.01, SD), (MEAN - 0.01, SD), (MEAN, SD + 0.01), (MEAN, SD - 0.01)):
        assert log_likelihood(DATA, mean, sd) < best


def test_standard_errors_follow_from_the_curvature_at_the_estimates() -> None:
    """Published: 0.2606 of the mean, 0.1940 of the standard deviation, correlation 0.0160."""
    step = 1e-3

    def at(d_mean: float, d_sd: float) -> float:
        return log_likelihood(DATA, MEAN + d_mean * step, SD + d_sd * step)

    mean2 = (at(1, 0) - 2 * at(0, 0) + at(-1, 0)) / step**2
    sd2 = (at(0, 1) - 2 * at(0, 0) + at(0, -1)) / step**2
    both = (at(1, 1) - at(1, -1) - at(-1, 1) + at(-1, -1)) / (4 * step**2)
    whole = mean2 * sd2 - both**2
    errors = math.sqrt(-sd2 / whole), math.sqrt(-mean2 / whole)
    assert errors == (pytest.approx(0.2606, abs=1e-4), pytest.approx(0.1940, abs=1e-4))
    assert both / math.sqrt(mean2 * sd2) == pytest.approx(0.0160, abs=2e-3)


def estimates(seen: list[tuple[float, float]], start: tuple[float, float]) -> tuple[float, float]:
    """Mean and standard deviation of the highest likelihood, by a general optimiser (scipy)."""
    found = optimize.minimize(
        lambda x: -log_likelihood(seen, x[0], math.exp(x[1])),
        (start[0], math.log(start[1])),
        method="Nelder-Mead",
        options={"xatol": 1e-8, "fatol": 1e-10},
    )
    return float(found.x[0]), math.exp(float(found.x[1]))


def curvature(seen: list[tuple[float, float]], mean: float, sd: float) -> list[list[float]]:
    """The variances and covariance of the estimates: the inverse of minus the second derivatives."""
    step = 1e-4

    def at(i: int, j: int) -> float:
        return log_likelihood(seen, mean + i * step, sd + j * step)

    mm = (at(1, 0) - 2 * at(0, 0) + at(-1, 0)) / step**2
    ss = (at(0, 1) - 2 * at(0, 0) + at(0, -1)) / step**2
    ms = (at(1, 1) - at(1, -1) - at(-1, 1) + at(-1, -1)) / (4 * step**2)
    whole = mm * ss - ms**2
    return [[-ss / whole, ms / whole], [ms / whole, -mm / whole]]


def test_lognormal_lengths_of_which_most_have_not_ended() -> None:
    """Meeker & Escobar 1998, Statistical Methods for Reliability Data, page 199: lognormal lives of 20 units.

    Five ended at 252, 315, 369, 403 and 474, fifteen had not at 500. Published: mean 6.564256, with
    variances 0.0581 and 0.0405 and covariance 0.0374 (data and results as reprinted in a public
    reference case of the book; the book itself not seen). The reprint's standard deviation, 0.543, is
    not used: its own variances, and scipy's density below, hold at 0.534, with two digits changed over.
    """
    ended = [math.log(t) for t in (252, 315, 369, 403, 474)]
    seen = [(t, t) for t in ended] + [(math.log(500), math.inf)] * 15
    mean, sd = estimates(seen, (6.0, 0.5))
    assert mean == pytest.approx(6.564256, abs=1e-6)
    (mm, ms), (_, ss) = curvature(seen, mean, sd)
    assert (mm, ms, ss) == pytest.approx((0.0581, 0.0374, 0.0405), abs=1e-4)
    whole = stats.norm.logpdf(ended, mean, sd).sum() + 15 * stats.norm.logsf(math.log(500), mean, sd)
    assert log_likelihood(seen, mean, sd) == pytest.approx(whole, abs=1e-9)


def test_days_of_the_first_seven_of_ten() -> None:
    """Gupta 1952, Biometrika 39:260-273: days to the death of the first seven of ten mice, common logarithms.

    Published by maximum likelihood: mean 1.742, standard deviation 0.079 (from memory).
    """
    logs = [math.log10(days) for days in (41, 44, 46, 54, 55, 58, 60)]
    seen = [(t, t) for t in logs] + [(logs[-1], math.inf)] * 3
    mean, sd = estimates(seen, (1.7, 0.1))
    assert (round(mean, 3), round(sd, 3)) == (1.742, 0.079)


def test_the_lognormal_is_that_of_the_standard_library() -> None:
    """Against ``statistics.NormalDist`` of Python's standard library, at the ends and between."""
    length = StageLength(math.log(165), 0.25)
    normal = NormalDist(math.log(165), 0.25)
    for days in (60, 120, 165, 245, 400):
        assert length.reached(days) == pytest.approx(normal.cdf(math.log(days)), abs=1e-12)
    for share in (0.05, 0.5, 0.9):
        assert length.reached(math.exp(normal.inv_cdf(share))) == pytest.approx(share, abs=1e-9)
    usual = from_range(120, 245)
    assert usual.reached(245) - usual.reached(120) == pytest.approx(0.9)
    shares = [usual.reached(days) for days in range(0, 500, 5)]
    assert all(one <= other for one, other in pairwise(shares))
