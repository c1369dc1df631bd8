"""Do two arms of a trial survive differently? Two tests, and both must say so.

Broods differ in size, arms in how alike the eggs of one brood are, and females are few. Either
of the usual tests then finds differences that are not there: the likelihood ratio of the
beta-binomial (Williams 1975) is too hopeful with few broods, Welch's test (1947) with uneven
ones, and a permutation of brood shares where the arms differ in size and in spread. So a
difference counts only where two tests find it, in the same direction (an intersection–union
test, Berger 1982):

- the likelihood ratio, with a mean and an intraclass correlation of its own for each arm;
- Welch's t of the mean brood shares. Its variances are at least what chance alone gives a
  brood, and its degrees of freedom lie halfway (as 1 / df) between Satterthwaite's and those of
  the smaller arm alone, because Satterthwaite's own rest on variances that few broods tell badly.

The interval of the difference holds every difference that either of them keeps, and that of
the ratio every ratio, so both leave out "no difference" just where p is at most 1 − LEVEL. How
often this errs, and what it finds, is printed by ``tests/bench/bench_two_arms.py``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import inf, nextafter, sqrt
from typing import TYPE_CHECKING, Any

from rounds.analysis.trial.brood_likelihood import IMPOSSIBLE, even_rhos, highest, loglik, summed
from rounds.analysis.trial.survival_shares import LEVEL, special
from rounds.named_tuple import NamedTuple

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, Any]

Brood = tuple[int, int]
"""Eggs (one or more), and how many of them lived."""

_RHOS, _LEAST_RHO, _MOST_RHO = 37, 1e-4, 0.95
_COARSE, _FINE = 81, 201
_NEAR = 12.0
"""How far below its top a log likelihood is followed; what an interval needs ends at 2."""


class Range(NamedTuple):
    """From low to high, both included; ``high`` of a ratio may be infinite."""

    low: float
    high: float


class TwoArms(NamedTuple):
    """What two arms show: ``other`` against ``one``.

    ``difference`` is that of the mean brood shares and ``interval`` its range; ``ratio`` is the
    range of other / one. ``p`` is the larger of ``welch`` and ``likelihood``, or 1 where the two
    point in opposite directions. ``means`` and ``rhos`` are those of most likelihood by arm.
    """

    difference: float
    p: float
    welch: float
    likelihood: float
    interval: Range
    ratio: Range
    means: tuple[float, float]
    rhos: tuple[float, float]


class Shares(NamedTuple):
    """Mean brood share and its squared standard error, of many arms or of one; ``broods`` with eggs in each."""

    mean: Array
    error: Array
    broods: Array


def brood_shares(eggs: Array, alive: Array) -> Shares:
    """Of arms × broods; a brood without eggs does not count.

    The variance between broods is at least p (1 − p) · mean(1 / eggs), p being (alive + 1) /
    (eggs + 2) of the arm: a share that came out alike in a few broods is not known to the last egg.
    """
    import numpy as np

    there = eggs > 0
    k = there.sum(axis=1)
    some = np.where(there, eggs, 1)
    share = np.where(there, alive / some, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = share.sum(axis=1) / k
        spread = np.where(there, (share - mean[:, None]) ** 2, 0.0).sum(axis=1) / (k - 1)
        p = (alive.sum(axis=1) + 1) / (eggs.sum(axis=1) + 2)
        chance = p * (1 - p) * np.where(there, 1 / some, 0.0).sum(axis=1) / k
        return Shares(mean, np.maximum(spread, chance) / k, k)


def freedom(one: Shares, other: Shares, ratio: Any = 1.0) -> Any:
    """Degrees of freedom of other − ratio · one; see the head of this module.

    Satterthwaite's 1 / df is the squares of the variances' shares in the whole, each over its
    own degrees of freedom; here it is averaged with 1 / df of the smaller arm alone.
    """
    import numpy as np

    v, w = ratio * ratio * one.error, other.error
    satterthwaite = (v / (v + w)) ** 2 / (one.broods - 1) + (w / (v + w)) ** 2 / (other.broods - 1)
    smallest = 1 / (np.minimum(one.broods, other.broods) - 1)
    return 2 / (satterthwaite + smallest)


def welch_p(one: Shares, other: Shares, ratio: Any = 1.0, difference: Any = 0.0) -> Any:
    """Two-sided p of "other − ratio · one is ``difference``"."""
    import numpy as np

    t = (other.mean - ratio * one.mean - difference) / np.sqrt(ratio * ratio * one.error + other.error)
    return 2 * special().stdtr(freedom(one, other, ratio), -np.abs(t))


def two_arm_test(one: Sequence[Brood], other: Sequence[Brood]) -> TwoArms:
    """Compare ``other`` with ``one``; needs two broods an arm.

    Raises ValueError for fewer or for a brood without eggs, RoundsError without the analysis extra.
    """
    if min(len(one), len(other)) < 2 or min(n for n, _ in (*one, *other)) < 1:
        raise ValueError("two arms of two broods with eggs are the least that can be compared")
    a, b = (_shares(arm) for arm in (one, other))
    difference = float((b.mean - a.mean)[0])
    welch = float(welch_p(a, b)[0])
    fits = _Fits(one, other)
    likelihood = float(special().chdtrc(1, fits.fall(0.0)))
    opposed = difference * (fits.means[1] - fits.means[0]) < 0
    p = 1.0 if opposed else max(welch, likelihood)
    different = p <= 1 - LEVEL
    t = float(special().stdtrit(freedom(a, b)[0], (1 + LEVEL) / 2))
    half = t * sqrt(float((a.error + b.error)[0]))
    most = float(special().chdtri(1, 1 - LEVEL))
    ends = _hull(
        Range(difference - half, difference + half),
        _kept(lambda d: fits.fall(d) <= most, fits.means[1] - fits.means[0], Range(-1.0, 1.0), 0.0),
    )
    interval = _agreeing(Range(max(-1.0, ends.low), min(1.0, ends.high)), 0.0, different=different)
    return TwoArms(
        difference,
        p,
        welch,
        likelihood,
        interval,
        _ratio(a, b, fits, different=different),
        fits.means,
        fits.rhos,
    )


def _shares(arm: Sequence[Brood]) -> Shares:
    import numpy as np

    eggs, alive = (np.array([[brood[i] for brood in arm]]) for i in (0, 1))
    return brood_shares(eggs, alive)


def _ratio(a: Shares, b: Shares, fits: _Fits, *, different: bool) -> Range:
    """The ratios other / one that either test keeps, searched as r / (1 + r) from 0 to 1."""
    most = float(special().chdtri(1, 1 - LEVEL))

    def by_welch(part: float) -> bool:
        # Of r / (1 + r) = 1 the reference must be nothing: the same test with the arms changed over.
        if part <= 0.5:
            return float(welch_p(a, b, part / (1 - part))[0]) > 1 - LEVEL
        return float(welch_p(b, a, (1 - part) / part)[0]) > 1 - LEVEL

    places = [
        other / (one + other) if one + other > 0 else 0.5
        for one, other in ((float(a.mean[0]), float(b.mean[0])), fits.means)
    ]
    ends = _hull(
        _kept(by_welch, places[0], Range(0.0, 1.0), 0.5),
        _kept(lambda part: fits.fall_of_ratio(part) <= most, places[1], Range(0.0, 1.0), 0.5),
    )
    ends = _agreeing(ends, 0.5, different=different)
    low, high = (inf if part >= 1 - 1e-9 else part / (1 - part) for part in ends)
    return Range(low, high)


def _kept(keeps: Callable[[float], bool], best: float, all_of_it: Range, none: float) -> Range:
    """The values that a test keeps, an interval around ``best``; ``none`` is that of no difference.

    Whether ``none`` is kept is asked first, so that the ends can never say otherwise.
    """
    inside = keeps(none)

    def end(outermost: float) -> float:
        inner, outer = best, outermost
        if min(best, outermost) < none < max(best, outermost):
            inner, outer = (none, outermost) if inside else (best, none)
        if keeps(outer):
            return outer
        for _ in range(40):
            middle = (inner + outer) / 2
            inner, outer = (middle, outer) if keeps(middle) else (inner, middle)
        return inner

    return Range(end(all_of_it.low), end(all_of_it.high))


def _hull(one: Range, other: Range) -> Range:
    return Range(min(one.low, other.low), max(one.high, other.high))


def _agreeing(ends: Range, none: float, *, different: bool) -> Range:
    """The same ends, moved by rounding only, so that they leave out ``none`` just where p says "different"."""
    if not different:
        return Range(min(ends.low, none), max(ends.high, none))
    if ends.low <= none <= ends.high:
        lower = none - ends.low > ends.high - none
        return ends._replace(high=nextafter(none, -inf)) if lower else ends._replace(low=nextafter(none, inf))
    return ends


class _Fits:
    """The log likelihood of two arms over a grid of means, each at its own best intraclass correlation."""

    def __init__(self, one: Sequence[Brood], other: Sequence[Brood]) -> None:
        import numpy as np

        self.grid = np.linspace(0.0, 1.0, _COARSE)
        rhos = even_rhos(_RHOS, _LEAST_RHO, _MOST_RHO)
        near = np.zeros(_COARSE, dtype=bool)
        for arm in (one, other):
            profile = highest(_arm(arm, self.grid, rhos[::3]))
            near |= profile >= profile.max() - _NEAR
        at = np.flatnonzero(near)
        # A closer look at the means that are likely in either arm, and one step beyond.
        low, high = self.grid[max(0, at[0] - 1)], self.grid[min(_COARSE - 1, at[-1] + 1)]
        self.grid = np.linspace(low, high, _FINE)
        self.arms = []
        means, best = [], []
        for arm in (one, other):
            whole = _arm(arm, self.grid, rhos)
            rho, mean = np.unravel_index(int(whole.argmax()), whole.shape)
            means.append(float(self.grid[mean]))
            best.append(float(rhos[rho]))
            self.arms.append(highest(whole))
        self.means, self.rhos = (means[0], means[1]), (best[0], best[1])
        self.best = float(self.arms[0].max() + self.arms[1].max())

    def fall(self, difference: float) -> float:
        """Twice the fall of the log likelihood from its top to where the other mean is so much higher."""
        return self._fall([(self.grid, self.grid + difference), (self.grid - difference, self.grid)])

    def fall_of_ratio(self, part: float) -> float:
        """The same where other / (one + other) is ``part``."""
        pairs = []
        if part < 1:
            pairs.append((self.grid, self.grid * (part / (1 - part))))
        if part > 0:
            pairs.append((self.grid * ((1 - part) / part), self.grid))
        return self._fall(pairs)

    def _fall(self, pairs: Sequence[tuple[Array, Array]]) -> float:
        """Over pairs of means; each arm has its turn on the grid, so that neither is favoured."""
        import numpy as np

        top = max(
            float(
                np.max(
                    sum(
                        np.interp(x, self.grid, arm, left=IMPOSSIBLE, right=IMPOSSIBLE)
                        for x, arm in zip(pair, self.arms, strict=True)
                    )
                )
            )
            for pair in pairs
        )
        return max(0.0, 2 * (self.best - top))


def _arm(arm: Sequence[Brood], means: Array, rhos: Array) -> Array:
    """Log likelihood of one arm: rhos × means."""
    import numpy as np

    kinds = sorted(set(arm))
    row = {brood: i for i, brood in enumerate(kinds)}
    table = loglik(np.array([n for n, _ in kinds]), np.array([y for _, y in kinds]), means, rhos)
    whole: Array = summed(table, np.array([[row[brood] for brood in arm]]))[0]
    return whole
