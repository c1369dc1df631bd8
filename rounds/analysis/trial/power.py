"""What a trial of a given size can find, and how large one would have to be.

For eggs that are independent there are the usual normal formulas. A trial is judged by its
broods, by the two tests of :mod:`rounds.analysis.trial.two_arm_test`; no formula gives their
power to a few hundredths with few females or survival near 0 or 1, so they are made on some
thousand trials drawn at random, always the same ones.
"""

from __future__ import annotations

from functools import lru_cache
from math import ceil, sqrt
from typing import TYPE_CHECKING, Any

from rounds.analysis.trial.brood_likelihood import even_rhos, falls, loglik, profiles
from rounds.analysis.trial.survival_shares import FEWEST, LEVEL, MOST_UNEVEN, design_effect, special
from rounds.analysis.trial.two_arm_test import brood_shares, welch_p

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, Any]

POWER = 0.8
"""What "can find" means: found so often, at the 0.05 level, two-sided."""

LARGEST = 500
"""Females per arm beyond which nobody need plan."""

_DRAWS, _FEWER_DRAWS, _SMALL, _SEED = 4_000, 1_600, 40, 20_250_101
"""Trials drawn, in arms of so many females at the most; fewer in larger ones."""

_RHOS, _MEANS = 12, 31


def power_of(eggs: float, p: float, q: float) -> float:
    """Power to tell shares p and q apart with so many independent eggs per arm, by the normal.

    Pooled variance under no difference, separate ones under the difference; the chance of
    finding the wrong direction is left out.
    """
    s = special()
    z = float(s.ndtri((1 + LEVEL) / 2))
    middle = (p + q) / 2
    return float(
        s.ndtr(
            (sqrt(eggs) * abs(p - q) - z * sqrt(2 * middle * (1 - middle))) / sqrt(p * (1 - p) + q * (1 - q))
        )
    )


def eggs_for(p: float, q: float, power: float = POWER, *, corrected: bool = False) -> float:
    """Independent eggs per arm to tell p and q apart (Fleiss 1981, ch. 3); not rounded.

    ``corrected`` adds the continuity correction of Fleiss, Tytun & Ury (1980), which a test
    with discrete counts needs. Raises ValueError when p equals q.
    """
    if p == q:
        raise ValueError("no difference cannot be detected.")
    s = special()
    z, zb, middle = float(s.ndtri((1 + LEVEL) / 2)), float(s.ndtri(power)), (p + q) / 2
    d = abs(p - q)
    n: float = ((z * sqrt(2 * middle * (1 - middle)) + zb * sqrt(p * (1 - p) + q * (1 - q))) / d) ** 2
    return n / 4 * (1 + sqrt(1 + 4 / (n * d))) ** 2 if corrected else n


def brood_variance(p: float, eggs: float, rho: float) -> float:
    """Variance of one brood's share: p (1 − p) / m times the design effect."""
    return p * (1 - p) / eggs * design_effect(eggs, rho)


def testable(one: int, other: int) -> bool:
    """Does the test hold with so many broods in the arms? See :data:`FEWEST` and :data:`MOST_UNEVEN`."""
    return min(one, other) >= FEWEST and max(one, other) <= MOST_UNEVEN * min(one, other)


@lru_cache(maxsize=4096)  # one plan asks for some powers twice; its draws are always the same
def planned_power(one: int, other: int, eggs: int, rho: float, p: float, q: float) -> float | None:
    """How often a trial of so many broods finds survival p and q different; None where there is no test."""
    if not testable(one, other):
        return None
    import numpy as np

    draws = _DRAWS if max(one, other) <= _SMALL else _FEWER_DRAWS
    a, b = _drawn(draws, one, other, eggs, rho, p, q)
    by_welch = welch_p(*(brood_shares(np.full(x.shape, eggs), x) for x in (a, b))) <= 1 - LEVEL
    a, b = a[by_welch], b[by_welch]
    if not len(a):
        return 0.0
    seen = np.unique(np.concatenate([a.ravel(), b.ravel()]))
    spread = 6 * max(sqrt(brood_variance(x, eggs, rho) / k) for x, k in ((p, one), (q, other))) + 1 / eggs
    # Even on the arcsine scale, on which shares vary alike: a plain grid is too coarse near 0 and 1.
    low, high = np.arcsin(np.sqrt([max(0.0, min(p, q) - spread), min(1.0, max(p, q) + spread)]))
    means = np.sin(np.linspace(low, high, _MEANS)) ** 2
    rhos = even_rhos(_RHOS, 3e-3, 0.9)
    table = loglik(np.full(len(seen), eggs), seen, means, rhos).astype(np.float32)
    row = np.zeros(eggs + 1, dtype=int)
    row[seen] = np.arange(len(seen))
    one_profile, other_profile = (profiles(table, row[x]) for x in (a, b))
    fall = falls(one_profile, other_profile)
    return float((fall >= special().chdtri(1, 1 - LEVEL)).sum()) / draws


def _drawn(
    draws: int, one: int, other: int, eggs: int, rho: float, p: float, q: float
) -> tuple[Array, Array]:
    """Survivors of ``draws`` trials, arm by arm: trials × broods.

    Each female's fortune is spread evenly over the trials (Latin hypercube sampling, McKay,
    Beckman & Conover 1979), which tells the power from fewer of them.
    """
    import numpy as np

    # Only random() is used, so that a change of other generators cannot change a plan.
    random = np.random.Generator(np.random.PCG64(_SEED)).random
    a, b = (
        _survivors(draws, eggs, rho, x)[random((k, draws)).argsort(axis=1).T]
        for k, x in ((one, p), (other, q))
    )
    return a, b


def _survivors(draws: int, eggs: int, rho: float, p: float) -> Array:
    """Survivors of ``draws`` beta-binomial broods of ``eggs``, from the least fortunate to the most."""
    import numpy as np

    if p <= 0 or p >= 1:
        return np.full(draws, eggs if p >= 1 else 0)
    alive = np.arange(eggs + 1)
    ways = -special().betaln(eggs - alive + 1, alive + 1)
    log = loglik(np.full(eggs + 1, eggs), alive, np.array([p]), np.array([rho]))[:, 0, 0] + ways
    below = np.cumsum(np.exp(log - log.max()))
    found: Array = np.searchsorted(below / below[-1], (np.arange(draws) + 0.5) / draws)
    return found


def planned_detectable(
    one: int, other: int, eggs: int, rho: float, p: float, power: float = POWER
) -> float | None:
    """The highest survival below p that a planned trial would tell from it; None if even 0 would not be.

    Halved in over q: the further q lies below p, the surer it is found. Where p is low, 0 itself
    can be less sure than a little more, because broods that died whole tell nothing of how alike
    their eggs are; then nothing is promised unless 0 would be told, too.
    """
    if (planned_power(one, other, eggs, rho, p, 0.0) or 0) < power:
        return None
    low, high = 0.0, p
    for _ in range(11):
        middle = (low + high) / 2
        found = (planned_power(one, other, eggs, rho, p, middle) or 0.0) >= power
        low, high = (middle, high) if found else (low, middle)
    return low


def females_for(eggs: int, rho: float, p: float, q: float, power: float = POWER) -> int | None:
    """Females per arm to tell survivals p and q apart; None beyond :data:`LARGEST`."""
    if p == q:
        return None

    def enough(k: int) -> bool:
        return (planned_power(k, k, eggs, rho, p, q) or 0.0) >= power

    # From where the normal formula puts it, by steps that double, then halved in.
    first = max(FEWEST, ceil(eggs_for(p, q, power) * design_effect(eggs, rho) / eggs * 1.05))
    if first > 2 * LARGEST:
        return None
    low = high = first
    step = max(1, first // 16)
    if enough(first):
        while low >= FEWEST and enough(low):
            low, high, step = low - step, low, 2 * step
        low = max(low, FEWEST - 1)
    else:
        while not enough(high):
            if high > LARGEST:
                return None
            low, high, step = high, high + step, 2 * step
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high if high <= LARGEST else None
