"""The exact permutation test of brood shares, on many trials at once.

No verdict uses it: it finds differences that are not there where arms differ in size and in
spread. It stands here as the control that the simulations must catch.
"""

from __future__ import annotations

from math import comb
from typing import Any

import numpy as np

TIE = 1e-9  # shares that differ by rounding only are the same


def permutation_ps(x: Any, one: int) -> Any:
    """Exact two-sided permutation p of many trials at once, by the difference of means.

    ``x`` is trials × broods, the first ``one`` broods of each row the reference arm. Returns
    an array of p. Arrangements are not gone through one by one: the broods are halved, and
    for each sum of the one half the sums of the other that reach far enough are counted in
    a sorted list, so the cost is about 2^(broods / 2) per trial.
    """
    x = np.asarray(x, dtype=float)
    n = x.shape[1]
    other, half = n - one, n // 2
    sums = [_subset_sums(x[:, :half]), _subset_sums(x[:, half:])]
    scale = 1 / other + 1 / one
    total = x.sum(axis=1)
    # Difference of means = sum of other × (1/other + 1/one) − total / one.
    seen = np.abs(x[:, one:].sum(axis=1) * scale - total / one)
    above = (total / one + seen - TIE) / scale
    below = (total / one - seen + TIE) / scale
    hits = np.zeros(len(x))
    for k in range(max(0, other - (n - half)), min(half, other) + 1):
        left, right = sums[0][k], np.sort(sums[1][other - k], axis=1)
        for t in range(len(x)):
            row = right[t]
            hits[t] += (len(row) - np.searchsorted(row, above[t] - left[t], "left")).sum()
            hits[t] += np.searchsorted(row, below[t] - left[t], "right").sum()
    return np.where(seen <= TIE, 1.0, hits / comb(n, one))


def smallest_p(one: int, other: int) -> float:
    """The least two-sided p an exact permutation test of so many broods can give: 2 / C(2k, k) in equal arms."""
    return min(1.0, (2 if one == other else 1) / comb(one + other, one))


def _subset_sums(x: Any) -> list[Any]:
    """For each number of broods taken, the sums of all such choices: trials × choices."""
    out = [np.zeros((len(x), 1))] + [np.zeros((len(x), 0)) for _ in range(x.shape[1])]
    for k in range(x.shape[1]):
        with_it = [block + x[:, k : k + 1] for block in out[:-1]]
        out = [out[0], *(np.hstack(pair) for pair in zip(out[1:], with_it, strict=True))]
    return out
