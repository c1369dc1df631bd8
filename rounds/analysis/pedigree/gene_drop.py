"""How much of each founder's genome is still there: exact for small pedigrees, else dropped.

The retention of a founder is the expected share of its alleles that at least one living
animal carries. Gene dropping (MacCluer et al. 1986) follows alleles down the pedigree by
chance; with few enough chances every outcome is gone through instead and the answer is
exact.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from rounds.analysis.pedigree.pedigree_sentences import retention_of_group, retention_of_open_sire
from rounds.analysis.pedigree.pedigree_table import GROUP, Pedigree
from rounds.named_tuple import NamedTuple

MOST_CHANCES = 12
"""Up to so many parent-to-offspring steps below a founder all 2^steps outcomes are gone through."""

DROPS = 2000
"""Repeats of the gene drop; its standard error is at most 0.5 / sqrt(2 × DROPS) = 0.008."""


MOST_STEPS = 1_000_000
"""Animals to whom alleles are dealt in all repeats together, about a second's work."""


def drops_for(p: Pedigree) -> int:
    """As many drops as a pedigree of this size allows in :data:`MOST_STEPS`, 100 to :data:`DROPS`."""
    return max(100, min(DROPS, MOST_STEPS // max(1, len(p.names))))


class Retention(NamedTuple):
    """The share of each founder's alleles still carried; ``exact`` False where it was drawn."""

    share: dict[str, float]
    exact: dict[str, bool]


def retention(p: Pedigree, living: Sequence[str], seed: int, drops: int = DROPS) -> Retention:
    """Retention of every founder with a living descendant (or that lives itself).

    Sires must be settled and parents be single animals: raises ValueError naming an ancestor
    whose sire is open or that is a group, because its share would rest on a guess. ``seed``
    makes the drawn ones repeatable.
    """
    alive = set(p.find_all(living))
    needed = set(alive)
    for i in range(len(p.names) - 1, -1, -1):
        if i in needed:
            if i in p.sires:
                raise ValueError(retention_of_open_sire(p.names[i]))
            if p.sex[i] == GROUP:
                raise ValueError(retention_of_group(p.names[i]))
            needed.update(p.parents(i))
    order = sorted(needed)
    share: dict[str, float] = {}
    exact: dict[str, bool] = {}
    drawn: list[int] = []
    for founder in (i for i in order if not p.parents(i)):
        if founder in alive:
            share[p.names[founder]], exact[p.names[founder]] = 1.0, True
            continue
        below = {founder}
        steps: list[tuple[int, list[int]]] = []
        for i in order:
            carriers = [q for q in (p.sire[i], p.dam[i]) if q in below]
            if carriers:
                below.add(i)
                steps.append((i, carriers))
        if sum(len(c) for _, c in steps) <= MOST_CHANCES:
            share[p.names[founder]] = _through_all(founder, steps, alive)
        else:
            drawn.append(founder)
            share[p.names[founder]] = 0.0
        exact[p.names[founder]] = founder not in drawn
    if drawn:
        for founder, found in zip(
            drawn, _drop(p, order, alive, drawn, random.Random(seed), drops), strict=True
        ):
            share[p.names[founder]] = found
    return Retention(share, exact)


def _through_all(founder: int, steps: list[tuple[int, list[int]]], alive: set[int]) -> float:
    """The chance that one allele of ``founder`` reaches a living animal.

    Copies of the allele in each animal (0, 1 or 2) are carried through every outcome.
    """
    states: dict[tuple[tuple[int, int], ...], float] = {((founder, 1),): 1.0}
    for i, carriers in steps:
        grown: dict[tuple[tuple[int, int], ...], float] = {}
        for state, chance in states.items():
            copies = dict(state)
            odds = {0: 1.0}
            for q in carriers:
                passed = copies.get(q, 0) / 2
                odds = {
                    k: odds.get(k, 0.0) * (1 - passed) + odds.get(k - 1, 0.0) * passed
                    for k in range(len(odds) + 1)
                }
            for k, odd in odds.items():
                if odd:
                    key = (*state, (i, k)) if k else state
                    grown[key] = grown.get(key, 0.0) + chance * odd
        states = grown
    return sum(chance for state, chance in states.items() if any(i in alive for i, _ in state))


def _drop(
    p: Pedigree, order: list[int], alive: set[int], founders: list[int], draw: random.Random, drops: int
) -> list[float]:
    kept = dict.fromkeys(founders, 0)
    bits = draw.getrandbits
    for _ in range(drops):
        genes: dict[int, tuple[int, int]] = {}
        carried: set[int] = set()
        for i in order:
            s, d = p.sire[i], p.dam[i]
            if s < 0 and d < 0:
                genes[i] = (2 * i, 2 * i + 1)
            else:  # an allele of an unknown parent is nobody's: -1
                genes[i] = (genes[s][bits(1)] if s >= 0 else -1, genes[d][bits(1)] if d >= 0 else -1)
            if i in alive:
                carried.update(genes[i])
        for f in founders:
            kept[f] += (2 * f in carried) + (2 * f + 1 in carried)
    return [kept[f] / (2 * drops) for f in founders]
