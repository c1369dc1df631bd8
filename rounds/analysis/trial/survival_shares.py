"""Shares of eggs that lived, with the brood as the unit: intervals of one arm, and where a test holds.

Shares are 0 to 1; levels of confidence are 0.95 where nothing is said. numpy and scipy are
imported inside, so that whatever imports this module starts fast.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import Any

from rounds.analysis.trial import verdict_sentences as sentences
from rounds.named_tuple import NamedTuple
from rounds.problems import RoundsError, lacking

LEVEL = 0.95
FEWEST = 4
"""Broods per arm below which nothing is tested: with 3 even an exact two-sided p is 0.1 at the least."""

MOST_UNEVEN = 4
"""Times the broods of the smaller arm that the larger may have: beyond, no test is known to hold (simulated)."""

MOST_TRIED = 0.3
"""The intraclass correlation up to which the test was simulated, arm by arm, and holds."""

MOST_ALIKE = 0.5
"""Estimate of an arm's intraclass correlation above which nothing is tested: hardly one of :data:`MOST_TRIED`."""


class Interval(NamedTuple):
    """From low to high, both included; ``method`` names how it was found."""

    low: float
    high: float
    method: str


def special() -> Any:
    """``scipy.special``; raises RoundsError when the analysis extra is not installed."""
    try:
        from scipy import special
    except ImportError as e:
        raise RoundsError(lacking("this needs", "analysis")) from e
    return special


def wilson(alive: float, eggs: float, level: float = LEVEL) -> tuple[float, float]:
    """Wilson's score interval of one share (Wilson 1927), for units that are independent."""
    z = float(special().ndtri((1 + level) / 2))
    p, z2 = alive / eggs, z * z
    middle = p + z2 / (2 * eggs)
    half = z * sqrt(p * (1 - p) / eggs + z2 / (4 * eggs * eggs))
    low, high = (middle - half) / (1 + z2 / eggs), (middle + half) / (1 + z2 / eggs)
    return (0.0 if alive == 0 else low), (1.0 if alive == eggs else high)


def mean(x: Sequence[float]) -> float:
    return sum(x) / len(x)


def variance(x: Sequence[float]) -> float:
    """The sample variance, n − 1 below; 0 for a single value. Exactly 0 where all are equal."""
    if len(set(x)) < 2:
        return 0.0
    m = mean(x)
    return sum((v - m) ** 2 for v in x) / (len(x) - 1)


def t_quantile(df: float) -> float:
    return float(special().stdtrit(df, (1 + LEVEL) / 2))


def of_arm(shares: Sequence[float], eggs: float, rho: float = 0.1) -> Interval:
    """Interval of an arm's mean brood share: by t over broods; one brood, or all alike, by Wilson.

    ``eggs`` are all eggs of the arm; Wilson's eggs are divided by the design effect at
    intraclass correlation ``rho`` unless there is only one brood, whose own eggs these are.
    """
    k, m = len(shares), mean(shares)
    v = variance(shares)
    if k > 1 and v > 0:
        half = t_quantile(k - 1) * sqrt(v / k)
        return Interval(max(0.0, m - half), min(1.0, m + half), sentences.T_OVER_BROODS)
    if k == 1:
        return Interval(*wilson(m * eggs, eggs), sentences.WILSON_OF_ONE)
    n = eggs / design_effect(eggs / k, rho)
    return Interval(*wilson(m * n, n), sentences.wilson(rho))


def design_effect(eggs: float, rho: float) -> float:
    """1 + (m − 1) rho: how many times more eggs are needed because they come in broods of m."""
    return 1 + (eggs - 1) * rho
