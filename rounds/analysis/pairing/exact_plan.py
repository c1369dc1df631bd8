"""The best plan among few candidates, proven by going through all of them.

The mean kinship depends only on who breeds, the rest only on who with whom. So every choice
of males with every choice of females is scored at once, and partners are tried only where
the score leaves room for a better plan.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import combinations, combinations_with_replacement, permutations
from math import comb

from rounds.analysis.pairing.next_generation import Array, Cell, Enough, Limits, NextGeneration, never

MOST_CHOICES = 700_000
"""Choices of males times choices of females that are gone through: 12 × 12 at 4 pairs with free males."""

MOST_PAIRS = 5
"""Partners of so many are tried in every order."""


def within_reach(limits: Limits, pairs: int) -> bool:
    """Can all plans be gone through while somebody waits?"""
    males, females = limits.allowed.shape
    if not 0 < pairs <= min(females, MOST_PAIRS):
        return False
    sires = comb(males + pairs - 1, pairs) if any(u > 1 for u in limits.uses) else comb(males, pairs)
    return sires * comb(females, pairs) <= MOST_CHOICES


def exact_plan(
    judged: NextGeneration, limits: Limits, go_on: Callable[[], object] = lambda: None
) -> list[Cell] | None:
    """The cells of the best plan, the first in order among equals; None when there is no plan.

    ``go_on`` is called between steps and may raise. Raises ValueError beyond :func:`within_reach`.
    """
    return best_so_far(judged, limits, go_on)[0]


def best_so_far(
    judged: NextGeneration,
    limits: Limits,
    go_on: Callable[[], object] = lambda: None,
    enough: Enough = never,
) -> tuple[list[Cell] | None, float]:
    """:func:`exact_plan`, and a total no plan lies below: that of the plan itself, unless ``enough`` ended it early.

    Choices are gone through from the lowest total their plans may have, so that those left bound the rest.
    """
    import numpy as np

    k, males = judged.pairs, judged.males
    if not within_reach(limits, k):
        raise ValueError("too many plans to go through them all")
    sires = list(_sires(limits.uses, k))
    dams = list(combinations(range(judged.f.shape[1]), k))
    if not sires:
        return None, math.inf
    n_sires = _counts(sires, males)
    n_dams = _counts(dams, judged.f.shape[1])
    kinship, linear = judged.kinship, judged.linear

    def alone(n: Array, at: slice) -> Array:
        return judged.square * np.einsum("ij,jk,ik->i", n, kinship[at, at], n) + n @ linear[at]

    him, her = slice(0, males), slice(males, None)
    between = 2 * judged.square * (n_sires @ kinship[him, her] @ n_dams.T)
    score = alone(n_sires, him)[:, None] + alone(n_dams, her)[None, :] + between
    go_on()
    # No partners cost less than each female's cheapest male among all of them.
    able = np.where(limits.allowed, judged.each, np.inf)
    least = np.where(np.isfinite(able).any(axis=0), able.min(axis=0), np.inf)
    floor = np.array([least[list(d)].sum() for d in dams]) / k
    order = np.argsort(score + floor[None, :], axis=None, kind="stable")
    best: tuple[float, list[Cell]] | None = None
    left = math.inf
    for count, at in enumerate(order):
        a, b = divmod(int(at), len(dams))
        bound = score[a, b] + floor[b]
        if not np.isfinite(bound) or (best is not None and bound >= best[0] - 1e-15):
            break
        if count % 1000 == 0:
            go_on()
        if enough():
            left = float(bound)
            break
        for cells in _partners(sires[a], dams[b]):
            if limits.hold(cells):
                total = score[a, b] + sum(judged.each[i, j] for i, j in cells) / k
                if best is None or total < best[0] - 1e-15:
                    best = (total, cells)
    lowest = float(judged.fixed) + (left if best is None else min(left, float(best[0])))
    return (None if best is None else sorted(best[1])), lowest


def _sires(uses: Sequence[int], pairs: int) -> Iterator[tuple[int, ...]]:
    able = [i for i, u in enumerate(uses) if u > 0]
    if all(uses[i] == 1 for i in able):
        yield from combinations(able, pairs)
        return
    for some in combinations_with_replacement(able, pairs):
        if all(some.count(i) <= uses[i] for i in set(some)):
            yield some


def _counts(choices: Sequence[tuple[int, ...]], width: int) -> Array:
    import numpy as np

    n = np.zeros((len(choices), width))
    for row, choice in enumerate(choices):
        for i in choice:
            n[row, i] += 1
    return n


def _partners(sires: tuple[int, ...], dams: tuple[int, ...]) -> Iterator[list[Cell]]:
    for order in dict.fromkeys(permutations(sires)):
        yield list(zip(order, dams, strict=True))
