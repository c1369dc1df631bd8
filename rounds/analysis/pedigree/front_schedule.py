"""When each animal enters the moving front, when it leaves it, and which row it has meanwhile.

Planning is done once for all questions, in O(ancestors); :mod:`moving_front` then only follows the plan.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from collections.abc import Set as AbstractSet

from rounds.analysis.pedigree.worlds import View
from rounds.named_tuple import NamedTuple

Pair = tuple[int, int]

# Seconds, measured once; only their ratio matters, and only for choosing the faster way.
_PLAIN_CELL, _NUMPY_CELL, _NUMPY_LEVEL, _NUMPY_IMPORT = 1.2e-7, 4e-9, 1e-4, 0.11


class Schedule(NamedTuple):
    """Which nodes enter at each level, and which questions are answered after it.

    ``slot`` is the row a node uses while it is held; row 0 stays zero, for parents nobody
    recorded. ``rows`` counts the rows needed at once, ``cells`` the values to be computed.
    """

    levels: list[list[int]]
    asked: list[list[int]]
    slot: list[int]
    rows: int
    cells: int

    @property
    def seconds_plain(self) -> float:
        return self.cells * _PLAIN_CELL

    @property
    def seconds_numpy(self) -> float:
        waiting = 0.0 if "numpy" in sys.modules else _NUMPY_IMPORT
        return self.cells * _NUMPY_CELL + len(self.levels) * _NUMPY_LEVEL + waiting


def schedule(view: View, pairs: Sequence[Pair], keep: Sequence[int] = ()) -> Schedule:
    """Plan the front for the kinship of ``pairs`` and of all of ``keep``. O(ancestors)."""
    nodes = ancestry(view, {i for pair in pairs for i in pair}.union(keep))
    tied = {i for pair in view.extra for i in pair}
    depth = _depths(view, nodes, tied)
    level = _levels(view, nodes, depth, _loose_founders(view, nodes, tied), pairs)
    top = max((level[i] for i in nodes), default=-1)
    asked: list[list[int]] = [[] for _ in range(top + 1)]
    for k, (a, b) in enumerate(pairs):
        asked[level[a] if level[a] > level[b] else level[b]].append(k)
    last = _last_needed(view, nodes, level, pairs)
    for i in tied:
        last[i] = max(last[i], 1)  # until both of a declared pair are in
    for i in keep:
        last[i] = top
    return _with_rows(nodes, level, last, asked)


def ancestry(view: View, wanted: set[int]) -> list[int]:
    """``wanted`` and all their ancestors, parents first."""
    seen = set(wanted)
    stack = list(wanted)
    sire, dam, options = view.sire, view.dam, view.options
    while stack:
        i = stack.pop()
        s, d = sire[i], dam[i]
        if s >= 0 and s not in seen:
            seen.add(s)
            stack.append(s)
        if d >= 0 and d not in seen:
            seen.add(d)
            stack.append(d)
        if i in options:
            more = {o for o in options[i] if o >= 0} - seen
            seen |= more
            stack.extend(more)
    return sorted(seen)


def _depths(view: View, nodes: Sequence[int], tied: AbstractSet[int]) -> list[int]:
    """Generations from the founders down to each node, by its longest line; the last entry is −1, for no parent."""
    sire, dam, options, shared_lines = view.sire, view.dam, view.options, len(view.lines)
    depth = [-1] * (len(sire) + 1)
    for i in nodes:
        deepest = depth[sire[i]] if depth[sire[i]] > depth[dam[i]] else depth[dam[i]]
        if i in options:
            deepest = max(deepest, *(depth[o] for o in options[i]))
        if tied and deepest < 1 and shared_lines <= i and i not in tied:
            deepest = 1  # declared founders first: what is declared of them reaches all offspring
        depth[i] = deepest + 1
    return depth


def _loose_founders(view: View, nodes: Sequence[int], tied: AbstractSet[int]) -> set[int]:
    """Founders related to nobody who is held before their first offspring, so that they may enter late.

    Founders of a line's unknown kind inherit from the line's node alone: the same.
    """
    sire, dam, shared_lines = view.sire, view.dam, len(view.lines)
    barred = tied | view.options.keys()
    return {
        i
        for i in nodes
        if shared_lines <= i and sire[i] < shared_lines and dam[i] < shared_lines and i not in barred
    }


def _levels(
    view: View, nodes: Sequence[int], depth: list[int], loose: AbstractSet[int], pairs: Sequence[Pair]
) -> list[int]:
    """The level at which each node enters: its depth, a loose founder's just before it is first needed."""
    sire, dam, options = view.sire, view.dam, view.options
    never = len(sire)
    first = dict.fromkeys(loose, never)
    for i in nodes:
        if i not in loose:
            before = depth[i] - 1
            for p in (sire[i], dam[i], *options.get(i, ())):
                if p in loose and before < first[p]:
                    first[p] = before
    for a, b in pairs:
        for p, other in ((a, b), (b, a)):
            if p in loose and other not in loose and depth[other] < first[p]:
                first[p] = depth[other]
    level = depth.copy()
    for p, needed in first.items():
        if needed < never:
            level[p] = max(depth[p], needed)
    return level


def _last_needed(view: View, nodes: Sequence[int], level: list[int], pairs: Sequence[Pair]) -> list[int]:
    """The level after which a node is needed no more: its last offspring is in, its last question answered."""
    sire, dam, options = view.sire, view.dam, view.options
    last = [0] * len(level)
    for i in nodes:
        here = level[i]
        for p in (sire[i], dam[i], *options.get(i, ())):
            if last[p] < here:
                last[p] = here
    for a, b in pairs:
        when = level[a] if level[a] > level[b] else level[b]
        if last[a] < when:
            last[a] = when
        if last[b] < when:
            last[b] = when
    return last


def _with_rows(nodes: Sequence[int], level: list[int], last: list[int], asked: list[list[int]]) -> Schedule:
    """The plan with a row for each node, taken over from one that has left where there is one."""
    top = len(asked) - 1
    levels: list[list[int]] = [[] for _ in asked]
    leaving: list[list[int]] = [[] for _ in asked]
    for i in nodes:
        levels[level[i]].append(i)
        leaving[min(max(last[i], level[i]), top)].append(i)
    slot = [0] * len(level)
    free: list[int] = []
    rows, cells = 1, 0
    for entering, gone in zip(levels, leaving, strict=True):
        for i in entering:
            if free:
                slot[i] = free.pop()
            else:
                slot[i] = rows
                rows += 1
        cells += len(entering) * rows
        free.extend(slot[i] for i in gone)
    return Schedule(levels, asked, slot, rows, cells)
