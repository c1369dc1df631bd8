"""Shares of eggs that lived: intervals and tests with the brood as the unit.

Shares are 0 to 1; levels of confidence are 0.95 where nothing is said. numpy and scipy are
imported inside, so that whatever imports this module starts fast.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import comb, sqrt
from typing import TYPE_CHECKING, Any, NamedTuple

from rounds.analysis.trial import verdict_sentences as sentences
from rounds.problems import RoundsError, lacking

if TYPE_CHECKING:
    import numpy as np

LEVEL = 0.95
FEWEST = 4
"""Females per arm below which no p-value is given: with 3 an exact two-sided p is 0.1 at the least."""

MOST_UNEVEN = 4
"""Times the broods of the smaller arm that the larger may have: beyond, no test is known to hold (simulated)."""

MOST_ARRANGEMENTS = 200_000
"""So many ways to deal the broods out over the arms are all gone through; beyond, Welch's test."""

_TIE = 1e-9  # shares that differ by rounding only are the same


class Interval(NamedTuple):
    """From low to high, both included; ``method`` names how it was found."""

    low: float
    high: float
    method: str


class Test(NamedTuple):
    """A two-sided test of "no difference": ``difference`` is other minus reference."""

    difference: float
    p: float
    method: str
    interval: Interval


def special() -> Any:
    """``scipy.special``; raises RoundsError when the analysis extra is not installed."""
    try:
        from scipy import special
    except ImportError as e:
        raise RoundsError(lacking("this needs", "analysis")) from e
    return special


def smallest_p(one: int, other: int) -> float:
    """The least two-sided p an exact permutation test of so many broods can give, 1 at the most.

    Dealing them out the other way round counts too where both arms are of one size:
    2 / C(2k, k).
    """
    return min(1.0, (2 if one == other else 1) / comb(one + other, one))


def reachable_p(one: int, other: int, level: float = LEVEL) -> float:
    """The largest p at or below 1 − level that a test of so many broods can give; what it really errs by.

    Arrangements come in whole numbers: with 4 and 4 broods only 2 of 70 lie below 0.05, so the
    test errs in 0.029 of cases and finds less than one at 0.05 would. 0 where none can be that small.
    """
    ways = comb(one + other, one)
    if ways > MOST_ARRANGEMENTS:  # Welch's test, which knows no steps
        return 1 - level
    step = 2 if one == other else 1
    return int((1 - level) * ways / step + 1e-9) * step / ways


def wilson(alive: float, eggs: float, level: float = LEVEL) -> tuple[float, float]:
    """Wilson's score interval of one share (Wilson 1927), for units that are independent."""
    z = float(special().ndtri((1 + level) / 2))
    p, z2 = alive / eggs, z * z
    middle = p + z2 / (2 * eggs)
    half = z * sqrt(p * (1 - p) / eggs + z2 / (4 * eggs * eggs))
    low, high = (middle - half) / (1 + z2 / eggs), (middle + half) / (1 + z2 / eggs)
    return (0.0 if alive == 0 else low), (1.0 if alive == eggs else high)


def newcombe(a: float, m: float, b: float, n: float, level: float = LEVEL) -> tuple[float, float]:
    """Interval of a/m − b/n from two Wilson intervals (Newcombe 1998, method 10)."""
    p, q = a / m, b / n
    (l1, u1), (l2, u2) = wilson(a, m, level), wilson(b, n, level)
    d = p - q
    return d - sqrt((p - l1) ** 2 + (u2 - q) ** 2), d + sqrt((u1 - p) ** 2 + (q - l2) ** 2)


def mean(x: Sequence[float]) -> float:
    return sum(x) / len(x)


def variance(x: Sequence[float]) -> float:
    """The sample variance, n − 1 below; 0 for a single value. Exactly 0 where all are equal."""
    if len(set(x)) < 2:
        return 0.0
    m = mean(x)
    return sum((v - m) ** 2 for v in x) / (len(x) - 1)


def t_quantile(df: float, level: float = LEVEL) -> float:
    return float(special().stdtrit(df, (1 + level) / 2))


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


def welch(one: Sequence[float], other: Sequence[float]) -> tuple[float, float, float]:
    """t of other − one, Welch–Satterthwaite degrees of freedom, two-sided p (Welch 1947).

    Raises ValueError where neither arm varies: there is nothing to divide by.
    """
    a, b = variance(one) / len(one), variance(other) / len(other)
    if a + b <= 0:
        raise ValueError("neither arm varies.")
    t = (mean(other) - mean(one)) / sqrt(a + b)
    df = (a + b) ** 2 / sum(x * x / (len(g) - 1) for x, g in ((a, one), (b, other)) if x > 0)
    return t, df, float(2 * special().stdtr(df, -abs(t)))


def welch_test(one: Sequence[float], other: Sequence[float]) -> Test:
    """Welch's test on brood shares with its interval, cut off at −1 and 1."""
    t, df, p = welch(one, other)
    d = mean(other) - mean(one)
    half = abs(d / t) * t_quantile(df) if t else t_quantile(df) * _error(one, other)
    return Test(
        d,
        p,
        sentences.WELCH_TEST,
        Interval(max(-1.0, d - half), min(1.0, d + half), sentences.WELCH_INTERVAL),
    )


def _error(one: Sequence[float], other: Sequence[float]) -> float:
    return sqrt(variance(one) / len(one) + variance(other) / len(other))


def permutations_feasible(one: int, other: int) -> bool:
    return comb(one + other, one) <= MOST_ARRANGEMENTS


def _arrangements(one: int, other: int) -> np.ndarray[Any, Any]:
    """Every way to deal broods out, a row each: 1 where a brood goes to ``other``."""
    import numpy as np

    n = one + other
    rows = np.zeros((1, 0), dtype=np.int8)
    for k in range(n):
        longer = []
        for bit in (0, 1):
            piece = np.hstack([rows, np.full((len(rows), 1), bit, dtype=np.int8)])
            used = piece.sum(axis=1)
            # No more of either than there is room for, in the arm itself and in what is to come.
            longer.append(piece[(used <= other) & (k + 1 - used <= one)])
        rows = np.vstack(longer)
    return rows


def permutation_test(one: Sequence[float], other: Sequence[float], level: float = LEVEL) -> Test:
    """The exact permutation test of the difference of mean brood shares, with its interval.

    The interval holds every shift d that the same test does not reject once d is taken off
    the other arm's shares, so it holds 0 just when p > 1 − level. For each arrangement the
    shifts it speaks for are an interval around the difference seen, so both ends are order
    statistics and no search is needed. Cut off at −1 and 1.
    """
    import numpy as np

    k, m = len(one), len(other)
    x = np.array([*one, *other], dtype=float)
    seen = mean(other) - mean(one)
    deals = _arrangements(k, m).astype(float)
    scale = 1 / m + 1 / k
    a = deals @ x * scale - x.sum() / k  # the difference under each arrangement
    b = deals[:, k:].sum(axis=1) * scale - m / k  # how much of the shift goes with it
    p = float((np.abs(a) >= abs(seen) - _TIE).mean())
    with np.errstate(divide="ignore", invalid="ignore"):
        first, second = (seen - a) / (1 - b), (a + seen) / (1 + b)
    # At b = ±1 (as dealt, or the mirror) every shift counts.
    whole = np.abs(np.abs(b) - 1) < 1e-12
    low = np.where(whole, -np.inf, np.minimum(first, second))
    high = np.where(whole, np.inf, np.maximum(first, second))
    need = int((1 - level) * len(deals) + 1e-9) + 1  # a shift is kept when so many speak for it
    ends = Interval(
        max(-1.0, float(np.partition(low, need - 1)[need - 1])),
        min(1.0, float(-np.partition(-high, need - 1)[need - 1])),
        sentences.EXACT_INTERVAL,
    )
    return Test(seen, p, sentences.EXACT_TEST, ends)
