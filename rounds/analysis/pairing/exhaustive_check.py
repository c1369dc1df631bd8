"""How far the linear plan is from the best resulting mean kinship, by trying every plan.

Over 150 random cases (two to eight males and females, as many pairs as can be; seeded, run
by ``tests/bench/bench_pairing.py``) the plan's mean kinship lay above the best by 0.08 % in
the mean, 0.36 % at the 95th of a hundred and 0.99 % at the worst, and was the very best in
98. Most of that is the price of weighing F: with its weight 0 it was 0.01 %, 0.05 %, 0.13 %,
and the very best in 130.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from math import comb, perm
from typing import NamedTuple

from rounds.analysis.pairing.cost_table import CostTable, offspring_kinship, resulting

MOST_SIDE = 8
"""Up to so many males and females; every plan is tried, 8! = 40,320 of them for 8 pairs."""

MOST_PLANS = 50_000
"""Beyond so many plans (males used several times, few of many paired) nobody would wait for it."""


class Gap(NamedTuple):
    """Mean kinship (high end) after the plan checked and after the best of all plans with
    as many pairs; ``plans`` is how many there are."""

    plan: float
    best: float
    cells: list[tuple[int, int]]
    plans: int

    @property
    def share(self) -> float:
        """By what share of the best the plan lies above it; 0 where both are 0."""
        return (self.plan - self.best) / self.best if self.best else 0.0


def small(t: CostTable, pairs: int, uses: Sequence[int]) -> bool:
    """Whether every plan of so many pairs can be gone through while somebody waits."""
    males, females = len(t.males), len(t.females)
    if max(males, females) > MOST_SIDE or not pairs:
        return False
    once = all(u <= 1 for u in uses)
    ways: int = perm(males, pairs) if once else males**pairs
    return comb(females, pairs) * ways <= MOST_PLANS


def quadratic_gap(
    t: CostTable,
    cells: Sequence[tuple[int, int]],
    uses: Sequence[int],
    forced: Collection[tuple[int, int]] = (),
) -> Gap:
    """Compare a plan (cells male, female) with every plan of as many allowed pairs and all ``forced`` ones.

    Judged by :func:`rounds.analysis.pairing.cost_table.resulting`, high end, which is quadratic in
    the choice because offspring of related pairs are related. The plan also weighs F, so part
    of what it lies above the best is the price of that. Raises ValueError beyond
    :data:`MOST_SIDE` males or females.
    """
    males, females, n, wanted = len(t.males), len(t.females), t.means.living, len(cells)
    if max(males, females) > MOST_SIDE:
        raise ValueError(f"only up to {MOST_SIDE} males and females can be gone through one by one.")
    kinship, mean = t.kinships.high, t.means.high
    fixed = {j: i for i, j in forced}
    alone = [
        [n * (mean[n + i] + mean[n + males + j]) + (1 + kinship[i][males + j]) / 2 for j in range(females)]
        for i in range(males)
    ]
    best: tuple[float, list[tuple[int, int]]] = (float("inf"), [])
    plans = 0

    def grow(j: int, left: list[int], chosen: list[tuple[int, int]], total: float) -> None:
        nonlocal best, plans
        if len(chosen) == wanted:
            if any(k >= j for k in fixed):
                return
            plans += 1
            if total < best[0]:
                best = (total, chosen.copy())
            return
        if females - j < wanted - len(chosen):
            return
        for i in range(males):
            if left[i] and not t.barred[i][j] and fixed.get(j, i) == i:
                more = alone[i][j] + 2 * sum(offspring_kinship(kinship, males, (i, j), c) for c in chosen)
                left[i] -= 1
                chosen.append((i, j))
                grow(j + 1, left, chosen, total + more)
                chosen.pop()
                left[i] += 1
        if j not in fixed:
            grow(j + 1, left, chosen, total)

    grow(0, list(uses), [], 0.0)
    return Gap(resulting(t, cells).high, resulting(t, best[1]).high, best[1], plans)
