"""Kinship by a moving front: the tabular method that forgets whom nobody needs any more.

Only animals with offspring (and those asked about) get a row. They enter generation by
generation, A(new, old) = (A(sire, old) + A(dam, old)) / 2, and a row is given up once its
last offspring has entered and its last question is answered (:mod:`front_schedule` plans
this). What has to be held at once is the front: a few hundred rows where the whole matrix of
the pedigree would have tens of thousands. The same steps run in plain Python, which is faster
than waiting for numpy to be imported as long as the pedigree is small, and can carry bounds
where sires are open.

The recurrence is Emik & Terrill's (1949) tabular method, as in Mrode (Linear Models for the
Prediction of Animal Breeding Values), section 2.2.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from rounds.analysis.pedigree.front_schedule import Pair, Schedule
from rounds.analysis.pedigree.worlds import SHARED, View

Pick = Callable[[Iterable[float]], float]

MOST_ROWS = 4000
"""Rows held at once with numpy: 128 MB. Beyond, per-mating tracing takes over."""

MOST_ROWS_PLAIN = 1500
"""Rows held at once in plain Python, where a cell costs four times as much."""

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
