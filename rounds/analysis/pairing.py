"""Whom to pair now so that the line stays healthy: the choice, its reasons, its warnings.

The plan minimises the sum over chosen pairs of w × F + MK(male) + MK(female): F the high
end of the offspring's inbreeding, MK each parent's mean kinship with the living group, also
at its high end, so that unknown parents are never rewarded. With MK held fixed this is
linear; :mod:`rounds.analysis.pairing_check` says how far that is from the best resulting
mean kinship.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rounds.analysis.colony import Means, mean_kinships
from rounds.analysis.kinship import Kinships, Range, matrix
from rounds.analysis.pairing_rules import (
    ANYTHING,
    Candidate,
    Wishes,
    awake_warning,
    barred,
    check,
    notes_on,
    out_of_step,
)
from rounds.analysis.pairing_solve import Cross, solve
from rounds.analysis.pedigree import Pedigree
from rounds.problems import BadInput, Problem

WISHES = "wishes"
"""Where problems of the keeper's wishes are said to be; a command may know better."""


class RunnerUp(NamedTuple):
    """The next best male for the same female: what the pair would cost more (less if negative).

    ``taken`` says that this plan uses him up elsewhere.
    """

    male: str
    more: float
    f: Range
    taken: bool


class Pair(NamedTuple):
    """One pair that can be made: ``f`` of its offspring, its cost, and what to know about it."""

    male: str
    female: str
    f: Range
    cost: float
    why: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    runner_up: RunnerUp | None = None


class Plan(NamedTuple):
    """The best plan under the wishes, pairs with the lowest F (high end) first.

    ``bound`` is the lower limit the solver proved for ``cost``: equal to it up to rounding.
    ``before`` is the mean kinship of the living group, ``after`` that of the group once
    every chosen pair has left one offspring beside it. ``barred`` counts pairs by why they
    may not be made, ``left_out`` gives animals that cannot breed now and why; ``warnings``
    name lines whose males and females will not be awake together.
    """

    pairs: list[Pair]
    cost: float
    bound: float
    before: Range
    after: Range
    barred: dict[str, int]
    left_out: list[tuple[str, str]]
    warnings: list[str]
    exact: bool


class Table(NamedTuple):
    """Everything a plan is chosen from; males × females."""

    males: list[Candidate]
    females: list[Candidate]
    kinships: Kinships
    means: Means
    cost: list[list[float]]
    barred: list[list[str]]

    def f(self, m: int, f: int) -> Range:
        """F of the offspring of male ``m`` and female ``f``."""
        n = len(self.males) + f
        return Range(self.kinships.low[m][n], self.kinships.high[m][n], self.kinships.exact)

    def mean(self, k: int) -> Range:
        """Mean kinship with the living group, of male k or female k − number of males."""
        at = self.means.living + k
        return Range(self.means.low[at], self.means.high[at], self.means.exact)


def table(
    p: Pedigree, candidates: Sequence[Candidate], living: Sequence[str], wishes: Wishes = ANYTHING
) -> Table:
    """F and cost of every pair of candidates, and which pairs the wishes bar.

    ``living`` is the group mean kinships are taken over; candidates need not be in it.
    Raises BadInput with every wish that cannot be understood, NoSuchAnimal for animals not
    in the pedigree.
    """
    problems = [Problem(WISHES, 0, 0, message, hint) for message, hint in check(candidates, wishes)]
    if problems:
        raise BadInput(problems)
    able = [c for c in candidates if not c.hindered]
    males, females = [c for c in able if c.sex == "m"], [c for c in able if c.sex == "f"]
    both = [c.animal for c in (*males, *females)]
    kinships = matrix(p, both)
    means = mean_kinships(p, living, both)
    first, at = len(males), len(living)
    cost, why = [], []
    for i, male in enumerate(males):
        mk = means.high[at + i]
        row = kinships.high[i]
        cost.append(
            [wishes.weight * row[first + j] + mk + means.high[at + first + j] for j in range(len(females))]
        )
        why.append([barred(male, female, row[first + j], wishes) for j, female in enumerate(females)])
    return Table(males, females, kinships, means, cost, why)


def plan(
    p: Pedigree, candidates: Sequence[Candidate], living: Sequence[str], wishes: Wishes = ANYTHING
) -> Plan:
    """The proven cheapest plan with as many pairs as the wishes and free boxes allow.

    Raises BadInput when the wishes contradict each other (all contradictions that can be
    told one by one), see :func:`table`.
    """
    t = table(p, candidates, living, wishes)
    return choose(t, candidates, wishes)


def choose(t: Table, candidates: Sequence[Candidate], wishes: Wishes) -> Plan:
    """:func:`plan` from a table made before: for a screen that changes wishes other than the
    weight, the limit on F and what may not be crossed."""
    male_at = {c.animal: i for i, c in enumerate(t.males)}
    female_at = {c.animal: i for i, c in enumerate(t.females)}
    forced = [(male_at[m], female_at[f]) for m, f in wishes.forced if m in male_at and f in female_at]
    problems = []
    for m, f in wishes.forced:
        if reason := _reason(t, male_at.get(m), female_at.get(f)):
            said = f"the forced pair {m} × {f} may not be made: {reason}."
            problems.append(Problem(WISHES, 0, 0, said, "Drop it, or the wish against it."))
    if problems:
        raise BadInput(problems)
    allowed = [[not reason for reason in row] for row in t.barred]
    crosses = []
    for a, b, at_least in wishes.cross:
        wanted = {
            (i, j)
            for i, m in enumerate(t.males)
            for j, f in enumerate(t.females)
            if {m.line, f.line} == {a, b}
        }
        crosses.append(Cross(frozenset(wanted), at_least))
    uses = [wishes.uses_of.get(c.animal, wishes.uses) for c in t.males]
    most = len(t.females) if wishes.boxes is None else wishes.boxes
    found = solve(t.cost, allowed, uses, most, forced, crosses)
    if found is None:
        said = "no plan fits all forced pairs and wished crosses with these animals, limits and boxes."
        raise BadInput([Problem(WISHES, 0, 0, said, "Ask for less, or allow a male more uses.")])
    used = [0] * len(t.males)
    for i, _ in found.cells:
        used[i] += 1
    free = [u < limit for u, limit in zip(used, uses, strict=True)]
    pairs = [_pair(t, i, j, wishes, free, _order(t, j)) for i, j in found.cells]
    pairs.sort(key=lambda pair: (pair.f.high, pair.cost, pair.male, pair.female))
    counted: dict[str, int] = {}
    for row in t.barred:
        for reason in row:
            if reason:
                kind = reason.split(" (")[0]
                counted[kind] = counted.get(kind, 0) + 1
    left_out = [(c.animal, c.hindered) for c in candidates if c.hindered]
    left_out += [
        (c.animal, "sex not known") for c in candidates if not c.hindered and c.sex not in ("m", "f")
    ]
    return Plan(
        pairs,
        found.cost,
        found.bound,
        t.means.mean,
        resulting(t, found.cells),
        counted,
        left_out,
        out_of_step(candidates, wishes.together),
        t.kinships.exact,
    )


def _reason(t: Table, i: int | None, j: int | None) -> str:
    if i is None or j is None:
        return "one of the two cannot breed now"
    return t.barred[i][j]


def ranked(t: Table, wishes: Wishes, most: int | None = None) -> list[Pair]:
    """Every pair that may be made, lowest F (high end) first, then lowest cost: to look closer."""
    cells = [(i, j) for i, row in enumerate(t.barred) for j, reason in enumerate(row) if not reason]
    cells.sort(key=lambda c: (t.f(*c).high, t.cost[c[0]][c[1]], t.males[c[0]].animal, t.females[c[1]].animal))
    orders = {j: _order(t, j) for j in {j for _, j in cells[:most]}}
    return [_pair(t, i, j, wishes, [True] * len(t.males), orders[j]) for i, j in cells[:most]]


def resulting(t: Table, cells: Sequence[tuple[int, int]]) -> Range:
    """Mean kinship of the living group joined by one offspring of each chosen cell."""
    n, k, first = t.means.living, len(cells), len(t.males)
    if n + k == 0:
        return Range(0.0, 0.0)
    ends = []
    for kinship, mean in ((t.kinships.low, t.means.low), (t.kinships.high, t.means.high)):
        total = sum(mean[:n]) * n
        at = n  # where the candidates begin among the means
        for i, j in cells:
            total += n * (mean[at + i] + mean[at + first + j])
            total += (1 + kinship[i][first + j]) / 2
        for x, (i, j) in enumerate(cells):
            for a, b in cells[:x]:
                total += offspring_kinship(kinship, first, (i, j), (a, b)) * 2
        ends.append(total / (n + k) ** 2)
    return Range(ends[0], ends[1], t.kinships.exact and t.means.exact)


def offspring_kinship(
    k: list[list[float]], first: int, one: tuple[int, int], other: tuple[int, int]
) -> float:
    """Kinship of two offspring, each of its own pair: the mean of their parents' four."""
    (i, j), (a, b) = one, other
    return (k[i][a] + k[i][first + b] + k[first + j][a] + k[first + j][first + b]) / 4


def _order(t: Table, j: int) -> list[int]:
    """The males that female ``j`` may be given, cheapest first."""
    return sorted(
        (x for x, row in enumerate(t.barred) if not row[j]), key=lambda x: (t.cost[x][j], t.males[x].animal)
    )


def _pair(t: Table, i: int, j: int, wishes: Wishes, free: Sequence[bool], order: Sequence[int]) -> Pair:
    male, female, f = t.males[i], t.females[j], t.f(i, j)
    runner_up = None
    if len(order) > 1:
        x = order[1] if order[0] == i else order[0]
        runner_up = RunnerUp(t.males[x].animal, t.cost[x][j] - t.cost[i][j], t.f(x, j), not free[x])
    why = []
    if (male.animal, female.animal) in wishes.forced:
        why.append("asked for by you")
    if len(order) == 1:
        why.append(f"the only male for {female.animal}")
    elif order[0] == i:
        why.append(f"the best of {len(order)} males for {female.animal}")
    else:
        why.append(
            f"number {order.index(i) + 1} of {len(order)} males for {female.animal}; better ones serve the plan elsewhere"
        )
    shown = f"{f.low:.3f}" if f.high - f.low < 5e-4 else f"{f.low:.3f}–{f.high:.3f}"
    why.append(f"F of the offspring {shown}" + ("" if f.exact else " (outer bounds)"))
    for k, animal in ((i, male), (len(t.males) + j, female)):
        why.append(
            f"mean kinship of {animal.animal} {t.mean(k).high:.3f}, the living group's {t.means.mean.high:.3f}"
        )
    warnings = [w for w in (awake_warning(male, female, wishes.together), *notes_on(male, female)) if w]
    return Pair(male.animal, female.animal, f, t.cost[i][j], tuple(why), tuple(warnings), runner_up)


def without(t: Table, candidates: Sequence[Candidate], wishes: Wishes, pair: tuple[str, str]) -> Plan:
    """The best plan that does not make ``pair``: what giving it up would really cost."""
    i = next(k for k, c in enumerate(t.males) if c.animal == pair[0])
    j = next(k for k, c in enumerate(t.females) if c.animal == pair[1])
    rows = [list(row) for row in t.barred]
    rows[i][j] = "given up"
    return choose(
        t._replace(barred=rows),
        candidates,
        wishes._replace(forced=tuple(x for x in wishes.forced if x != pair)),
    )
