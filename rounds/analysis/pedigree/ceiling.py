"""How related animals are at most: a ceiling on kinship over every way to fill in unrecorded parents.

Kinship follows from the parents, K(i, j) = (K(sire, j) + K(dam, j)) / 2 where j is no descendant
of i, and K(i, i) = (1 + K(sire, dam)) / 2. Where a parent is open, the largest value over its
choices (:mod:`rounds.analysis.pedigree.unrecorded_parents`) is taken for each j on its own. By
induction along any one way to fill in all parents, no kinship of that way lies above the result;
it may lie above what any single way gives, because each value chooses for itself.

With days recorded the choices run from older to younger animals and one pass is enough. Without
them two animals may each be the other's parent (never both), so passes are repeated until nothing
rises any more: the least table that no choice lies above, whatever the order of the animals.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from heapq import heapify, heappop, heappush

from rounds.analysis.pedigree.kinship_rows import PlainRows, Rows, rows_for
from rounds.analysis.pedigree.pedigree_table import GROUP, Pedigree
from rounds.analysis.pedigree.unrecorded_parents import Choices, Slots, is_open
from rounds.named_tuple import NamedTuple

MOST_NODES = 3000
"""Animals that a ceiling is worked out among: 72 MB with numpy. Among more, nothing can be said."""

MOST_NODES_PLAIN = 400
"""The same without numpy, where it takes some seconds."""

STILL = 1e-12
"""A pass that raises nothing by more than this was the last."""

MOST_PASSES = 300
"""Kinships that still rise after so many passes may rise to anything."""

MOST_CELLS = 15_000_000
"""Values looked at in one pass where passes are repeated, some hundredths of a second; more say nothing."""

SIBS = 0.25
"""Kinship of two full sibs of unrelated parents."""


class _Node(NamedTuple):
    """One row: an animal (-1: a sib of a line's founders), with its choices of a sire and a dam as nodes.

    ``own`` is its kinship with itself where it is given. A ``fixed`` one is gone through once.
    """

    sires: tuple[int, ...]
    dams: tuple[int, ...]
    animal: int = -1
    own: float | None = None
    fixed: bool = True


class _Sibs(NamedTuple):
    """Nodes for full sibs of a line's founders: the founders' parents, and their young."""

    sires: tuple[int, int]
    dams: tuple[int, int]


class Ceiling:
    """Kinships at most of the animals ``wanted``, and F at most of the ``young``.

    O(passes × choices × nodes) time, O(nodes²) memory. ``known`` is False where that is too
    much, as among thousands of animals without days: every answer is then 1.
    """

    def __init__(self, p: Pedigree, wanted: Iterable[int], young: Iterable[int] = ()) -> None:
        wanted = list(wanted)
        self.p = p
        self.choices = Choices(p, wanted)
        self.young = {i: self.choices.slots(i) for i in young}
        self.slots: dict[int, Slots] = {}
        self.nodes: list[_Node] = []
        self.at: dict[int, int] = {}
        self.second: dict[int, int] = {}
        self.sibs: dict[str, _Sibs] = {}
        self.tied: dict[tuple[int, int], float] = {}
        self.rows: Rows = PlainRows(0)
        parents = (x for s in set(self.young.values()) for x in (*s.sires, *s.dams))
        self.known = self._gather([*wanted, *dict.fromkeys(parents)])
        if self.known:
            self._founders()
            self._animals()
            self.known = self._work_out()

    def _gather(self, waiting: list[int]) -> bool:
        """Find every animal that the answers may depend on; False when they are too many."""
        slots = self.slots
        while waiting:
            i = waiting.pop()
            if i not in slots:
                slots[i] = self.choices.slots(i)
                waiting += [x for x in (*slots[i].sires, *slots[i].dams) if x not in slots]
            if len(slots) > MOST_NODES:
                return False
        return True

    def _add(self, node: _Node) -> int:
        self.nodes.append(node)
        return len(self.nodes) - 1

    def _founders(self) -> None:
        """Rows of founders' sibs and of founders that were declared, all fixed."""
        p = self.p
        lines = sorted({line for s in (*self.slots.values(), *self.young.values()) for line in s.lines})
        couples = {
            line: (self._add(_Node((), (), own=0.5)), self._add(_Node((), (), own=0.5))) for line in lines
        }
        self.tied = dict.fromkeys(couples.values(), SIBS)
        for i in sorted(p.founders & self.slots.keys()):
            if is_open(p, i):
                continue
            self.at[i] = self._add(_Node((), (), i, p.related.get((i, i), 0.5)))
            for sib in couples.get(p.line[i], ()):
                self.tied[sib, self.at[i]] = SIBS
        for line, (m, f) in couples.items():
            young = [self._add(_Node((m,), (f,))) for _ in range(2)]
            self.sibs[line] = _Sibs((m, young[0]), (f, young[1]))

    def _animals(self) -> None:
        p = self.p
        here = [i for i in sorted(self.slots) if i not in self.at]
        for i in here:
            self.at[i] = self._add(_Node((), (), i))
            if p.sex[i] == GROUP:
                self.second[i] = self._add(_Node((), (), i))
        for i in here:
            sires, dams = self.nodes_of(i, self.slots[i])
            own = p.related.get((i, i))
            for k in {self.at[i], self.second.get(i, self.at[i])}:
                self.nodes[k] = _Node(sires, dams, i, own, self.slots[i].founder)
        for (i, j), kinship in p.related.items():
            if i != j and i in self.at and j in self.at:
                self.tied[self.at[i], self.at[j]] = kinship

    def nodes_of(self, i: int, slots: Slots) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """The choices of an animal's sire and dam as nodes, founders' sibs among them."""
        if slots.founder and slots.lines:  # the founders' parents themselves, not their young
            sib = self.sibs[self.p.line[i]]
            return sib.sires[:1], sib.dams[:1]
        sires = [self.at[s] for s in slots.sires]
        dams = [self.second.get(d, self.at[d]) for d in slots.dams]
        for line in slots.lines:
            sires += self.sibs[line].sires if slots.sire_open else ()
            dams += self.sibs[line].dams if slots.dam_open else ()
        return tuple(sires), tuple(dams)

    def _work_out(self) -> bool:
        self.rows = rows_for(len(self.nodes), MOST_NODES_PLAIN)
        if self.rows.size < len(self.nodes):
            return False
        order, settled = self._order()
        tied: dict[int, list[tuple[int, float]]] = {}
        for (a, b), kinship in self.tied.items():
            tied.setdefault(a, []).append((b, kinship))
            tied.setdefault(b, []).append((a, kinship))
        entered = set()
        for k in order:
            node = self.nodes[k]
            self.rows.enter(k, self.rows.mean(node.sires, node.dams), self._own(node))
            entered.add(k)
            for other, kinship in tied.get(k, ()):
                if other in entered:
                    self.rows.put(k, other, kinship)
        return settled or self._repeat([k for k in order if not self.nodes[k].fixed])

    def _own(self, node: _Node) -> float:
        if node.own is not None:
            return node.own
        return (1 + max(0.0, self.rows.pair(node.sires, node.dams))) / 2

    def _order(self) -> tuple[list[int], bool]:
        """Nodes, choices before those they are choices of; and whether that was possible for all."""
        offspring: list[list[int]] = [[] for _ in self.nodes]
        waiting = [0] * len(self.nodes)
        for k, node in enumerate(self.nodes):
            for x in {*node.sires, *node.dams}:
                offspring[x].append(k)
                waiting[k] += 1
        ready = [k for k, n in enumerate(waiting) if not n]
        heapify(ready)
        order = []
        while ready:
            k = heappop(ready)
            order.append(k)
            for child in offspring[k]:
                waiting[child] -= 1
                if not waiting[child]:
                    heappush(ready, child)
        # Animals of a pedigree stand with parents before offspring, and so do their nodes.
        rest = [k for k, n in enumerate(waiting) if n]
        return order + rest, not rest

    def _repeat(self, order: Sequence[int]) -> bool:
        """Go through the animals again until nothing rises; False when that would take too long."""
        choices = sum(len(self.nodes[k].sires) + len(self.nodes[k].dams) for k in order)
        if choices * len(self.nodes) > MOST_CELLS:
            return False
        below = {}
        for k in order:
            animals = self.choices.descendants(self.nodes[k].animal)
            mine = self.at[self.nodes[k].animal], self.second.get(self.nodes[k].animal, -1)
            nodes = {n for x in animals for n in (self.at.get(x, -1), self.second.get(x, -1)) if n >= 0}
            below[k] = (nodes - set(mine)) | {k}
        for _ in range(MOST_PASSES):
            most = 0.0
            for k in order:
                node = self.nodes[k]
                row = self.rows.mean(node.sires, node.dams)
                most = max(most, self.rows.lift(k, row, self._own(node), below[k]))
            if most <= STILL:
                return True
        return False

    def kinship(self, i: int, j: int) -> float:
        """The kinship of two animals at most; of two members where both are one group."""
        if not self.known:
            return 1.0
        pairs = [(a, b) for a in self._nodes(i) for b in self._nodes(j)]
        if i == j and i in self.second:
            pairs = [(a, b) for a, b in pairs if a != b]
        return max(self.rows.get(a, b) for a, b in pairs)

    def matrix(self, which: Sequence[int]) -> list[list[float]]:
        """The kinships of every two of some animals at most."""
        if not self.known:
            return [[1.0] * len(which) for _ in which]
        if not any(i in self.second for i in which):
            return self.rows.square([self.at[i] for i in which])
        return [[self.kinship(i, j) for j in which] for i in which]

    def _nodes(self, i: int) -> tuple[int, ...]:
        return (self.at[i], self.second[i]) if i in self.second else (self.at[i],)

    def inbreeding(self, i: int) -> float:
        """F at most of one of the young."""
        if not self.known:
            return 1.0
        sires, dams = self.nodes_of(i, self.young[i])
        return max(0.0, self.rows.pair(sires, dams))


def unrecorded_behind(p: Pedigree) -> list[bool]:
    """For each animal: is a parent of it, or of one of its ancestors, not recorded?"""
    out: list[bool] = []
    for i, (s, d) in enumerate(zip(p.sire, p.dam, strict=True)):
        if s >= 0 and d >= 0 and i not in p.doubts:
            out.append(out[s] or out[d])
        else:
            out.append(is_open(p, i) or any(out[x] for x in p.parents(i)))
    return out
