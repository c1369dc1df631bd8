"""Whom to pair now so that the line stays healthy: the choice, its reasons, its warnings.

The plan minimises the sum over chosen pairs of w × F + MK(male) + MK(female): F the high
end of the offspring's inbreeding, MK each parent's mean kinship with the living group, also
at its high end, so that unknown parents are never rewarded. With MK held fixed this is
linear; :mod:`rounds.analysis.pairing.exhaustive_check` says how far that is from the best resulting
mean kinship, and each plan of up to eight males and females says it of itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rounds.analysis.pairing import hindrance_sentences, pair_sentences, wish_sentences
from rounds.analysis.pairing.awake_together import out_of_step
from rounds.analysis.pairing.cost_table import WISHES, CostTable, offspring_kinship, resulting, table
from rounds.analysis.pairing.exhaustive_check import Gap, quadratic_gap, small
from rounds.analysis.pairing.integer_programme import Cross, solve
from rounds.analysis.pairing.reasons import Pair, Reasons, RunnerUp, ranked
from rounds.analysis.pairing.restrictions import ANYTHING, BARRIERS, Bar, Candidate, Wishes
from rounds.analysis.pedigree.kinship import KinshipRange
from rounds.analysis.pedigree.pedigree_table import Pedigree
from rounds.problems import BadInput, Problem, Refusal

__all__ = [
    "CostTable",
    "Pair",
    "PairingPlan",
    "RunnerUp",
    "choose",
    "offspring_kinship",
    "plan",
    "ranked",
    "resulting",
    "table",
    "without",
]


class PairingPlan(NamedTuple):
    """The best plan under the wishes, pairs with the lowest F (high end) first.

    ``bound`` is the lower limit the solver proved for ``cost``: equal to it up to rounding.
    ``before`` is the mean kinship of the living group, ``after`` that of the group once
    every chosen pair has left one offspring beside it. ``barred`` counts pairs by why they
    may not be made, ``left_out`` gives animals that cannot breed now and why; ``warnings``
    name lines whose males and females will not be awake together. ``gap`` says how far the
    plan is from the best resulting mean kinship where every plan could be tried, else None.
    """

    pairs: list[Pair]
    cost: float
    bound: float
    before: KinshipRange
    after: KinshipRange
    barred: dict[str, int]
    left_out: list[tuple[str, str]]
    warnings: list[str]
    exact: bool
    gap: Gap | None = None


def plan(
    p: Pedigree, candidates: Sequence[Candidate], living: Sequence[str], wishes: Wishes = ANYTHING
) -> PairingPlan:
    """The proven cheapest plan with as many pairs as the wishes and free boxes allow.

    Raises BadInput when the wishes contradict each other (all contradictions that can be
    told one by one), see :func:`table`.
    """
    t = table(p, candidates, living, wishes)
    return choose(t, candidates, wishes)


def choose(t: CostTable, candidates: Sequence[Candidate], wishes: Wishes) -> PairingPlan:
    """:func:`plan` from a table made before: for a screen that changes wishes other than the
    weight, the limit on F and what may not be crossed."""
    male_at = {c.animal: i for i, c in enumerate(t.males)}
    female_at = {c.animal: i for i, c in enumerate(t.females)}
    forced = [(male_at[m], female_at[f]) for m, f in wishes.forced if m in male_at and f in female_at]
    problems = []
    for m, f in wishes.forced:
        if refusal := _refused(t, male_at.get(m), female_at.get(f), (m, f), candidates):
            problems.append(Problem(WISHES, 0, 0, *refusal))
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
        raise BadInput([Problem(WISHES, 0, 0, *wish_sentences.NO_PLAN)])
    used = [0] * len(t.males)
    for i, _ in found.cells:
        used[i] += 1
    free = [u < limit for u, limit in zip(used, uses, strict=True)]
    taken = {j for _, j in found.cells}
    give = Reasons(t, wishes, free, [j not in taken for j in range(len(t.females))])
    pairs = [give.of(cell) for cell in found.cells]
    pairs.sort(key=lambda pair: (pair.f.high, pair.cost, pair.male, pair.female))
    counted: dict[str, int] = {}
    for row in t.barred:
        for reason in row:
            if reason:
                counted[reason.kind] = counted.get(reason.kind, 0) + 1
    gap = None
    if not crosses and small(t, len(found.cells), uses):
        gap = quadratic_gap(t, found.cells, uses, forced)
    return PairingPlan(
        pairs,
        found.cost,
        found.bound,
        t.means.mean,
        resulting(t, found.cells),
        counted,
        not_offered(candidates),
        out_of_step(candidates, wishes.together, wishes.today),
        t.kinships.exact,
        gap,
    )


def not_offered(candidates: Sequence[Candidate]) -> list[tuple[str, str]]:
    """Candidates that cannot be paired now, each with why."""
    hindered = [(c.animal, c.hindered) for c in candidates if c.hindered]
    able = [c for c in candidates if not c.hindered]
    unsexed = [(c.animal, hindrance_sentences.SEX_NOT_KNOWN) for c in able if c.sex not in ("m", "f")]
    return hindered + unsexed


def _refused(
    t: CostTable, i: int | None, j: int | None, pair: tuple[str, str], candidates: Sequence[Candidate]
) -> Refusal | None:
    """Why a forced pair may not be made; None if it may."""
    if i is None or j is None:
        hindered = [c for c in candidates if c.hindered and c.animal in pair]
        why = [wish_sentences.cannot_breed(c.animal, c.hindered) for c in hindered]
        said = "; ".join(why) or wish_sentences.ONE_CANNOT_BREED
        return wish_sentences.forced_barred(*pair, said, wish_sentences.SEE_TO_IT)
    bar = t.barred[i][j]
    if bar is None:
        return None
    unrecorded = bar.kind in map(pair_sentences.not_recorded, BARRIERS)
    hint = wish_sentences.RECORD_IT if unrecorded else wish_sentences.DROP_IT
    return wish_sentences.forced_barred(*pair, str(bar), hint)


def without(
    t: CostTable, candidates: Sequence[Candidate], wishes: Wishes, pair: tuple[str, str]
) -> PairingPlan:
    """The best plan that does not make ``pair``: what giving it up would really cost."""
    i = next(k for k, c in enumerate(t.males) if c.animal == pair[0])
    j = next(k for k, c in enumerate(t.females) if c.animal == pair[1])
    rows = [list(row) for row in t.barred]
    rows[i][j] = Bar(pair_sentences.GIVEN_UP)
    return choose(
        t._replace(barred=rows),
        candidates,
        wishes._replace(forced=tuple(x for x in wishes.forced if x != pair)),
    )
