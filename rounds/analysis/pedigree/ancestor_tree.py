"""A small tree of ancestors, for one animal or the two of a pair: on a terminal and as a drawing.

Ancestors both animals share are marked ``*``; what lies further back than asked is left out
and said so with ``…``.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from rounds.analysis.pedigree import pedigree_sentences as sentences
from rounds.analysis.pedigree.pedigree_table import GROUP, UNKNOWN, Pedigree
from rounds.analysis.plots.svg_drawing import SIGN, Drawing, fitting
from rounds.named_tuple import NamedTuple
from rounds.text.cleaning import clean

DEPTH = 3
"""Generations of ancestors shown."""


SIZE = 11
"""Size of the letters of a drawing, in its units."""


class Node(NamedTuple):
    """One ancestor: ``role`` sire or dam; ``more`` that its own parents are known and not shown."""

    role: str
    name: str
    shared: bool
    more: bool
    parents: tuple[Node, ...]


def ancestors(p: Pedigree, names: Sequence[str], depth: int = DEPTH) -> list[Node]:
    """The trees of ``names``, most ``depth`` generations up. Raises NoSuchAnimal."""
    roots = p.find_all(names)
    behind = [_behind(p, i) for i in roots]
    both = set.intersection(*behind) if len(behind) > 1 else set()
    return [_node(p, "", (i,), depth, both) for i in roots]


def _behind(p: Pedigree, i: int) -> set[int]:
    seen, waiting = {i}, [i]
    while waiting:
        for parent in p.parents(waiting.pop()):
            if parent not in seen:
                seen.add(parent)
                waiting.append(parent)
    return seen


def _node(p: Pedigree, role: str, which: Sequence[int], depth: int, both: Collection[int]) -> Node:
    named = sentences.one_of(tuple(sentences.SOMEONE if i == UNKNOWN else p.names[i] for i in which))
    shared = any(i in both for i in which)
    if len(which) != 1 or which[0] == UNKNOWN:  # several possible sires: none of them is followed
        more = any(p.parents(i) for i in which if i != UNKNOWN)
        return Node(role, named if len(which) > 1 else sentences.UNKNOWN_PARENT, shared, more, ())
    i = which[0]
    if p.sex[i] == GROUP:
        named = sentences.group(named)
    sires, dam = p.sires.get(i, (p.sire[i],)), p.dam[i]
    if not p.parents(i):
        return Node(role, named, shared, more=False, parents=())
    if not depth:
        return Node(role, named, shared, more=True, parents=())
    parents = (_node(p, "father", sires, depth - 1, both), _node(p, "mother", (dam,), depth - 1, both))
    return Node(role, named, shared, more=False, parents=parents)


def as_text(trees: Sequence[Node]) -> list[str]:
    """One line an ancestor, parents indented below their offspring."""
    out: list[str] = []
    for tree in trees:
        out.append(_said(tree))
        out += _below(tree, "")
    return out


def _said(node: Node) -> str:
    role = f"{node.role} " if node.role else ""
    return f"{role}{clean(node.name, 60)}{' *' if node.shared else ''}{' …' if node.more else ''}"


def _below(node: Node, indent: str) -> list[str]:
    out = []
    for k, parent in enumerate(node.parents):
        last = k == len(node.parents) - 1
        out.append(f"{indent}{'└' if last else '├'} {_said(parent)}")
        out += _below(parent, indent + ("  " if last else "│ "))
    return out


def drawn(trees: Sequence[Node], title: str) -> Drawing:
    """The trees from left to right, one column a generation, sires above dams."""
    column, row, left = 170.0, 26.0, 12.0
    leaves = sum(map(_leaves, trees))
    depth = max((_depth(t) for t in trees), default=0)
    out = Drawing(left * 2 + (depth + 1) * column, (leaves + len(trees)) * row + 32, title)
    out.text(left, 20, fitting(title, out.width - 2 * left, 12), 12, bold=True)
    y = 32.0
    for tree in trees:
        _draw(out, tree, left, y, column, row)
        y += (_leaves(tree) + 1) * row
    if any(map(marked, trees)):
        out.text(left, out.height - 10, sentences.ANCESTOR_OF_BOTH, SIZE)
    return out


def marked(node: Node) -> bool:
    """Is anybody in the tree an ancestor of both animals?"""
    return node.shared or any(map(marked, node.parents))


def _leaves(node: Node) -> int:
    return sum(map(_leaves, node.parents)) or 1


def _depth(node: Node) -> int:
    return 1 + max(map(_depth, node.parents)) if node.parents else 0


def _draw(out: Drawing, node: Node, x: float, y: float, column: float, row: float) -> float:
    """Draw a tree whose top is ``y``; returns the height its own name stands at."""
    heights = []
    top = y
    for parent in node.parents:
        heights.append(_draw(out, parent, x + column, top, column, row))
        top += _leaves(parent) * row
    mine = sum(heights) / len(heights) if heights else y + row / 2
    said = fitting(_said(node), column - 30, SIZE)
    out.text(x, mine + 4, said, SIZE, bold=node.shared)
    after = min(column - 22, len(said) * SIGN * SIZE + 6)
    for h in heights:
        out.line(x + after, mine, x + column - 14, mine)
        out.line(x + column - 14, mine, x + column - 14, h)
        out.line(x + column - 14, h, x + column - 4, h)
    return mine
