"""The wrong way to compare two arms: all eggs of an arm pooled. For controls that must fail."""

from __future__ import annotations

from math import sqrt

import numpy as np
from scipy.special import gammaln

from rounds.analysis.trial.survival_shares import wilson


def fisher(a: int, m: int, c: int, n: int) -> float:
    """Two-sided Fisher exact p of a/m against c/n: tables no likelier than the one seen."""
    k = a + c
    x = np.arange(max(0, k - n), min(m, k) + 1)

    def ways(of: int, some: np.ndarray) -> np.ndarray:
        return gammaln(of + 1) - gammaln(some + 1) - gammaln(of - some + 1)

    log = ways(m, x) + ways(n, k - x)
    chance = np.exp(log - log.max())
    seen = chance[a - x[0]]
    # Tables just as likely differ by rounding only.
    return float(chance[chance <= seen * (1 + 1e-7)].sum() / chance.sum())


def newcombe(a: float, m: float, b: float, n: float) -> tuple[float, float]:
    """Interval of a/m − b/n from two of our Wilson intervals (Newcombe 1998, method 10), eggs independent."""
    p, q = a / m, b / n
    (l1, u1), (l2, u2) = wilson(a, m), wilson(b, n)
    d = p - q
    return d - sqrt((p - l1) ** 2 + (u2 - q) ** 2), d + sqrt((u1 - p) ** 2 + (q - l2) ** 2)
