"""Whether two arms of a trial survive differently: two tests that must both say so.

Broods differ in size, arms in how alike the eggs of one brood are, and females are few. Either
of the usual tests then finds differences that are not there: the likelihood ratio of the
beta-binomial (Williams 1975) is too hopeful with few broods, Welch's test (1947) with uneven
ones. A difference counts only where both find it: the likelihood ratio with an intraclass
correlation of its own for each arm, and Welch's t with the fewer broods less one as degrees of
freedom (what remains when the other arm tells nothing of the variance) and at least the variance
that chance alone gives to a brood. The interval holds every difference that either of them
keeps, so it leaves out 0 just where p is below 1 − level. How often this errs and what it finds
is simulated by ``tests/bench/bench_two_arms.py``.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import Any, NamedTuple

from rounds.analysis.trial.survival_shares import LEVEL, Interval, Test, mean, special, variance

Brood = tuple[int, int]
"""Eggs, and how many of them lived."""

METHOD = "beta-binomial likelihood ratio and Welch's t, both"

_MEANS = 400
_RHOS = (0.0, *(0.0005 * 1.28**k for k in range(31)))  # up to 0.83


class TwoArms(NamedTuple):
    """The larger of two p-values, and the two."""

    difference: float
    p: float
    likelihood: float
    welch: float
    interval: Interval


def two_arm_test(one: Sequence[Brood], other: Sequence[Brood], level: float = LEVEL) -> TwoArms:
    """Test the difference of mean brood shares, other less one; needs two broods an arm, and eggs in each.

    Raises ValueError for fewer, RoundsError without the analysis extra.
    """
    if min(len(one), len(other)) < 2 or min(n for n, _ in (*one, *other)) < 1:
        raise ValueError("two arms of two broods with eggs are the least that can be tested")
    difference, error, df = _welch(one, other)
    student = float(2 * special().stdtr(df, -abs(difference) / error))
    half = float(special().stdtrit(df, (1 + level) / 2)) * error
    ratio = _Likelihoods(one, other)
    likelihood = ratio.p(0.0)
    low, high = ratio.kept(level)
    interval = Interval(
        max(-1.0, min(difference - half, low)), min(1.0, max(difference + half, high)), METHOD
    )
    return TwoArms(difference, max(student, likelihood), likelihood, student, interval)


def as_test(found: TwoArms) -> Test:
    """In the form every test of shares has."""
    return Test(found.difference, found.p, METHOD, found.interval)


def _welch(one: Sequence[Brood], other: Sequence[Brood]) -> tuple[float, float, int]:
    """The difference of mean shares, its standard error, and the degrees of freedom."""
    parts = []
    for broods in (one, other):
        shares = [y / n for n, y in broods]
        eggs, alive = sum(n for n, _ in broods), sum(y for _, y in broods)
        chance = (alive + 1) / (
            eggs + 2
        )  # never 0 or 1: a share that cannot vary is not known from a few broods
        least = chance * (1 - chance) * mean([1 / n for n, _ in broods])
        parts.append((mean(shares), max(variance(shares), least) / len(broods)))
    (a, v), (b, w) = parts
    return b - a, sqrt(v + w), min(len(one), len(other)) - 1


class _Likelihoods:
    """Log likelihood of each arm by its mean, at its best intraclass correlation there."""

    def __init__(self, one: Sequence[Brood], other: Sequence[Brood]) -> None:
        self.of = (_profile(one), _profile(other))
        self.best = float(self.of[0].max() + self.of[1].max())

    def fall(self, steps: int) -> float:
        """Twice the fall of the log likelihood where the other mean is ``steps`` steps of the grid higher."""
        a, b = self.of
        n = len(a)
        both = a[: n - steps] + b[steps:] if steps >= 0 else a[-steps:] + b[: n + steps]
        return 2 * (self.best - float(both.max()))

    def p(self, difference: float) -> float:
        """Of a difference, by chi-square with one degree of freedom."""
        return float(special().chdtrc(1, max(0.0, self.fall(round(difference * _MEANS)))))

    def kept(self, level: float) -> tuple[float, float]:
        """The least and the greatest difference that is not rejected."""
        most = float(special().chdtri(1, 1 - level))
        kept = [s for s in range(-_MEANS, _MEANS + 1) if self.fall(s) <= most]
        return min(kept) / _MEANS, max(kept) / _MEANS


def _profile(broods: Sequence[Brood]) -> Any:
    """The log likelihood over the grid of means from 0 to 1, constants left out."""
    import numpy as np

    r = np.arange(max(n for n, _ in broods))
    eggs, alive, dead = (
        (np.asarray(v)[:, None] > r).sum(axis=0)
        for v in ([n for n, _ in broods], [y for _, y in broods], [n - y for n, y in broods])
    )
    mu = np.linspace(0.0, 1.0, _MEANS + 1)[:, None]
    best = np.full(_MEANS + 1, -np.inf)
    with np.errstate(divide="ignore"):
        for rho in _RHOS:
            more = r * rho / (1 - rho)
            total = -(eggs * np.log1p(more)).sum()
            for tally, at in ((alive, mu), (dead, 1 - mu)):
                some = tally > 0
                if some.any():
                    total = total + np.log(at + more[some]) @ tally[some]
            best = np.maximum(
                best,
                np.broadcast_to(total, (_MEANS + 1, *np.shape(total)[1:])).reshape(-1)
                if np.ndim(total)
                else total,
            )
    return best
