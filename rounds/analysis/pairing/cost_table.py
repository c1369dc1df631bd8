"""What a pairing plan is chosen from: F, mean kinship and cost of every pair, and which may be made."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rounds.analysis.pairing import pair_sentences as sentences
from rounds.analysis.pairing.awake_together import share_missed
from rounds.analysis.pairing.restrictions import ANYTHING, Bar, Candidate, Wishes, barred
from rounds.analysis.pairing.wish_checks import check
from rounds.analysis.pedigree.colony import Means, mean_kinships
from rounds.analysis.pedigree.kinship import LOW, MOST, USUAL, KinshipRange, Kinships, matrix
from rounds.analysis.pedigree.pedigree_table import Pedigree
from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem

WISHES = "wishes"
"""Where problems of the keeper's wishes are said to be; a command may know better."""


Tell = Callable[[str], object]
"""Told in words what is being worked out; False from it gives the work up."""


class GivenUp(Exception):
    """Nobody wants the answer any more."""


def go_on(tell: Tell | None, words: str) -> None:
    """Say what comes next. Raises GivenUp when that is not wanted any more."""
    if tell is not None and tell(words) is False:
        raise GivenUp(words)


class CostTable(NamedTuple):
    """Everything a plan is chosen from; males × females.

    ``cost`` is that of a pair looked at alone: F of its offspring and both parents' mean kinship
    with the living, in the ``reading`` that pairs are ranked by, and the share of the days
    wanted together that they will not have (``days_missed``): a pair that never is awake together costs
    as much as an F of 1. ``stay`` are mean kinships with those who will be there
    beside the offspring, the candidates last; None where nobody is. ``full_sibs`` are the pairs
    with the same two recorded parents.
    """

    males: list[Candidate]
    females: list[Candidate]
    kinships: Kinships
    means: Means
    cost: list[list[float]]
    barred: list[list[Bar | None]]
    stay: Means | None = None
    full_sibs: frozenset[tuple[int, int]] = frozenset()
    reading: str = MOST
    days_missed: Sequence[Sequence[float]] = ()

    @property
    def ranked(self) -> list[list[float]]:
        """The kinships that pairs are ranked by."""
        return self.kinships.by(self.reading)

    def f(self, m: int, f: int) -> KinshipRange:
        """F of the offspring of male ``m`` and female ``f``."""
        n = len(self.males) + f
        k = self.kinships
        return KinshipRange(k.low[m][n], k.usual[m][n], k.high[m][n], k.exact)

    def mean(self, k: int) -> KinshipRange:
        """Mean kinship with the living group, of male k or female k − number of males."""
        at = self.means.living + k
        m = self.means
        return KinshipRange(m.low[at], m.usual[at], m.high[at], m.exact)


def table(
    p: Pedigree,
    candidates: Sequence[Candidate],
    living: Sequence[str],
    wishes: Wishes = ANYTHING,
    tell: Tell | None = None,
    stay: Sequence[str] = (),
) -> CostTable:
    """F and cost of every pair of candidates, and which pairs the wishes bar.

    ``living`` is the group mean kinships are taken over; candidates need not be in it. ``stay``
    are animals that will be part of the next generation, such as larvae that have a number.
    ``tell`` is told between the steps. Raises BadInput with every wish that cannot be
    understood, NoSuchAnimal for animals not in the pedigree, GivenUp.
    """
    problems = [Problem(WISHES, 0, 0, *refusal) for refusal in check(candidates, wishes)]
    if problems:
        raise BadInput(problems)
    able = [c for c in candidates if not c.hindered]
    males, females = [c for c in able if c.sex == "m"], [c for c in able if c.sex == "f"]
    both = [c.animal for c in (*males, *females)]
    go_on(tell, sentences.kinship_among(len(males), len(females)))
    kinships = matrix(p, both)
    go_on(tell, sentences.kinship_with_living(len(living)))
    means = mean_kinships(p, living, both)
    go_on(tell, sentences.so_many_pairs(len(males) * len(females)))
    first, at = len(males), len(living)
    cost, why, missed = [], [], []
    mean, ranked = means.by(wishes.by), kinships.by(wishes.by)
    for i, male in enumerate(males):
        mk = mean[at + i]
        row = ranked[i]
        short = [share_missed(male, female, wishes.together, wishes.today) for female in females]
        missed.append(short)
        cost.append([row[first + j] + mk + mean[at + first + j] + short[j] for j in range(len(females))])
        why.append([barred(male, female, row[first + j], wishes) for j, female in enumerate(females)])
    beside = mean_kinships(p, stay, both) if stay else None
    sibs = _full_sibs(p, males, females)
    return CostTable(males, females, kinships, means, cost, why, beside, sibs, wishes.by, missed)


def _full_sibs(
    p: Pedigree, males: Sequence[Candidate], females: Sequence[Candidate]
) -> frozenset[tuple[int, int]]:
    """The pairs whose sire and dam are recorded and the same."""
    parents = []
    for side in (males, females):
        of = p.find_all([c.animal for c in side])
        parents.append([(p.sire[i], p.dam[i]) for i in of])
    return frozenset(
        (i, j)
        for i, mine in enumerate(parents[0])
        for j, other in enumerate(parents[1])
        if mine == other and min(mine) >= 0
    )


def resulting(t: CostTable, cells: Sequence[tuple[int, int]]) -> KinshipRange:
    """Mean kinship of the living group joined by one offspring of each chosen cell."""
    n, k, first = t.means.living, len(cells), len(t.males)
    if n + k == 0:
        return KinshipRange(0.0, 0.0, 0.0)
    ends = []
    for reading in (LOW, USUAL, MOST):
        kinship, mean = t.kinships.by(reading), t.means.by(reading)
        total = sum(mean[:n]) * n
        at = n  # where the candidates begin among the means
        for i, j in cells:
            total += n * (mean[at + i] + mean[at + first + j])
            total += (1 + kinship[i][first + j]) / 2
        for x, (i, j) in enumerate(cells):
            for a, b in cells[:x]:
                total += offspring_kinship(kinship, first, (i, j), (a, b)) * 2
        ends.append(total / (n + k) ** 2)
    least, usual, most = ends
    return KinshipRange(least, usual, most, t.kinships.exact and t.means.exact)


def offspring_kinship(
    k: list[list[float]], first: int, one: tuple[int, int], other: tuple[int, int]
) -> float:
    """Kinship of two offspring, each of its own pair: the mean of their parents' four."""
    (i, j), (a, b) = one, other
    return (k[i][a] + k[i][first + b] + k[first + j][a] + k[first + j][first + b]) / 4
