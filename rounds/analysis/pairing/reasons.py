"""Pairs with their reasons: why this one, what else there is for either animal, what to mind."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.analysis.pairing import pair_sentences as sentences
from rounds.analysis.pairing.awake_together import awake_warning, awake_words
from rounds.analysis.pairing.cost_table import CostTable
from rounds.analysis.pairing.restrictions import Wishes, note_on_lines, notes_on
from rounds.analysis.pedigree.kinship import LOW, MOST, USUAL, KinshipRange
from rounds.named_tuple import NamedTuple

Cell = tuple[int, int]
"""A male's and a female's place among those of a table."""


TIE = 1e-9
"""Costs that differ by less are the same."""


class RunnerUp(NamedTuple):
    """The next best partner for one of a pair: what that pair would cost more (less if negative).

    ``taken`` says that this plan uses the partner up elsewhere.
    """

    animal: str
    more: float
    f: KinshipRange
    taken: bool


class Pair(NamedTuple):
    """One pair that can be made: ``f`` of its offspring, its cost, and what to know about it.

    ``runner_up`` is the next best male for the female, ``for_him`` the next best female for
    the male. ``change`` is what one offspring of theirs would change of the living group's
    mean kinship; its ends are the least and the largest of the three readings.
    """

    male: str
    female: str
    f: KinshipRange
    cost: float
    why: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    runner_up: RunnerUp | None = None
    for_him: RunnerUp | None = None
    change: KinshipRange = KinshipRange(0.0, 0.0, 0.0)
    doubts: tuple[str, ...] = ()  # why either may not be the animal its label says
    standing: tuple[str, ...] = ()  # of ``why``, the first: what it is among the pairs for her
    brief: tuple[str, ...] = ()  # the same in a few words, and of what to mind all but that lines are crossed


def in_order(t: CostTable) -> list[Cell]:
    """Every pair that may be made: lowest F and days missed first (as the table reads F), then lowest cost."""
    cells = [(i, j) for i, row in enumerate(t.barred) for j, reason in enumerate(row) if not reason]
    ranked, n = t.ranked, len(t.males)
    cells.sort(
        key=lambda c: (
            ranked[c[0]][n + c[1]] + t.days_missed[c[0]][c[1]],
            t.cost[c[0]][c[1]],
            t.males[c[0]].animal,
            t.females[c[1]].animal,
        )
    )
    return cells


def ranked(t: CostTable, wishes: Wishes, most: int | None = None) -> list[Pair]:
    """The pairs of :func:`in_order` (the first ``most``) with their reasons: to look closer."""
    give = Reasons(t, wishes)
    return [give.of(cell) for cell in in_order(t)[:most]]


class Reasons:
    """Makes pairs out of cells of a table; what several need is looked up once.

    ``males_free`` and ``females_free`` say who a plan has not used up; all of them unless given.
    """

    def __init__(
        self,
        t: CostTable,
        wishes: Wishes,
        males_free: Sequence[bool] | None = None,
        females_free: Sequence[bool] | None = None,
    ) -> None:
        self.t, self.wishes = t, wishes
        self.in_plan = males_free is not None
        self.males_free = [True] * len(t.males) if males_free is None else males_free
        self.females_free = [True] * len(t.females) if females_free is None else females_free
        self.before = t.means.mean if t.means.living else KinshipRange(0.0, 0.0, 0.0)
        self._for_her: dict[int, list[int]] = {}
        self._for_him: dict[int, list[int]] = {}

    def males_for(self, j: int) -> list[int]:
        """The males that female ``j`` may be given, cheapest first."""
        if j not in self._for_her:
            t = self.t
            able = (i for i, row in enumerate(t.barred) if not row[j])
            self._for_her[j] = sorted(able, key=lambda i: (t.cost[i][j], t.males[i].animal))
        return self._for_her[j]

    def females_for(self, i: int) -> list[int]:
        """The females that male ``i`` may be given, cheapest first."""
        if i not in self._for_him:
            t = self.t
            able = (j for j, reason in enumerate(t.barred[i]) if not reason)
            self._for_him[i] = sorted(able, key=lambda j: (t.cost[i][j], t.females[j].animal))
        return self._for_him[i]

    def of(self, cell: Cell) -> Pair:
        """The pair of a cell that is not barred, with its reasons."""
        (i, j), t = cell, self.t
        male, female = t.males[i], t.females[j]
        f, change = t.f(i, j), self.change(cell)
        mind = [
            w
            for w in (
                sentences.FULL_SIBS if cell in t.full_sibs else "",
                awake_warning(male, female, self.wishes.together, self.wishes.today),
                sentences.costs_days(t.days_missed[i][j]) if t.days_missed[i][j] else "",
                *notes_on(male, female),
            )
            if w
        ]
        crossed = note_on_lines(male, female)
        standing, briefly = self._standing(cell)
        return Pair(
            male.animal,
            female.animal,
            f,
            t.cost[i][j],
            (*standing, *self._why(cell, f, change)),
            (*mind, crossed) if crossed else tuple(mind),
            self._next_male(cell),
            self._next_female(cell),
            change,
            tuple(c.doubt for c in (male, female) if c.doubt),
            standing,
            (*briefly, *mind),
        )

    def change(self, cell: Cell) -> KinshipRange:
        """By how much the group's mean kinship moves when one offspring of the pair joins it."""
        (i, j), t = cell, self.t
        n, first = t.means.living, len(t.males)
        ends = []
        for reading in (LOW, USUAL, MOST):
            now, kinship, mean = self.before.by(reading), t.kinships.by(reading), t.means.by(reading)
            joined = n * n * now + n * (mean[n + i] + mean[n + first + j]) + (1 + kinship[i][first + j]) / 2
            ends.append(joined / (n + 1) ** 2 - now)
        return KinshipRange(min(ends), ends[1], max(ends), t.kinships.exact and t.means.exact)

    def _next_male(self, cell: Cell) -> RunnerUp | None:
        (i, j), t = cell, self.t
        x = _next(self.males_for(j), i)
        if x is None:
            return None
        return RunnerUp(t.males[x].animal, t.cost[x][j] - t.cost[i][j], t.f(x, j), not self.males_free[x])

    def _next_female(self, cell: Cell) -> RunnerUp | None:
        (i, j), t = cell, self.t
        y = _next(self.females_for(i), j)
        if y is None:
            return None
        return RunnerUp(t.females[y].animal, t.cost[i][y] - t.cost[i][j], t.f(i, y), not self.females_free[y])

    def _standing(self, cell: Cell) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """What the male is among those for her: in full, and in a few words."""
        (i, j), t = cell, self.t
        male, female, order = t.males[i], t.females[j].animal, self.males_for(j)
        asked = (sentences.ASKED_FOR,) if (male.animal, female) in self.wishes.forced else ()
        males, place, taken = len(order), order.index(i) + 1, not self.males_free[order[0]]
        level = [x for x in order if x != i and abs(t.cost[x][j] - t.cost[i][j]) < TIE]
        tied = tuple(t.males[x].animal for x in level) if t.cost[i][j] - t.cost[order[0]][j] < TIE else ()
        briefly = sentences.for_her(males, place, tied, better_elsewhere=taken)
        if males == 1:
            said = sentences.only_male(female)
        elif tied:
            said = sentences.tie_for_her(female, tied[0], len(tied), males)
        elif place == 1:
            said = sentences.best_male(female, males)
        else:
            said = sentences.later_male(female, place, males, better_elsewhere=taken, in_plan=self.in_plan)
        return (*asked, said), (*asked, briefly)

    def _why(self, cell: Cell, f: KinshipRange, change: KinshipRange) -> list[str]:
        (i, j), t = cell, self.t
        male, female = t.males[i], t.females[j]
        why = [sentences.f_of_offspring(f.low, f.usual, f.high, exact=f.exact)]
        for k, animal in ((i, male), (len(t.males) + j, female)):
            why.append(
                sentences.mean_kinship(animal.animal, t.mean(k).by(t.reading), self.before.by(t.reading))
            )
        why.append(sentences.change_of_group(change.low, change.high))
        together = awake_words(male, female, self.wishes.together, self.wishes.today)
        if together:
            why.append(together)
        return why


def _next(order: Sequence[int], mine: int) -> int | None:
    """The first of an order that is another."""
    return next((x for x in order if x != mine), None)
