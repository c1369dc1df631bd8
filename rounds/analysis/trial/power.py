"""What a trial of a given size can detect, and how large one would have to be.

Two ways: for eggs that are independent, the usual normal formulas (multiplied by the design
effect for eggs in broods); for a trial that will be judged by its broods, the non-central t
on brood shares at the level that the exact test of so many broods reaches, which is the
honest one with few females. It takes brood shares as normal; by simulation (seeded, in the
tests) the exact test finds what it says 8 of 10 times in 7.5 to 8, and in fewer (down to 6)
with 4 or 5 females an arm where survival is near 0 or 1.
"""

from __future__ import annotations

from math import ceil, sqrt

from rounds.analysis.trial.survival_shares import FEWEST, design_effect, reachable_p, special, t_quantile

POWER = 0.8
"""What "can detect" means: found so often, at the 0.05 level, two-sided."""

ROUGH = 6
"""Females per arm below which brood shares are too few to be taken as normal: found rather less often."""

LARGEST = 5_000
"""Females per arm beyond which nobody need plan."""

SURE = 30.0
"""Standard errors apart at which a difference is always found, to the last digit, with 2 broods an arm and more."""


def power_of(eggs: float, p: float, q: float, level: float = 0.95) -> float:
    """Power to tell shares p and q apart with so many independent eggs per arm, by the normal.

    Pooled variance under no difference, separate ones under the difference; the chance of
    finding the wrong direction is left out.
    """
    s = special()
    z = float(s.ndtri((1 + level) / 2))
    middle = (p + q) / 2
    return float(
        s.ndtr(
            (sqrt(eggs) * abs(p - q) - z * sqrt(2 * middle * (1 - middle))) / sqrt(p * (1 - p) + q * (1 - q))
        )
    )


def eggs_for(
    p: float, q: float, power: float = POWER, level: float = 0.95, *, corrected: bool = False
) -> float:
    """Independent eggs per arm to tell p and q apart (Fleiss 1981, ch. 3); not rounded.

    ``corrected`` adds the continuity correction of Fleiss, Tytun & Ury (1980), which a test
    with discrete counts needs. Raises ValueError when p equals q.
    """
    if p == q:
        raise ValueError("no difference cannot be detected.")
    s = special()
    z, zb, middle = float(s.ndtri((1 + level) / 2)), float(s.ndtri(power)), (p + q) / 2
    d = abs(p - q)
    n: float = ((z * sqrt(2 * middle * (1 - middle)) + zb * sqrt(p * (1 - p) + q * (1 - q))) / d) ** 2
    return n / 4 * (1 + sqrt(1 + 4 / (n * d))) ** 2 if corrected else n


def brood_variance(p: float, eggs: float, rho: float) -> float:
    """Variance of one brood's share: p (1 − p) / m times the design effect."""
    return p * (1 - p) / eggs * design_effect(eggs, rho)


def power_by_broods(difference: float, error: float, df: float, level: float = 0.95) -> float:
    """Power of a t-test on brood shares: ``error`` is the standard error of the difference.

    ``df``, the degrees of freedom, is 2 or more. The non-central t is asked up to :data:`SURE`
    only: its series starts with exp(-nc² / 2), which is 0 from nc 38.6 on, and the answer is
    then not a number.
    """
    if error <= 0:
        return 1.0 if difference else 1 - level
    s = special()
    t, nc = t_quantile(df, level), min(abs(difference) / error, SURE)
    found = float(1 - s.nctdtr(df, nc, t))
    # The wrong direction: nothing from here on.
    return found + float(s.nctdtr(df, nc, -t)) if nc < 5 else found


def found_by_broods(difference: float, error: float, one: int, other: int) -> float:
    """:func:`power_by_broods` at the level that the test of so many broods really has."""
    return power_by_broods(difference, error, one + other - 2, 1 - reachable_p(one, other))


def detectable(one: int, other: int, variance: float, power: float = POWER) -> float | None:
    """The smallest difference of mean brood shares found with ``power``, one variance for both arms.

    None below :data:`FEWEST` females in an arm: no p-value is given there.
    """
    if min(one, other) < FEWEST:
        return None
    error = sqrt(variance * (1 / one + 1 / other))
    if error == 0:
        return 0.0
    low, high = 0.0, SURE * error
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if found_by_broods(middle, error, one, other) >= power else (middle, high)
    return high


def planned_power(one: int, other: int, eggs: float, rho: float, p: float, q: float) -> float | None:
    """Power of a planned trial to tell survivals p and q apart; None where no p-value would be given."""
    if min(one, other) < FEWEST:
        return None
    error = sqrt(brood_variance(p, eggs, rho) / one + brood_variance(q, eggs, rho) / other)
    return found_by_broods(p - q, error, one, other)


def planned_detectable(
    one: int, other: int, eggs: float, rho: float, p: float, power: float = POWER
) -> float | None:
    """The highest survival below p that a planned trial would tell from it; None if even 0 would not be.

    Halved in over q: the further q lies below p, the surer it is found.
    """
    if min(one, other) < FEWEST or (planned_power(one, other, eggs, rho, p, 0.0) or 0) < power:
        return None
    low, high = 0.0, p
    for _ in range(50):
        middle = (low + high) / 2
        found = (planned_power(one, other, eggs, rho, p, middle) or 0.0) >= power
        low, high = (middle, high) if found else (low, middle)
    return low


def females_to_find(difference: float, variance: float, power: float = POWER) -> int | None:
    """Females per arm to find a difference of mean shares when broods vary so; None beyond :data:`LARGEST`."""
    if not difference:
        return None
    z = float(special().ndtri(0.975)) + float(special().ndtri(power))
    # The normal formula needs no more than the t-test does; from there on one at a time.
    k = max(FEWEST, int(2 * variance * (z / difference) ** 2))
    while k <= LARGEST and found_by_broods(difference, sqrt(2 * variance / k), k, k) < power:
        k += 1
    return k if k <= LARGEST else None


def females_for(eggs: float, rho: float, p: float, q: float, power: float = POWER) -> int | None:
    """Females per arm to tell survivals p and q apart; None beyond :data:`LARGEST`."""
    if p == q:
        return None

    def enough(k: int) -> bool:
        return (planned_power(k, k, eggs, rho, p, q) or 0.0) >= power

    # The normal formula is close from below; from there on one at a time.
    k = max(FEWEST, ceil(eggs_for(p, q, power) * design_effect(eggs, rho) / eggs * 0.8))
    while k > FEWEST and enough(k - 1):
        k -= 1
    while k <= LARGEST and not enough(k):
        k += 1
    return k if k <= LARGEST else None
