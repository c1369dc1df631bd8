"""How far back a pedigree is known: generations and completeness, per animal."""

from __future__ import annotations

from rounds.analysis.pedigree.pedigree_table import Pedigree
from rounds.named_tuple import NamedTuple

DEPTH = 5
"""Completeness looks back so many generations; keepers' books seldom reach further."""


class Known(NamedTuple):
    """How much is known of one animal's ancestry.

    ``deepest`` is the longest line of recorded ancestors, ``full`` the number of
    generations without any gap. ``equivalent`` sums (1/2)^g over every known ancestor g
    generations back (equivalent complete generations, Maignel, Boichard & Verrier 1996).
    ``completeness`` is the mean share, over the last :data:`DEPTH` generations, of the 2^g
    ancestors that are known: 0 to 1. A group counts as one known parent; of several
    possible sires the least known counts.
    """

    deepest: int
    full: int
    equivalent: float
    completeness: float


Traced = tuple[int, int, float, tuple[float, ...]]

# An unknown parent: one step below a founder, so that the recurrences need no cases.
_NOTHING: Traced = (-1, -1, -1.0, (0.0,) * (DEPTH + 1))


def generations(p: Pedigree) -> list[Known]:
    """:class:`Known` for every animal, in the pedigree's order. O(matings + animals)."""
    seen: dict[tuple[tuple[int, ...], int], Traced] = {}
    each: list[Traced] = []
    for i, (s, d) in enumerate(zip(p.sire, p.dam, strict=True)):
        options = p.sires.get(i, (s,))
        found = seen.get((options, d))
        if found is None:
            sires = [each[k] if k >= 0 else _NOTHING for k in options]
            dam = each[d] if d >= 0 else _NOTHING
            shares = zip(min(x[3] for x in sires)[:-1], dam[3][:-1], strict=True)
            found = seen[options, d] = (
                max(min(x[0] for x in sires), dam[0]) + 1,
                min(min(x[1] for x in sires), dam[1]) + 1,
                (min(x[2] for x in sires) + dam[2]) / 2 + 1,
                (1.0, *((a + b) / 2 for a, b in shares)),
            )
        each.append(found)
    return [Known(deep, full, equal, sum(shares[1:]) / DEPTH) for deep, full, equal, shares in each]
