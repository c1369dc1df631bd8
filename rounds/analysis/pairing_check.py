"""How far the linear plan is from the best resulting mean kinship, by trying every plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rounds.analysis.pairing import Table, offspring_kinship, resulting

MOST_SIDE = 8
"""Up to so many males and females; every plan is tried, 8! = 40,320 of them for 8 pairs."""


class Gap(NamedTuple):
    """Mean kinship (high end) after the plan checked and after the best of all plans with
    as many pairs; ``plans`` is how many there are."""

    plan: float
    best: float
    cells: list[tuple[int, int]]
    plans: int


def quadratic_gap(t: Table, cells: Sequence[tuple[int, int]], uses: Sequence[int]) -> Gap:
    """Compare a plan (cells male, female) with every plan of as many allowed pairs.

    Judged by :func:`rounds.analysis.pairing.resulting`, high end, which is quadratic in the
    choice because offspring of related pairs are related. Raises ValueError beyond
    :data:`MOST_SIDE` males or females.
    """
    males, females, n, wanted = len(t.males), len(t.females), t.means.living, len(cells)
    if max(males, females) > MOST_SIDE:
        raise ValueError(f"only up to {MOST_SIDE} males and females can be gone through one by one.")
    kinship, mean = t.kinships.high, t.means.high
    alone = [
        [n * (mean[n + i] + mean[n + males + j]) + (1 + kinship[i][males + j]) / 2 for j in range(females)]
        for i in range(males)
    ]
    best: tuple[float, list[tuple[int, int]]] = (float("inf"), [])
    plans = 0

    def grow(j: int, left: list[int], chosen: list[tuple[int, int]], total: float) -> None:
        nonlocal best, plans
        if len(chosen) == wanted:
            plans += 1
            if total < best[0]:
                best = (total, chosen.copy())
            return
        if females - j < wanted - len(chosen):
            return
        for i in range(males):
            if left[i] and not t.barred[i][j]:
                more = alone[i][j] + 2 * sum(offspring_kinship(kinship, males, (i, j), c) for c in chosen)
                left[i] -= 1
                chosen.append((i, j))
                grow(j + 1, left, chosen, total + more)
                chosen.pop()
                left[i] += 1
        grow(j + 1, left, chosen, total)

    grow(0, list(uses), [], 0.0)
    return Gap(resulting(t, cells).high, resulting(t, best[1]).high, best[1], plans)
