"""Kinship by a moving front: the tabular method that forgets whom nobody needs any more.

Only animals with offspring (and those asked about) get a row. They enter generation by
generation, A(new, old) = (A(sire, old) + A(dam, old)) / 2, and a row is given up once its
last offspring has entered and its last question is answered. What has to be held at once is
the front: a few hundred rows where the whole matrix of the pedigree would have tens of
thousands. The same steps run in plain Python, which is faster than waiting for numpy to be
imported as long as the pedigree is small, and can carry bounds where sires are open.

The recurrence is Emik & Terrill's (1949) tabular method, as in Mrode (Linear Models for the
Prediction of Animal Breeding Values), section 2.2.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

from rounds.analysis.pedigree.worlds import SHARED, View

Pair = tuple[int, int]
Pick = Callable[[Iterable[float]], float]

MOST_ROWS = 4000
"""Rows held at once with numpy: 128 MB. Beyond, per-mating tracing takes over."""

MOST_ROWS_PLAIN = 1500
"""Rows held at once in plain Python, where a cell costs four times as much."""

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
    sire, dam, options = view.sire, view.dam, view.options
    n, shared_lines = len(sire), len(view.lines)
    tied = {i for pair in view.extra for i in pair}
    nodes = ancestry(view, {i for pair in pairs for i in pair}.union(keep))
    depth = [-1] * (n + 1)  # depth[-1] is the depth of a parent nobody recorded
    for i in nodes:
        deepest = depth[sire[i]] if depth[sire[i]] > depth[dam[i]] else depth[dam[i]]
        if i in options:
            deepest = max(deepest, *(depth[o] for o in options[i]))
        if tied and deepest < 1 and shared_lines <= i and i not in tied:
            deepest = 1  # declared founders first: what is declared of them reaches all offspring
        depth[i] = deepest + 1

    # A founder is related to nobody held before its first offspring, so it may enter late.
    # (Founders of a line's unknown kind inherit from the line's node alone: the same.)
    loose = {
        i
        for i in nodes
        if shared_lines <= i
        and sire[i] < shared_lines
        and dam[i] < shared_lines
        and i not in tied
        and i not in options
    }
    level = depth.copy()
    first = dict.fromkeys(loose, n)
    last = [0] * (n + 1)
    for i in nodes:
        if i not in loose:
            for p in (sire[i], dam[i], *options.get(i, ())):
                if p in loose and depth[i] - 1 < first[p]:
                    first[p] = depth[i] - 1
    for a, b in pairs:
        for p, other in ((a, b), (b, a)):
            if p in loose and other not in loose and depth[other] < first[p]:
                first[p] = depth[other]
    for p in loose:
        level[p] = max(depth[p], first[p]) if first[p] < n else depth[p]

    for i in nodes:
        for p in (sire[i], dam[i], *options.get(i, ())):
            if last[p] < level[i]:
                last[p] = level[i]
    top = max((level[i] for i in nodes), default=-1)
    asked: list[list[int]] = [[] for _ in range(top + 1)]
    for k, (a, b) in enumerate(pairs):
        when = level[a] if level[a] > level[b] else level[b]
        asked[when].append(k)
        if last[a] < when:
            last[a] = when
        if last[b] < when:
            last[b] = when
    for i in keep:
        last[i] = top
    for i in tied:
        last[i] = max(last[i], 1)  # until both of a declared pair are in

    levels: list[list[int]] = [[] for _ in range(top + 1)]
    leaving: list[list[int]] = [[] for _ in range(top + 2)]
    for i in nodes:
        levels[level[i]].append(i)
        leaving[min(max(last[i], level[i]), top)].append(i)
    slot = [0] * (n + 1)
    free: list[int] = []
    rows, cells = 1, 0
    for at, entering in enumerate(levels):
        for i in entering:
            if free:
                slot[i] = free.pop()
            else:
                slot[i] = rows
                rows += 1
        cells += len(entering) * rows
        free.extend(slot[i] for i in leaving[at])
    return Schedule(levels, asked, slot, rows, cells)


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


Answer = tuple[list[float], list[list[float]]]
"""Kinship of each pair asked, and the kinship matrix of the animals kept."""


def run_plain(
    view: View, plan: Schedule, pairs: Sequence[Pair], keep: Sequence[int], pick: Pick = min
) -> Answer:
    """The front in plain Python.

    Where sires are open, ``pick`` (min or max) takes the outer bound over them: each value
    is then a bound on what any settlement of the open sires could give.
    """
    table = [[0.0] * plan.rows for _ in range(plan.rows)]
    answers = [0.0] * len(pairs)
    slot, options = plan.slot, view.options
    tied: dict[int, list[tuple[int, float]]] = {}
    for (i, j), e in view.extra.items():
        tied.setdefault(i, []).append((j, e))
        tied.setdefault(j, []).append((i, e))
    entered: set[int] = set()
    for entering, asked in zip(plan.levels, plan.asked, strict=True):
        for i in entering:
            here, d = slot[i], slot[view.dam[i]]
            from_dam = table[d]
            if i in options:
                sires = [slot[o] for o in options[i]]
                from_sire = [pick(column) for column in zip(*(table[s] for s in sires), strict=True)]
            else:
                sires = [slot[view.sire[i]]]
                from_sire = table[sires[0]]
            row = [(x + y) * 0.5 for x, y in zip(from_sire, from_dam, strict=True)]
            own = view.diag.get(i)
            if own is None:
                own = 1.0 + from_sire[d] * 0.5
            elif own == SHARED:
                own = (pick(row[s] for s in sires) + row[d]) * 0.5
            if i in tied:
                entered.add(i)
                for j, e in tied[i]:
                    if j in entered:
                        row[slot[j]] += e
            row[here] = own
            table[here] = row
            for other, value in zip(table, row, strict=True):
                other[here] = value
        for k in asked:
            a, b = pairs[k]
            answers[k] = table[slot[a]][slot[b]] * 0.5
    kept = [slot[i] for i in keep]
    return answers, [[table[a][b] * 0.5 for b in kept] for a in kept]


def run_numpy(view: View, plan: Schedule, pairs: Sequence[Pair], keep: Sequence[int]) -> Answer:
    """The front a generation at a time with numpy; no open sires."""
    import numpy as np

    table = np.zeros((plan.rows, plan.rows))
    answers = np.zeros(len(pairs))
    slots = np.array(plan.slot)
    sire, dam = view.sire, view.dam
    entered: set[int] = set()
    for entering, asked in zip(plan.levels, plan.asked, strict=True):
        here = slots[entering]
        s = slots[[sire[i] for i in entering]]
        d = slots[[dam[i] for i in entering]]
        rows = table[s]
        rows += table[d]
        rows *= 0.5
        among = rows[:, s]
        among += rows[:, d]
        among *= 0.5
        own = 1.0 + table[s, d] * 0.5
        if view.diag:
            for k, i in enumerate(entering):
                given = view.diag.get(i)
                if given is not None:
                    own[k] = among[k, k] if given == SHARED else given
        np.fill_diagonal(among, own)
        table[here] = rows
        table[:, here] = rows.T
        table[here[:, None], here] = among
        if view.extra and len(entered) < len(view.extra):
            _declared(view, plan, table, set(entering), entered)
        if asked:
            a, b = slots[[pairs[k][0] for k in asked]], slots[[pairs[k][1] for k in asked]]
            answers[asked] = table[a, b] * 0.5
    kept = slots[list(keep)] if keep else np.zeros(0, dtype=int)
    return answers.tolist(), (table[kept[:, None], kept] * 0.5).tolist()


def _declared(view: View, plan: Schedule, table: Any, entering: set[int], entered: set[int]) -> None:
    before = entered.copy()
    for i, j in view.extra:
        entered.update({i, j} & entering)
    for (i, j), e in view.extra.items():
        if {i, j} <= entered and not {i, j} <= before:
            a, b = plan.slot[i], plan.slot[j]
            table[a, b] += e
            table[b, a] += e
