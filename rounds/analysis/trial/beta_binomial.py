"""Beta-binomial maximum likelihood: the mean survival of each arm, and how alike eggs of one brood are.

With mean mu and intraclass correlation rho, theta = rho / (1 − rho), a brood of n eggs of
which y live has the likelihood C(n, y) · prod(mu + r theta, r < y) · prod(1 − mu + r theta,
r < n − y) / prod(1 + r theta, r < n) (Williams 1975). Written so, rho = 0 is the binomial
and nothing overflows. Arms share one rho.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import lgamma
from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.problems import RoundsError, lacking

Counts = Sequence[tuple[int, int]]
"""Broods of one arm as (eggs, alive)."""

MOST_RHO = 0.999
_HALF_CHI2 = 1.920729410347062  # half the 0.95 quantile of chi-square with 1 degree of freedom


class Fit(NamedTuple):
    """``mu`` by arm in the order given; ``rho`` with its profile-likelihood interval (0.95)."""

    mu: list[float]
    rho: float
    loglik: float
    rho_low: float
    rho_high: float


class _Arm:
    """What the likelihood needs of an arm: how many broods had more than r eggs, living, dead."""

    def __init__(self, broods: Counts) -> None:
        import numpy as np

        most = max(n for n, _ in broods)
        r = np.arange(most)

        def above(values: Sequence[int]) -> Any:
            return (np.asarray(values)[:, None] > r).sum(axis=0)

        self.r = r
        self.eggs = above([n for n, _ in broods])
        self.alive = above([y for _, y in broods])
        self.dead = above([n - y for n, y in broods])
        self.constant = sum(lgamma(n + 1) - lgamma(y + 1) - lgamma(n - y + 1) for n, y in broods)

    def mean(self, theta: float) -> float:
        """The mu of most likelihood for this theta: the slope falls all the way, so there is one."""
        import numpy as np

        if not self.alive.any():
            return 0.0
        if not self.dead.any():
            return 1.0
        low, high, mu = 0.0, 1.0, float(self.alive.sum() / self.eggs.sum())
        more = self.r * theta
        for _ in range(100):
            living, dead = mu + more, 1 - mu + more
            slope = float(np.sum(self.alive / living) - np.sum(self.dead / dead))
            bend = float(np.sum(self.alive / living**2) + np.sum(self.dead / dead**2))
            low, high = (mu, high) if slope > 0 else (low, mu)
            step = mu + slope / bend
            # Newton's step, or halving where it would leave what is known to hold the top.
            new = step if low < step < high else (low + high) / 2
            if abs(new - mu) < 1e-14:
                break
            mu = new
        return mu

    def loglik(self, mu: float, theta: float) -> float:
        import numpy as np

        total = self.constant - float(np.sum(self.eggs * np.log1p(self.r * theta)))
        for tally, at in ((self.alive, mu), (self.dead, 1 - mu)):
            some = tally > 0
            total += float(np.sum(tally[some] * np.log(at + self.r[some] * theta)))
        return total


def fit(arms: Sequence[Counts]) -> Fit:
    """Fit one mean per arm and one rho to all. Raises ValueError for an arm without broods or a brood without eggs."""
    if not arms or any(not a or min(n for n, _ in a) < 1 for a in arms):
        raise ValueError("every arm needs a brood, and every brood an egg.")
    try:
        import numpy as np
    except ImportError as e:
        raise RoundsError(lacking("this needs", "analysis")) from e
    tallies = [_Arm(a) for a in arms]

    def profile(rho: float) -> float:
        theta = rho / (1 - rho)
        return sum(t.loglik(t.mean(theta), theta) for t in tallies)

    grid = [0.0, *(float(x) for x in np.geomspace(1e-4, MOST_RHO, 45))]
    values = [profile(rho) for rho in grid]
    top = values.index(max(values))
    rho = _climb(profile, grid[max(0, top - 1)], grid[min(len(grid) - 1, top + 1)])
    best = profile(rho)
    if values[0] >= best - 1e-12:
        rho, best = 0.0, values[0]
    theta = rho / (1 - rho)
    floor = best - _HALF_CHI2
    low = 0.0 if values[0] >= floor else _cross(profile, 0.0, rho, floor)
    high = MOST_RHO if values[-1] >= floor else _cross(profile, MOST_RHO, rho, floor)
    return Fit([t.mean(theta) for t in tallies], rho, best, low, high)


def _climb(f: Callable[[float], float], low: float, high: float) -> float:
    """The top of a hill between two ends, by golden section."""
    golden = 0.6180339887498949
    a, b = high - golden * (high - low), low + golden * (high - low)
    fa, fb = f(a), f(b)
    for _ in range(45):
        if fa >= fb:
            high, b, fb = b, a, fa
            a = high - golden * (high - low)
            fa = f(a)
        else:
            low, a, fa = a, b, fb
            b = low + golden * (high - low)
            fb = f(b)
    return (low + high) / 2


def _cross(f: Callable[[float], float], outside: float, inside: float, level: float) -> float:
    """Where ``f`` comes down to ``level`` between a place above it and one below."""
    for _ in range(40):
        middle = (outside + inside) / 2
        if f(middle) >= level:
            inside = middle
        else:
            outside = middle
    return (outside + inside) / 2
