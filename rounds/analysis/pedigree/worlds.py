"""A pedigree turned into one of two worlds that kinship can be computed in: low and the usual reading.

Low: an unknown parent is related to nobody, and a group's offspring each have another
member of it as parent. The usual reading: unknown parents, and animals of a line with no
recorded parents, are full sibs of their line's founders, and all offspring of a group come
from one and the same pair in it. It is read pair by pair, not one possible world: a parent
that might be sib to each of several unrelated founders is counted as sib to all. How related
animals are at most is worked out elsewhere (:mod:`rounds.analysis.pedigree.ceiling`).

Founders declared unrelated or related keep that in both. Relationships are written
A = 2 × kinship, so that A(i, i) = 1 + F(i).
"""

from __future__ import annotations

from collections.abc import Sequence

from rounds.analysis.pedigree.pedigree_table import GROUP, UNKNOWN, Pedigree
from rounds.named_tuple import NamedTuple

SIBS = 0.5
"""A of two full sibs of unrelated parents; also A of what such sibs share with itself."""

SHARED = -1.0
"""In ``View.diag``: this node is the average of endlessly many members, not one animal."""


class View(NamedTuple):
    """Nodes in order, parents first; node −1 is related to nobody.

    ``diag`` gives A(i, i) where it is not 1 + A(sire, dam)/2, or :data:`SHARED`. ``extra``
    gives covariances of what pairs of nodes do not inherit from their parents here (declared
    founders). ``node`` maps animals to nodes, ``second`` a group to the node of its females
    where it has one of its own. ``options`` holds the possible sires of a node, whose
    ``sire`` is then −1; ``named`` maps nodes back to animals, −1 − k for the k-th line's
    unknown animals.
    """

    sire: list[int]
    dam: list[int]
    diag: dict[int, float]
    extra: dict[tuple[int, int], float]
    node: Sequence[int]
    second: dict[int, int]
    options: dict[int, tuple[int, ...]]
    named: Sequence[int]
    lines: tuple[str, ...] = ()

    def resolved(self, choice: dict[int, int]) -> View:
        """The same world with the sire of some nodes settled; other open sires stay open."""
        sire = self.sire.copy()
        for i, s in choice.items():
            sire[i] = s
        return self._replace(sire=sire, options={i: o for i, o in self.options.items() if i not in choice})


def low(p: Pedigree) -> View:
    """The world in which nothing unknown is related. O(animals)."""
    diag: dict[int, float] = {}
    if GROUP in p.sex:
        for i, sex in enumerate(p.sex):
            if sex == GROUP:
                diag[i] = SHARED if p.parents(i) else 0.0
    extra: dict[tuple[int, int], float] = {}
    for (i, j), kinship in p.related.items():
        if i == j:
            diag[i] = 2 * kinship
        else:
            extra[i, j] = 2 * kinship
    same = range(len(p.names))
    return View(p.sire, p.dam, diag, extra, same, {}, p.sires, same)


def usual_reading(p: Pedigree) -> View:
    """The world in which everything unknown is as related as full sibs. O(animals)."""
    lines = tuple(dict.fromkeys(line for i, line in enumerate(p.line) if _open(p, i)))
    unknown = {line: k for k, line in enumerate(lines)}  # nodes 0 … k−1: what a line's sibs share
    sire, dam = [UNKNOWN] * len(lines), [UNKNOWN] * len(lines)
    named = [-1 - k for k in range(len(lines))]
    diag = dict.fromkeys(range(len(lines)), SIBS)
    node: list[int] = []
    second: dict[int, int] = {}
    options: dict[int, tuple[int, ...]] = {}
    as_sire = set(p.sire).union(*p.sires.values()) if p.sires else set(p.sire)
    both_roles = as_sire & set(p.dam)
    for i, (s, d) in enumerate(zip(p.sire, p.dam, strict=True)):
        line_node = unknown.get(p.line[i], UNKNOWN)
        several = p.sires.get(i)
        unknown_parent = line_node
        split = p.sex[i] == GROUP and i in both_roles
        if split and line_node >= 0 and (d < 0) != (s < 0 and not several):
            # The two members that count are of one brood: their unknown parent is one animal.
            unknown_parent = _unknown_parent(sire, dam, named, diag, line_node)
        nodes = [len(sire), len(sire) + 1] if split else [len(sire)]
        for k in nodes:
            founder = s < 0 and d < 0 and not several
            if founder and i in p.founders:
                sire.append(UNKNOWN)
                dam.append(UNKNOWN)
            else:
                sire.append(UNKNOWN if several else node[s] if s >= 0 else unknown_parent)
                dam.append((second.get(d) or node[d]) if d >= 0 else unknown_parent)
            if founder:
                diag[k] = 1.0  # a founder's own parents are not inbred to each other: F is 0
            if several:
                options[k] = tuple(node[o] if o >= 0 else line_node for o in several)
            named.append(i)
        node.append(nodes[0])
        if len(nodes) > 1:
            second[i] = nodes[1]
    extra: dict[tuple[int, int], float] = {}
    for i in sorted(p.founders):
        if p.line[i] in unknown:
            for k in {node[i], second.get(i, node[i])}:
                extra[unknown[p.line[i]], k] = SIBS
    for (i, j), kinship in p.related.items():
        if i == j:
            diag[node[i]] = 2 * kinship
        else:
            already = SIBS if p.line[i] == p.line[j] and not {i, j} <= p.founders else 0.0
            extra[node[i], node[j]] = 2 * kinship - already
    return View(sire, dam, diag, extra, node, second, options, named, lines)


def _unknown_parent(
    sire: list[int], dam: list[int], named: list[int], diag: dict[int, float], line_node: int
) -> int:
    """A node for one unknown animal: a full sib of its line's founders."""
    sire.append(line_node)
    dam.append(line_node)
    named.append(-1 - line_node)
    diag[len(sire) - 1] = 1.0
    return len(sire) - 1


def _open(p: Pedigree, i: int) -> bool:
    """Whether a parent of ``i`` is unknown in a way that matters for the usual reading."""
    if i in p.sires:
        return p.dam[i] < 0 or UNKNOWN in p.sires[i]
    return (p.sire[i] < 0 or p.dam[i] < 0) and i not in p.founders
