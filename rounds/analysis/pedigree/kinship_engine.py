"""Which way to compute a kinship: the front in plain Python, with numpy, or tracing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rounds.analysis.pedigree import moving_front as front
from rounds.analysis.pedigree.front_schedule import Pair, Schedule, ancestry, schedule
from rounds.analysis.pedigree.moving_front import Answer
from rounds.analysis.pedigree.path_tracing import Traced, product
from rounds.analysis.pedigree.worlds import SHARED, View

WAYS = ("plain", "numpy", "traced")


def kinships(view: View, pairs: Sequence[Pair], keep: Sequence[int] = (), way: str = "") -> Answer:
    """Kinship of each pair of nodes, and the matrix among the nodes to ``keep``.

    Sires must be settled (an open one counts as unrelated). ``way`` forces one of
    :data:`WAYS`; otherwise the one that answers soonest from here is taken, the import of
    numpy counted if it is still to come. All agree to about 1e-14.
    """
    real = [pair for pair in pairs if pair[0] >= 0 and pair[1] >= 0]
    plan = schedule(view, real, keep)
    way = way or _way(plan)
    if way == "plain":
        answers, matrix = front.run_plain(view, plan, real, keep)
    elif way == "numpy":
        answers, matrix = front.run_numpy(view, plan, real, keep)
    else:
        answers, matrix = _traced(view, real, keep)
    if len(real) < len(pairs):
        found = iter(answers)
        answers = [next(found) if a >= 0 and b >= 0 else 0.0 for a, b in pairs]
    return answers, matrix


def _way(plan: Schedule) -> str:
    plain = plan.rows <= front.MOST_ROWS_PLAIN
    if plain and plan.seconds_plain <= plan.seconds_numpy:
        return "plain"
    if plan.rows <= front.MOST_ROWS:
        try:
            import numpy  # noqa: F401
        except ImportError:  # an install without the analysis extra: slower, the same answers
            return "plain" if plain else "traced"
        return "numpy"
    return "traced"


def _traced(view: View, pairs: Sequence[Pair], keep: Sequence[int]) -> Answer:
    traced = Traced(view)
    # Oldest offspring first, so that what is remembered of older matings is used by younger ones.
    answers = [0.0] * len(pairs)
    for k in sorted(range(len(pairs)), key=lambda k: max(pairs[k])):
        answers[k] = traced.kinship(*pairs[k])
    if not keep:
        return answers, []
    nodes = ancestry(view, set(keep))
    local = {i: k for k, i in enumerate(nodes)}
    local[-1] = -1
    small = View(
        [local[view.sire[i]] for i in nodes],
        [local[view.dam[i]] for i in nodes],
        {},
        {(local[i], local[j]): e for (i, j), e in view.extra.items() if i in local and j in local},
        [],
        {},
        {},
        [],
    )
    mendel = [traced.variance(i) for i in nodes]
    matrix = []
    for i in keep:
        x = [0.0] * len(nodes)
        x[local[i]] = 0.5  # kinship is half of A
        column = product(small, mendel, x)
        matrix.append([column[local[j]] for j in keep])
    return answers, matrix


def bounds(view: View, pairs: Sequence[Pair], keep: Sequence[int], *, largest: bool) -> Answer | None:
    """Outer bounds over open sires, lower or upper; None where they would need too many rows."""
    plan = schedule(view, pairs, keep)
    if plan.rows > front.MOST_ROWS_PLAIN:
        return None
    return front.run_plain(view, plan, pairs, keep, max if largest else min)


def diagonals(view: View, way: str = "") -> list[float]:
    """A(i, i) of every node: 1 + F, or what the view says. O(matings) kinships."""
    matings: dict[Pair, int] = {}
    which = [matings.setdefault(pair, len(matings)) for pair in zip(view.sire, view.dam, strict=True)]
    kinship, _ = kinships(view, list(matings), (), way)
    own = [1 + kinship[k] for k in which]
    for i in sorted(view.diag):
        given = view.diag[i]
        if given == SHARED:
            s, d = view.sire[i], view.dam[i]
            given = ((own[s] if s >= 0 else 0.0) + (own[d] if d >= 0 else 0.0)) / 4 + kinship[which[i]]
        own[i] = given
    return own


def mendelian(view: View, own: Iterable[float]) -> list[float]:
    """D(i) of every node from all A(i, i): what is left after the parents' share."""
    each = [*own, 0.0]
    out = []
    for i, (s, d) in enumerate(zip(view.sire, view.dam, strict=True)):
        parents = (each[s] + each[d]) / 4
        given = view.diag.get(i)
        if given is None:
            out.append(1 - parents)
        elif given == SHARED:
            out.append(0.0)
        elif s < 0 and d < 0:
            out.append(given)
        else:  # a founder of a line's unknown kind: both parents are that line's node
            out.append(given - each[s])
    return out
