"""A good plan among many candidates: pairs are exchanged while any exchange makes it better.

From several starts; each step looks at every pair of the plan in every other pair's stead, and
at every two pairs with their partners swapped, and takes the best. Good, not proven: how far
from the best it can be at most is told by :mod:`rounds.analysis.pairing.plan_bound`.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from itertools import combinations

from rounds.analysis.pairing.next_generation import Array, Cell, Enough, Limits, NextGeneration, never

STARTS = 12
LEAST = 1e-12
"""A plan is better only by more than this: rounding is no reason to exchange."""


def exchange_search(
    judged: NextGeneration,
    limits: Limits,
    start: Sequence[Cell],
    *,
    starts: int = STARTS,
    seed: int = 1,
    go_on: Callable[[], object] = lambda: None,
    enough: Enough = never,
) -> list[Cell]:
    """The best plan found from ``start`` and from ``starts`` shaken ones, sorted.

    ``start`` must hold to the limits. ``go_on`` is called between steps and may raise; once
    it is ``enough``, the best plan found by then is given.
    """
    draw = random.Random(seed)
    best = _climbed(judged, limits, list(start), go_on, enough)
    score = judged.score(best).total
    for _ in range(starts):
        if enough():
            break
        tried = _climbed(judged, limits, _shaken(limits, best, draw), go_on, enough)
        found = judged.score(tried).total
        if found < score - LEAST:
            best, score = tried, found
    return sorted(best)


def _climbed(
    judged: NextGeneration,
    limits: Limits,
    cells: list[Cell],
    go_on: Callable[[], object],
    enough: Enough,
) -> list[Cell]:
    now = judged.score(cells).total
    while True:
        go_on()
        if enough():
            return cells
        moves = [_replaced(judged, limits, cells), _swapped(judged, limits, cells)]
        better = min((m for m in moves if m is not None), default=None, key=lambda m: m[0])
        if better is None or better[0] >= now - LEAST:
            return cells
        now, cells = better


def _replaced(judged: NextGeneration, limits: Limits, cells: list[Cell]) -> tuple[float, list[Cell]] | None:
    """The best plan with one pair replaced by another, and its score."""
    import numpy as np

    males, best = judged.males, None
    diagonal = np.diag(judged.kinship)
    pair = diagonal[:males, None] + diagonal[None, males:] + 2 * judged.f
    for at, cell in enumerate(cells):
        if cell in limits.forced:
            continue
        rest = cells[:at] + cells[at + 1 :]
        n = judged.groups(rest)
        pull = judged.kinship @ n
        scores = judged.square * (n @ pull + 2 * (pull[:males, None] + pull[None, males:]) + pair)
        scores = scores + judged.linear[:males, None] + judged.linear[None, males:] + judged.linear @ n
        others = sum(judged.each[i, j] for i, j in rest)
        scores = scores + judged.fixed + (others + judged.each) / judged.pairs
        scores[~_open(limits, rest)] = np.inf
        for flat in np.argsort(scores, axis=None, kind="stable")[:20]:
            i, j = divmod(int(flat), judged.f.shape[1])
            if not np.isfinite(scores[i, j]) or (best is not None and scores[i, j] >= best[0]):
                break
            plan = [*rest, (i, j)]
            if _wishes_hold(limits, plan):
                best = (float(scores[i, j]), plan)
                break
    return best


def _swapped(judged: NextGeneration, limits: Limits, cells: list[Cell]) -> tuple[float, list[Cell]] | None:
    """The best plan with the partners of two pairs swapped, and its score."""
    best = None
    score = judged.score(cells)
    for a, b in combinations(range(len(cells)), 2):
        (i, j), (x, y) = cells[a], cells[b]
        if cells[a] in limits.forced or cells[b] in limits.forced:
            continue
        if i == x or not (limits.allowed[i, y] and limits.allowed[x, j]):
            continue
        change = judged.each[i, y] + judged.each[x, j] - judged.each[i, j] - judged.each[x, y]
        total = score.total + float(change) / judged.pairs
        if best is None or total < best[0]:
            plan = [c for n, c in enumerate(cells) if n not in (a, b)] + [(i, y), (x, j)]
            if _wishes_hold(limits, plan):
                best = (total, plan)
    return best


def _open(limits: Limits, rest: Sequence[Cell]) -> Array:
    """Which cells may join the rest of a plan."""
    import numpy as np

    open_ = limits.allowed.copy()
    used = np.zeros(len(limits.uses), dtype=int)
    for i, j in rest:
        used[i] += 1
        open_[:, j] = False
    open_[used >= np.asarray(limits.uses)] = False
    return open_


def _wishes_hold(limits: Limits, cells: Sequence[Cell]) -> bool:
    return all(sum(c in wish for c in cells) >= least for wish, least in limits.wishes)


def _shaken(limits: Limits, cells: Sequence[Cell], draw: random.Random) -> list[Cell]:
    """Up to half of the pairs replaced by any others that may be made."""
    import numpy as np

    plan = list(cells)
    for _ in range(max(1, len(plan) // 2)):
        at = draw.randrange(len(plan))
        if plan[at] in limits.forced:
            continue
        rest = plan[:at] + plan[at + 1 :]
        choices = np.argwhere(_open(limits, rest))
        i, j = choices[draw.randrange(len(choices))]
        tried = [*rest, (int(i), int(j))]
        if _wishes_hold(limits, tried):
            plan = tried
    return plan
