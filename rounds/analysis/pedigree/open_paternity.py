"""Open paternity: the range of a kinship over every way the possible sires could be settled.

Each animal with several possible sires may have any of them, whatever its brood-mates have
(one brood can have several fathers). Up to :data:`MOST_WAYS` ways they are gone through one
by one and the range is exact. Beyond, each step takes the least or most over the sires on
its own, which can only be wider than the truth: such a range is labelled an outer bound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import product
from math import prod

from rounds.analysis.pedigree.front_schedule import Pair, ancestry
from rounds.analysis.pedigree.kinship_engine import bounds, kinships
from rounds.analysis.pedigree.pedigree_sentences import too_many_open_sires
from rounds.analysis.pedigree.worlds import View
from rounds.named_tuple import NamedTuple
from rounds.problems import RoundsError

MOST_WAYS = 512
"""So many settlements of the open sires behind one answer are gone through exactly."""

MOST_SETTLED = 2048
"""So many settlements in all are gone through for one listing, a few seconds at most."""


class Bound(NamedTuple):
    """One end of a range; ``exact`` is False for an outer bound."""

    value: float
    exact: bool = True


def open_behind(view: View, nodes: Iterable[int]) -> frozenset[int]:
    """The nodes with open sires among ``nodes`` and their ancestors."""
    if not view.options:
        return frozenset()
    return frozenset(i for i in ancestry(view, {i for i in nodes if i >= 0}) if i in view.options)


def ways(view: View, nodes: frozenset[int]) -> int:
    """In how many ways the sires of ``nodes`` can be settled."""
    return prod(len(set(view.options[i])) for i in nodes)


def settlements(view: View, nodes: frozenset[int]) -> Iterator[View]:
    """The view once for every way to settle the sires of ``nodes``."""
    order = sorted(nodes)
    for choice in product(*(dict.fromkeys(view.options[i]) for i in order)):
        yield view.resolved(dict(zip(order, choice, strict=True)))


def ends(view: View, questions: Sequence[Sequence[Pair]], *, largest: bool) -> list[Bound]:
    """For each question (the pairs of nodes that one mating may stand for) its least or largest kinship.

    Questions behind which the same sires are open are settled together, those with the
    fewest ways first; once :data:`MOST_SETTLED` are spent the rest is bounded.
    """
    pick: Callable[[Iterable[float]], float] = max if largest else min
    out = [Bound(0.0)] * len(questions)
    groups: dict[frozenset[int], list[int]] = {}
    for k, pairs in enumerate(questions):
        groups.setdefault(open_behind(view, {i for pair in pairs for i in pair}), []).append(k)
    spent = 0
    rest: list[int] = []
    for nodes, which in sorted(groups.items(), key=lambda group: ways(view, group[0])):
        spent += ways(view, nodes)
        if ways(view, nodes) > MOST_WAYS or spent > MOST_SETTLED:
            rest += which
            continue
        asked = list(dict.fromkeys(pair for k in which for pair in questions[k]))
        found: list[float] = []
        for settled in settlements(view, nodes):
            each, _ = kinships(settled, asked)
            found = [pick(both) for both in zip(found, each, strict=True)] if found else each
        answers = dict(zip(asked, found, strict=True))
        for k in which:
            out[k] = Bound(pick(answers[pair] for pair in questions[k]))
    if rest:
        asked = list(dict.fromkeys(pair for k in rest for pair in questions[k] if min(pair) >= 0))
        bounded = bounds(view, asked, (), largest=largest)
        # Too many rows even for bounds: nothing can be said but that it is a chance.
        answers = dict(zip(asked, bounded[0] if bounded else [float(largest)] * len(asked), strict=True))
        for k in rest:
            out[k] = Bound(pick(answers.get(pair, 0.0) for pair in questions[k]), exact=False)
    return out


def matrix_end(view: View, keep: Sequence[int], *, largest: bool) -> tuple[list[list[float]], bool]:
    """The least or largest kinship of every two nodes, each pair on its own; and whether exact.

    Without open sires this is one matrix. Raises RoundsError when even the bounds would
    need too many rows.
    """
    nodes = open_behind(view, keep)
    if ways(view, nodes) > MOST_WAYS:
        answer = bounds(view, (), keep, largest=largest)
        if answer is None:
            raise RoundsError(too_many_open_sires(len(nodes), len(keep)))
        return answer[1], False
    pick: Callable[..., float] = max if largest else min
    out: list[list[float]] = []
    for settled in settlements(view, nodes):
        _, matrix = kinships(settled, (), keep)
        out = [list(map(pick, a, b)) for a, b in zip(out, matrix, strict=True)] if out else matrix
    return out, True
