"""Whom to pair now so that the line stays healthy: the choice, its reasons, its warnings.

The plan makes as many pairs as it can, and of those plans the one with the least mean kinship
of the next generation plus w × mean F of the pairs
(:mod:`rounds.analysis.pairing.next_generation`), kinships as high as they may be unless another
reading is asked for, so that unknown parents are never rewarded. Few candidates are gone through; among many, pairs are exchanged
from the plan that is best pair by pair, and the plan says how far from the best it can be.
Over ten simulated generations it keeps at least what a greedy choice of least kinship keeps
(``tests/bench/bench_pairing.py`` prints the figures).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count

from rounds.analysis.pairing import hindrance_sentences, pair_sentences, wish_sentences
from rounds.analysis.pairing.awake_together import out_of_step
from rounds.analysis.pairing.cost_table import (
    WISHES,
    CostTable,
    Tell,
    go_on,
    offspring_kinship,
    resulting,
    table,
)
from rounds.analysis.pairing.exact_plan import best_so_far, within_reach
from rounds.analysis.pairing.exchange_search import exchange_search
from rounds.analysis.pairing.integer_programme import Cross, solve
from rounds.analysis.pairing.next_generation import (
    Cell,
    Enough,
    Limits,
    NextGeneration,
    Score,
    never,
    next_generation,
)
from rounds.analysis.pairing.plan_bound import plan_bound
from rounds.analysis.pairing.reasons import Pair, Reasons, RunnerUp, ranked
from rounds.analysis.pairing.restrictions import ANYTHING, BARRIERS, Bar, Candidate, Wishes
from rounds.analysis.pedigree.kinship import KinshipRange
from rounds.analysis.pedigree.pedigree_table import Pedigree
from rounds.named_tuple import NamedTuple
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
]


class PairingPlan(NamedTuple):
    """The best plan under the wishes, pairs with the lowest F first.

    ``score`` is the mean kinship of the next generation, mean F of the pairs and their weighted
    sum; no plan has a sum below ``bound``. ``before`` is the mean kinship of the living group,
    ``after`` that of the group once every chosen pair has left one offspring beside it.
    ``barred`` counts pairs by why they may not be made, ``left_out`` gives everybody who is in
    no pair, and why; ``warnings`` name lines whose males and females will not be awake together.
    ``stopped`` plans are the best found by the time somebody had enough of the search.
    """

    pairs: list[Pair]
    score: Score
    bound: float
    before: KinshipRange
    after: KinshipRange
    barred: dict[str, int]
    left_out: list[tuple[str, str]]
    warnings: list[str]
    exact: bool
    stopped: bool = False

    @property
    def gap(self) -> float:
        """The share by which the best plan could be better at most: 0 where this one is proven best."""
        return max(0.0, 1 - self.bound / self.score.total) if self.score.total > 0 else 0.0


def plan(
    p: Pedigree, candidates: Sequence[Candidate], living: Sequence[str], wishes: Wishes = ANYTHING
) -> PairingPlan:
    """The best plan with as many pairs as the wishes and free boxes allow.

    Raises BadInput when the wishes contradict each other (all contradictions that can be
    told one by one), see :func:`table`.
    """
    t = table(p, candidates, living, wishes)
    return choose(t, candidates, wishes)


def choose(
    t: CostTable,
    candidates: Sequence[Candidate],
    wishes: Wishes,
    tell: Tell | None = None,
    enough: Enough = never,
) -> PairingPlan:
    """:func:`plan` from a table made before: for a screen that changes wishes other than the
    limit on F and what may not be crossed. ``tell`` is told between the steps; raises GivenUp.
    Once it is ``enough``, the plan is the best found by then, with its bound."""
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
    start = solve(t.cost, allowed, uses, most, forced, crosses)
    if start is None:
        raise BadInput([Problem(WISHES, 0, 0, *wish_sentences.NO_PLAN)])
    limits = limits_of(t, uses, forced, [(cross.cells, cross.at_least) for cross in crosses])
    judged = next_generation_of(t, wishes, len(start.cells))
    cells, bound = best_plan(judged, limits, start.cells, tell, enough)
    stopped = enough() and bound < judged.score(cells).total
    used = [0] * len(t.males)
    for i, _ in cells:
        used[i] += 1
    free = [u < limit for u, limit in zip(used, uses, strict=True)]
    taken = {j for _, j in cells}
    give = Reasons(t, wishes, free, [j not in taken for j in range(len(t.females))])
    pairs = [give.of(cell) for cell in cells]
    pairs.sort(key=lambda pair: (pair.f.by(t.reading), pair.cost, pair.male, pair.female))
    counted: dict[str, int] = {}
    for row in t.barred:
        for reason in row:
            if reason:
                counted[reason.kind] = counted.get(reason.kind, 0) + 1
    return PairingPlan(
        pairs,
        judged.score(cells),
        bound,
        t.means.mean,
        resulting(t, cells),
        counted,
        not_in_a_pair(t, candidates, cells, uses, boxes_used=len(cells) == wishes.boxes),
        out_of_step(candidates, wishes.together, wishes.today),
        t.kinships.exact,
        stopped,
    )


def limits_of(
    t: CostTable,
    uses: Sequence[int],
    forced: Sequence[Cell] = (),
    wishes: Sequence[tuple[frozenset[Cell], int]] = (),
) -> Limits:
    """What the plans of a table are limited to."""
    import numpy as np

    allowed = np.array([[not bar for bar in row] for row in t.barred], dtype=bool)
    return Limits(
        allowed.reshape(len(t.males), len(t.females)), tuple(uses), frozenset(forced), tuple(wishes)
    )


def next_generation_of(t: CostTable, wishes: Wishes, pairs: int) -> NextGeneration:
    """What plans of so many pairs of a table are judged by."""
    if t.stay is None:
        return next_generation(t.ranked, len(t.males), pairs, wishes.weight, days_missed=t.days_missed)
    n = t.stay.living
    return next_generation(
        t.ranked,
        len(t.males),
        pairs,
        wishes.weight,
        days_missed=t.days_missed,
        stay_kinship=t.stay.by(t.reading)[n:],
        stay_mean=t.stay.mean.by(t.reading),
        stay_share=n / (n + pairs * wishes.kept) if pairs else 1.0,
    )


def best_plan(
    judged: NextGeneration,
    limits: Limits,
    start: Sequence[Cell],
    tell: Tell | None = None,
    enough: Enough = never,
) -> tuple[list[Cell], float]:
    """The best plan that can be found from one to start from (by the time it is ``enough``), and a bound for it."""
    if not start:
        return [], judged.score([]).total
    tries = count(1)

    def step() -> None:
        go_on(tell, pair_sentences.plan_is_looked_for(next(tries)))

    if within_reach(limits, judged.pairs):
        found, bound = best_so_far(judged, limits, step, enough)
        cells = min((p for p in (found, sorted(start)) if p is not None), key=lambda p: judged.score(p).total)
        return cells, min(bound, judged.score(cells).total)
    cells = exchange_search(judged, limits, start, go_on=step, enough=enough)
    return cells, plan_bound(judged, limits, cells, go_on=step, enough=enough)


def not_in_a_pair(
    t: CostTable,
    candidates: Sequence[Candidate],
    cells: Sequence[Cell],
    uses: Sequence[int] = (),
    *,
    boxes_used: bool = False,
) -> list[tuple[str, str]]:
    """Candidates in none of the pairs, each with why; those that cannot breed now come first.

    ``cells`` are the pairs of a plan that has as many as it can, with each male in at most so many
    as ``uses`` says; or, without, all that may be made.
    """
    hindered = [(c.animal, c.hindered) for c in candidates if c.hindered]
    able = [c for c in candidates if not c.hindered]
    unsexed = [(c.animal, hindrance_sentences.SEX_NOT_KNOWN) for c in able if c.sex not in ("m", "f")]
    paired_males, paired_females = {i for i, _ in cells}, {j for _, j in cells}
    over = [
        (
            c.animal,
            _left_over(t.barred[i], c.sex, boxes_used=boxes_used)
            if not uses or uses[i]
            else hindrance_sentences.LEFT_OUT,
        )
        for i, c in enumerate(t.males)
        if i not in paired_males
    ]
    over += [
        (c.animal, _left_over([row[j] for row in t.barred], c.sex, boxes_used=boxes_used))
        for j, c in enumerate(t.females)
        if j not in paired_females
    ]
    return hindered + unsexed + over


def _left_over(bars: Sequence[Bar | None], sex: str, *, boxes_used: bool) -> str:
    """Why one that can breed is in no pair, from what bars it from each partner."""
    if not bars:
        return hindrance_sentences.nobody_for(sex)
    kinds = tuple(dict.fromkeys(bar.kind for bar in bars if bar is not None))
    if None not in bars:
        return hindrance_sentences.no_pair_allowed(kinds)
    return hindrance_sentences.NO_BOX_LEFT if boxes_used else hindrance_sentences.all_taken(sex)


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
