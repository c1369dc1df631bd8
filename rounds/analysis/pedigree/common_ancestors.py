"""Where a kinship comes from: the common ancestors, each with what it adds.

Two alleles are followed up from the two animals, always the one in the younger animal
next, until both are in one ancestor: that ancestor then adds the chance of this times
(1 + F) / 2. Summed over ancestors this is Wright's (1922) path formula, no animal counted
twice on a path.
"""

from __future__ import annotations

import heapq

from rounds.analysis.pedigree import pedigree_sentences
from rounds.analysis.pedigree.kinship_engine import kinships
from rounds.analysis.pedigree.pedigree_table import Pedigree
from rounds.analysis.pedigree.worlds import SHARED, View
from rounds.named_tuple import NamedTuple

MOST_STEPS = 200_000
"""Pairs of ancestors followed; what lies further back is given as one sum."""


class Shared(NamedTuple):
    """What one common ancestor adds to a kinship.

    ``kind`` is "animal", "group" (members of one group), "unknown" (parents not recorded,
    ``name`` is the line), "declared" (founders declared related, ``name`` is both) or
    "further back". ``steps`` are the fewest generations up from either animal.
    """

    name: str
    adds: float
    steps: tuple[int, int]
    kind: str = "animal"


class _Followed(NamedTuple):
    """Where two alleles met (node: chance), what declared founders add, and whether more lies further back."""

    met: dict[int, float]
    declared: dict[tuple[int, int], float]
    more: bool


def shared(p: Pedigree, view: View, a: int, b: int, total: float) -> list[Shared]:
    """The parts of the kinship ``total`` of two nodes, largest first; sires settled.

    O(pairs of ancestors), at most :data:`MOST_STEPS`.
    """
    followed = _follow(view, a, b)
    up_a, up_b = _steps(view, a), _steps(view, b)
    nodes = sorted(followed.met)
    out = []
    for i, own in zip(nodes, _with_themselves(view, nodes), strict=True):
        if own:
            name, kind = _name(p, view, i), _kind(p, view, i)
            out.append(Shared(name, followed.met[i] * own / 2, (up_a[i], up_b[i]), kind))
    for (i, j), adds in followed.declared.items():
        i, j = (i, j) if i in up_a and j in up_b else (j, i)
        both = pedigree_sentences.both(_name(p, view, i), _name(p, view, j))
        out.append(Shared(both, adds, (up_a.get(i, 0), up_b.get(j, 0)), "declared"))
    rest = total - sum(part.adds for part in out)
    if followed.more and rest > 1e-12:
        out.append(Shared("", rest, (0, 0), "further back"))
    return sorted(out, key=lambda part: (-part.adds, part.name))


def _follow(view: View, a: int, b: int) -> _Followed:
    """Follow two alleles up, always the one in the younger of two nodes, until both are in one."""
    met: dict[int, float] = {}
    declared: dict[tuple[int, int], float] = {}
    tied = _tied(view)
    chance = {_key(a, b): 1.0}
    heap = [(-max(a, b), -min(a, b))]
    steps = 0
    while heap and steps < MOST_STEPS:
        steps += 1
        top = heapq.heappop(heap)
        old, young = sorted((-top[0], -top[1]))
        x = chance.pop((old, young))
        if old == young:
            met[young] = met.get(young, 0.0) + x
            continue
        if young in tied:
            flow = _flow(view, old)
            for other, e in tied[young]:
                if other in flow:
                    key = _key(other, young)
                    declared[key] = declared.get(key, 0.0) + x * flow[other] * e / 2
        for parent in (view.sire[young], view.dam[young]):
            if parent >= 0:
                key = _key(parent, old)
                if key not in chance:
                    heapq.heappush(heap, (-key[1], -key[0]))
                chance[key] = chance.get(key, 0.0) + x / 2
    return _Followed(met, declared, bool(heap))


def _tied(view: View) -> dict[int, list[tuple[int, float]]]:
    """The founders that each declared founder is related to, with how much they share."""
    tied: dict[int, list[tuple[int, float]]] = {}
    for (i, j), e in view.extra.items():
        tied.setdefault(i, []).append((j, e))
        tied.setdefault(j, []).append((i, e))
    return tied


def _with_themselves(view: View, nodes: list[int]) -> list[float]:
    """A(i, i) of each node: 1 + F for an animal."""
    parents = [(view.sire[i], view.dam[i]) for i in nodes]
    out = []
    for i, pair, k in zip(nodes, parents, kinships(view, parents)[0], strict=True):
        own = view.diag.get(i, 1 + k)
        if own == SHARED:
            own = sum(kinships(view, [(q, q)])[0][0] for q in pair if q >= 0) / 2 + k
        out.append(own)
    return out


def _name(p: Pedigree, view: View, node: int) -> str:
    animal = view.named[node]
    return view.lines[-1 - animal] if animal < 0 else p.names[animal]


def _kind(p: Pedigree, view: View, node: int) -> str:
    animal = view.named[node]
    if animal < 0:
        return "unknown"
    return "group" if p.sex[animal] == "group" else "animal"


def _key(a: int, b: int) -> tuple[int, int]:
    return (a, b) if a < b else (b, a)


def _flow(view: View, start: int) -> dict[int, float]:
    """The share of a node's genes that comes from each of its ancestors, itself included."""
    flow: dict[int, float] = {}
    waiting = {start: 1.0}
    while waiting:
        i = max(waiting)
        flow[i] = x = waiting.pop(i)
        for parent in (view.sire[i], view.dam[i]):
            if parent >= 0:
                waiting[parent] = waiting.get(parent, 0.0) + x / 2
    return flow


def _steps(view: View, start: int) -> dict[int, int]:
    """The fewest generations from a node up to each of its ancestors."""
    found = {start: 0}
    queue = [start]
    for i in queue:  # grows while it is walked
        for parent in (view.sire[i], view.dam[i]):
            if parent >= 0 and parent not in found:
                found[parent] = found[i] + 1
                queue.append(parent)
    return found
