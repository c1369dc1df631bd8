"""Inbreeding and kinship of a pedigree, each as a range from low to high.

F of an animal is the kinship of its parents: the chance that two alleles, one drawn from
each, are copies of one allele of an ancestor (autosomes of a diploid animal; these beetles
are diploid, male XY or X0, so no haplodiploid rule). Low takes unknown parents as
unrelated, the usual reading as full sibs of their line's founders (see
:mod:`rounds.analysis.pedigree.worlds`); high is a ceiling over all that they may have been
(:mod:`rounds.analysis.pedigree.ceiling`).
"""

from __future__ import annotations

from collections.abc import Sequence

from rounds.analysis.pedigree.ceiling import Ceiling, unrecorded_behind
from rounds.analysis.pedigree.common_ancestors import Shared, shared
from rounds.analysis.pedigree.front_schedule import Pair
from rounds.analysis.pedigree.kinship_engine import kinships
from rounds.analysis.pedigree.open_paternity import (
    MOST_WAYS,
    Bound,
    ends,
    matrix_end,
    open_behind,
    settlements,
)
from rounds.analysis.pedigree.pedigree_table import GROUP, Pedigree
from rounds.analysis.pedigree.worlds import SHARED, View, low, usual_reading
from rounds.named_tuple import NamedTuple

LOW, USUAL, MOST = "low", "usual", "most"
READINGS = (MOST, USUAL, LOW)
"""What may be ranked by: at most, the usual reading, low."""


class KinshipRange(NamedTuple):
    """Low (unknown parents unrelated), the usual reading (sibs of founders) and high (at most).

    ``exact`` is False where possible sires were too many to go through, so that low is no more
    than a floor and the usual reading no more than a ceiling. High is always a ceiling.
    """

    low: float
    usual: float
    high: float
    exact: bool = True

    def by(self, reading: str) -> float:
        """The value in one of :data:`READINGS`."""
        return {LOW: self.low, USUAL: self.usual, MOST: self.high}[reading]


class Between(NamedTuple):
    """The kinship of two animals, which is the F of their offspring, and where it comes from.

    ``low_from`` and ``usual_from`` list what adds up to either reading; where it is only an
    outer bound its list is empty.
    """

    kinship: KinshipRange
    low_from: list[Shared]
    usual_from: list[Shared]


class Kinships(NamedTuple):
    """Kinship among ``animals`` (names, in the order asked): an n × n matrix for each reading.

    The diagonal is an animal's kinship with itself, (1 + F) / 2; for a group that of two of
    its members.
    """

    animals: tuple[str, ...]
    low: list[list[float]]
    usual: list[list[float]]
    high: list[list[float]]
    exact: bool

    def by(self, reading: str) -> list[list[float]]:
        """The matrix in one of :data:`READINGS`."""
        return {LOW: self.low, USUAL: self.usual, MOST: self.high}[reading]


def inbreeding(p: Pedigree) -> list[KinshipRange]:
    """F of every animal, in the pedigree's order; for a group, F of each of its members."""
    lows = _end(low(p), largest=False)
    usual = _end(usual_reading(p), largest=True)
    highs = [b.value for b in usual]
    opened = [i for i, unsure in enumerate(unrecorded_behind(p)) if unsure]
    if opened:
        ceiling = Ceiling(p, (), opened)
        for i in opened:
            highs[i] = max(highs[i], ceiling.inbreeding(i))
    return [
        KinshipRange(a.value, b.value, most, a.exact and b.exact)
        for a, b, most in zip(lows, usual, highs, strict=True)
    ]


def _end(view: View, *, largest: bool) -> list[Bound]:
    matings: dict[tuple[tuple[int, ...], int], int] = {}
    which = []
    for node in view.node:
        options = view.options.get(node, (view.sire[node],))
        which.append(matings.setdefault((options, view.dam[node]), len(matings)))
    found: list[Bound]
    questions = [[(s, d) for s in options] for options, d in matings]
    if view.options:
        found = ends(view, questions, largest=largest)
    else:
        found = [Bound(k) for k in kinships(view, [pairs[0] for pairs in questions])[0]]
    out = [found[k] for k in which]
    for i, node in enumerate(view.node):
        own = view.diag.get(node)
        if own is not None and own != SHARED:
            out[i] = Bound(max(0.0, own - 1))
    return out


def between(p: Pedigree, a: str, b: str) -> Between:
    """Kinship of two animals with the common ancestors behind it.

    Raises NoSuchAnimal for what is not in the pedigree.
    """
    i, j = p.find_all([a, b])
    parts: list[list[Shared]] = []
    values: list[Bound] = []
    for view, largest in ((low(p), False), (usual_reading(p), True)):
        pairs = [(x, y) for x in _nodes(view, i) for y in _nodes(view, j)]
        value = ends(view, [pairs], largest=largest)[0]
        values.append(value)
        parts.append(_parts(p, view, pairs, value) if value.exact else [])
    lower, upper = values
    unsure = unrecorded_behind(p)
    most = upper.value
    if unsure[i] or unsure[j]:
        most = max(most, Ceiling(p, (i, j)).kinship(i, j))
    return Between(KinshipRange(lower.value, upper.value, most, lower.exact and upper.exact), *parts)


def _nodes(view: View, i: int) -> list[int]:
    return [view.node[i], view.second[i]] if i in view.second else [view.node[i]]


def _parts(p: Pedigree, view: View, pairs: list[Pair], value: Bound) -> list[Shared]:
    """What adds up to ``value``, in the settlement of open sires that gives it."""
    nodes = open_behind(view, {i for pair in pairs for i in pair})
    best: tuple[float, View, Pair] | None = None
    for settled in settlements(view, nodes):
        for pair, k in zip(pairs, kinships(settled, pairs)[0], strict=True):
            off = abs(k - value.value)
            if best is None or off < best[0]:
                best = (off, settled, pair)
        if best is not None and best[0] < 1e-12:
            break
    return shared(p, best[1], *best[2], value.value) if best is not None else []


def matrix(p: Pedigree, animals: Sequence[str]) -> Kinships:
    """Kinship among some animals in all three readings: O((front + n)²) memory, not O(pedigree²).

    Where sires are open each pair's range stands on its own. Raises NoSuchAnimal
    for animals not in the pedigree and RoundsError where open sires cannot even be bounded.
    """
    which = p.find_all(animals)
    view = low(p)
    lows, exact_low = matrix_end(view, [view.node[i] for i in which], largest=False)
    view = usual_reading(p)
    # A group that is both sire and dam has two nodes in this reading: the more related counts.
    extra = [i for i in which if i in view.second]
    keep = [view.node[i] for i in which] + [view.second[i] for i in extra]
    usual, exact_usual = matrix_end(view, keep, largest=True)
    if extra:
        usual = _merged(usual, [which.index(i) for i in extra], len(which))
    for k, i in enumerate(which):
        if p.sex[i] == GROUP:
            pairs = [(x, y) for x in _nodes(view, i) for y in _nodes(view, i) if x != y]
            usual[k][k] = (
                usual[k][k] if not pairs else max(ends(view, [pairs], largest=True)[0].value, lows[k][k])
            )
    return Kinships(tuple(animals), lows, usual, _at_most(p, which, usual), exact_low and exact_usual)


def _at_most(p: Pedigree, which: Sequence[int], usual: list[list[float]]) -> list[list[float]]:
    """The ceiling among some animals, never below the usual reading."""
    unsure = unrecorded_behind(p)
    if not any(unsure[i] for i in which):
        return usual
    ceiling = Ceiling(p, which).matrix(which)
    return [
        [
            max(value, most) if unsure[i] or unsure[j] else value
            for j, value, most in zip(which, row, highest, strict=True)
        ]
        for i, row, highest in zip(which, usual, ceiling, strict=True)
    ]


def _merged(m: list[list[float]], doubled: list[int], n: int) -> list[list[float]]:
    copies: list[list[int]] = [[k] for k in range(n)]
    for at, k in enumerate(doubled):
        copies[k].append(n + at)
    return [[max(m[x][y] for x in copies[a] for y in copies[b]) for b in range(n)] for a in range(n)]


__all__ = [
    "LOW",
    "MOST",
    "MOST_WAYS",
    "READINGS",
    "USUAL",
    "Between",
    "Bound",
    "KinshipRange",
    "Kinships",
    "Shared",
    "between",
    "inbreeding",
    "matrix",
]
