"""Drawing a sib trial from animals of the books: which females, which arm each is in, which male she gets.

The arm is drawn, not chosen: females are gone through in an order drawn from the seed, and
each is put into the arm that lacks one, if a male can be found for her there. Earlier ones
are given another male of theirs where that makes room (augmenting paths, so that no female
is turned away while males can still be shared out). The same seed gives the same draw.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from typing import TypeVar

from rounds.analysis.trial.tally_sentences import lacking as lacking_of_arm
from rounds.named_tuple import NamedTuple
from rounds.records.tables import ARMS

T = TypeVar("T")

SIB_F = 0.25
"""F of full sibs' offspring at the least (textbook value), before any older inbreeding."""

MOST_CROSS_F = 0.0625
"""F that offspring in the cross arm may have at the most, at its high end: first cousins' (a choice)."""


TRIES = 200
"""Draws before an arm is left short."""


class Kin(NamedTuple):
    """Of a female and a male: F of their offspring, low and high, and whether the books show full sibs.

    ``apart``: they are not to be crossed (another subspecies or place of origin).
    """

    low: float
    high: float
    sibs: bool
    apart: bool = False


class Drawn(NamedTuple):
    """One female: her arm (a word of the books) and her male, by id."""

    arm: str
    female: int
    male: int


class Draw(NamedTuple):
    """The drawn pairs, sibs first; ``short`` says what is lacking, empty when every arm is full.

    ``bound`` are drawn females that could stand for one arm only: theirs was not left to chance.
    """

    pairs: list[Drawn]
    short: str
    bound: list[int]


def fits(arm: str, kin: Kin) -> bool:
    """Whether a pair can stand for an arm."""
    if kin.apart:
        return False
    if arm == "sibs":
        return kin.sibs and kin.low >= SIB_F - 1e-9
    return not kin.sibs and kin.high <= MOST_CROSS_F + 1e-9


def draw(
    females: Sequence[int], males: Sequence[int], kin: Mapping[tuple[int, int], Kin], per_arm: int, seed: int
) -> Draw:
    """``per_arm`` females for each arm, each with a male of her own. ``kin`` holds every (female, male).

    Where a draw leaves an arm short it is drawn again, :data:`TRIES` times at the most; the
    fullest is kept.
    """
    random_ = random.Random(seed)
    options = {(a, f): [m for m in males if fits(a, kin[f, m])] for a in ARMS for f in females}
    best: list[Drawn] = []
    for _ in range(TRIES):
        found = _one(females, options, per_arm, random_)
        if _fullness(found) > _fullness(best):
            best = found
        if len(best) == per_arm * len(ARMS):
            break
    counts = {a: sum(d.arm == a for d in best) for a in ARMS}
    lacking = [lacking_of_arm(counts[a], per_arm, a) for a in ARMS if counts[a] < per_arm]
    bound = [d.female for d in best if not all(options[a, d.female] for a in ARMS)]
    return Draw(best, ", ".join(lacking), bound)


def _fullness(drawn: Sequence[Drawn]) -> tuple[int, int]:
    return min(sum(d.arm == a for d in drawn) for a in ARMS), len(drawn)


def _one(
    females: Sequence[int],
    options: Mapping[tuple[str, int], Sequence[int]],
    per_arm: int,
    random_: random.Random,
) -> list[Drawn]:
    order = _shuffled(females, random_)
    mine = {whom: _shuffled(males, random_) for whom, males in options.items()}
    taken: dict[int, tuple[str, int]] = {}  # male -> the arm and female he is given to
    counts = dict.fromkeys(ARMS, 0)
    for female in order:
        arms = [a for a in _shuffled(ARMS, random_) if counts[a] < per_arm]
        for arm in sorted(arms, key=lambda a: counts[a]):  # stable: drawn order among equals
            if _give(mine, taken, (arm, female), set()):
                counts[arm] += 1
                break
    found = [Drawn(arm, female, male) for male, (arm, female) in taken.items()]
    return sorted(found, key=lambda d: (ARMS.index(d.arm), order.index(d.female)))


def _give(
    options: Mapping[tuple[str, int], list[int]],
    taken: dict[int, tuple[str, int]],
    whom: tuple[str, int],
    asked: set[int],
) -> bool:
    """Find a male for a female, moving others to another of theirs where needed."""
    for male in options[whom]:
        if male in asked:
            continue
        asked.add(male)
        if male not in taken or _give(options, taken, taken[male], asked):
            taken[male] = whom
            return True
    return False


def _shuffled(items: Sequence[T], random_: random.Random) -> list[T]:
    return [item for _, _, item in sorted((random_.random(), k, item) for k, item in enumerate(items))]
