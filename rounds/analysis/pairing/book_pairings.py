"""Whom to pair now, out of the books: by species, ranked with reasons, and one pair looked at closely.

Pure: a ledger, the species files' values and a day in, plain values out. In a house of
10,000 animals with 150 × 150 that can breed, two shared cores took 0.5 s (pedigree of a
rack: large broods of few parents) to 1.2 s (every animal from a pair of its own) to rank
22,500 pairs, the longest step 0.4 s; 0.02 s to give 40 of them their reasons; 0.2 s to 4 s
to look at one closely (``tests/bench/bench_pairing.py --house``). So each step is told to
``tell``, whose False gives the work up (:class:`~rounds.analysis.pairing.cost_table.GivenUp`),
and pairs are made only when they are looked at. numpy and scipy are imported while it
works, never before.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import overload

from rounds.analysis.pairing import pair_sentences, wish_sentences
from rounds.analysis.pairing.awake_together import awake_warning, last_day_together, out_of_step
from rounds.analysis.pairing.breeding_candidates import candidates
from rounds.analysis.pairing.cost_table import CostTable, Tell, go_on, table
from rounds.analysis.pairing.next_generation import Enough, never
from rounds.analysis.pairing.pairing_plan import PairingPlan, choose, not_in_a_pair
from rounds.analysis.pairing.reasons import Cell, Pair, Reasons, in_order
from rounds.analysis.pairing.restrictions import ANYTHING, Candidate, Wishes
from rounds.analysis.pedigree.ancestor_tree import DEPTH, ancestors, as_text
from rounds.analysis.pedigree.book_pedigree import living, of_book
from rounds.analysis.pedigree.kinship import Between, between
from rounds.analysis.pedigree.pedigree_table import Pedigree
from rounds.husbandry.species import Species
from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem, RoundsError
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.tables import Animal, Line
from rounds.values.spans import iso

ELSE = 5
"""Partners of each animal shown beside a pair that is looked at."""


class Options(NamedTuple):
    """What the keeper sets: wishes, one species (all unless given), animals (row ids) left out now."""

    wishes: Wishes = ANYTHING
    species: str = ""
    left_out: Collection[int] = ()


EVERYTHING = Options()
"""All species, no wishes beyond the barriers."""


class SpeciesGroup(NamedTuple):
    """The candidates of one species, or of those to be crossed, with everything about their pairs.

    ``wishes`` are those of the options that concern them. ``cells`` are the pairs that may
    be made, best first.
    """

    name: str
    candidates: list[Candidate]
    table: CostTable
    wishes: Wishes
    cells: list[Cell]

    def plan(self, tell: Tell | None = None, enough: Enough = never) -> PairingPlan:
        """The best plan of them all together, or the best found once it is ``enough``; needs scipy.

        Raises BadInput, RoundsError, GivenUp.
        """
        return choose(self.table, self.candidates, self.wishes, tell, enough)

    @property
    def left_out(self) -> list[tuple[str, str]]:
        """Grown animals in no pair that may be made, each with why."""
        return not_in_a_pair(self.table, self.candidates, self.cells)

    @property
    def of_unknown_origin(self) -> set[str]:
        """Lines that a pair may cross and of which nobody recorded where they are from."""
        t = self.table
        return {
            c.line
            for i, j in self.cells
            for c in (t.males[i], t.females[j])
            if t.males[i].line != t.females[j].line and c.line and not c.locality
        }

    @property
    def warnings(self) -> list[str]:
        """Lines whose males and females will not be awake together."""
        return out_of_step(self.candidates, self.wishes.together, self.wishes.today)


class Listed(NamedTuple):
    """A pair as it is offered: its number in the list (from 1), of which species, and until when it makes sense.

    Without a last day ``late`` says why there is none; empty where nobody can tell.
    """

    number: int
    species: str
    pair: Pair
    until: int | None
    late: str = ""


class Ranking(Sequence[Listed]):
    """Every pair that may be made, species by species, lowest F first (at most, or the reading asked for); each made when asked for."""

    def __init__(
        self, pedigree: Pedigree, groups: list[SpeciesGroup], warnings: list[Problem], today: int
    ) -> None:
        self.pedigree, self.groups, self.warnings, self.today = pedigree, groups, warnings, today
        self.reasons = [Reasons(g.table, g.wishes) for g in groups]

    def __len__(self) -> int:
        return sum(len(g.cells) for g in self.groups)

    @overload
    def __getitem__(self, at: int) -> Listed: ...
    @overload
    def __getitem__(self, at: slice) -> list[Listed]: ...
    def __getitem__(self, at: int | slice) -> Listed | list[Listed]:
        if isinstance(at, slice):
            return [self[k] for k in range(*at.indices(len(self)))]
        at += len(self) if at < 0 else 0
        group, cell = self.cell(at)
        return self.listed(at + 1, group, self.reasons[group].of(cell))

    def cell(self, at: int) -> tuple[int, Cell]:
        """Which group, and which cell of its table, the pair in this place is."""
        if at < 0:
            raise IndexError(at)
        for k, group in enumerate(self.groups):
            if at < len(group.cells):
                return k, group.cells[at]
            at -= len(group.cells)
        raise IndexError(at)

    def listed(self, number: int, group: int, pair: Pair) -> Listed:
        """A pair of a group under a number, with the last day on which it makes sense."""
        g = self.groups[group]
        male, female = (next(c for c in g.candidates if c.animal == a) for a in (pair.male, pair.female))
        late = awake_warning(male, female, g.wishes.together, self.today)
        until = None if late else _until(male, female, g.wishes.together, self.today)
        return Listed(number, g.name, pair, until, late)


def _until(one: Candidate, other: Candidate, together: int, today: int) -> int | None:
    """The last day from which both may still be awake for ``together`` days; None where nobody can tell."""
    if one.awake is None or other.awake is None:
        return None
    last = last_day_together(one, other) - together + 1
    return last if last >= today else None


def rank(
    ledger: Ledger,
    presets: Mapping[str, Species],
    today: int,
    options: Options = EVERYTHING,
    book: str = "the books",
    tell: Tell | None = None,
) -> Ranking:
    """Who can be paired with whom today, best first.

    ``book`` names the book in problems. Raises BadInput with every problem of the pedigree or
    the wishes, RoundsError for a species nobody is of, GivenUp.
    """
    go_on(tell, pair_sentences.WHO_CAN_BREED)
    found = candidates(ledger, presets, today, options.left_out)
    grouped = _groups(found, options)
    wishes = options.wishes._replace(today=today)
    if wishes.boxes is not None and len(grouped) > 1:
        raise RoundsError(wish_sentences.boxes_of_which_species(wishes.boxes, tuple(grouped)))
    go_on(tell, pair_sentences.PEDIGREE)
    p, problems = of_book(ledger, book)
    if p is None:
        raise BadInput(problems)
    alive = {
        animal_name(ledger, i): str(ledger.row(Line, ledger.row(Animal, i).line).species)
        for i in living(ledger)
    }
    # A wish names animals and lines of one species; each group is told only what is about its own.
    asked = _Asked(wishes, grouped)
    groups = []
    for name, some in grouped.items():
        kinds = {c.species for c in some}
        group = [n for n, latin in alive.items() if " ".join(latin.split()[:2]) in kinds]
        if group:
            mine = asked.of(some)
            grown = {c.animal for c in some}
            young = [n for n in group if n not in grown]
            t = table(p, some, group, mine, _within(tell, name), stay=young)
            groups.append(SpeciesGroup(name, some, t, mine, in_order(t)))
    return Ranking(p, groups, problems, today)


def _within(tell: Tell | None, name: str) -> Tell | None:
    return None if tell is None else lambda words: tell(pair_sentences.within_species(name, words))


def _groups(found: list[Candidate], options: Options) -> dict[str, list[Candidate]]:
    groups: dict[str, list[Candidate]] = {}
    for c in found:
        groups.setdefault(c.species or pair_sentences.NO_SPECIES, []).append(c)
    wanted = options.species
    if wanted:
        if wanted not in groups:
            raise RoundsError(wish_sentences.nobody_of_species(wanted, tuple(groups)))
        return {wanted: groups[wanted]}
    together = "species" in options.wishes.across
    return {", ".join(groups): found} if together and found else groups


class _Asked:
    """Wishes divided over the species; what fits none stays in all, so that it is refused with its name."""

    def __init__(self, wishes: Wishes, groups: Mapping[str, list[Candidate]]) -> None:
        self.wishes = wishes
        self.known = {c.animal for some in groups.values() for c in some}
        self.known |= {c.line for some in groups.values() for c in some}

    def of(self, some: list[Candidate]) -> Wishes:
        w = self.wishes
        here = {c.animal for c in some} | {c.line for c in some}

        def mine(*names: str) -> bool:
            return any(n in here or n not in self.known for n in names)

        return w._replace(
            uses_of={m: n for m, n in w.uses_of.items() if mine(m)},
            apart=tuple(x for x in w.apart if mine(*x)),
            cross=tuple(x for x in w.cross if mine(*x[:2])),
            forced=tuple(x for x in w.forced if mine(*x)),
            forbidden=tuple(x for x in w.forbidden if mine(*x)),
        )


class PairDetails(NamedTuple):
    """One pair looked at closely.

    ``tree`` is the ancestors of both as lines of text, those of both marked ``*``;
    ``kinship`` where the F of their offspring comes from. ``for_her`` and ``for_him`` are
    the best pairs of each of the two with others, best first.
    """

    listed: Listed
    tree: list[str]
    kinship: Between
    for_her: list[Pair]
    for_him: list[Pair]


def look(
    ranking: Ranking,
    at: int,
    depth: int = DEPTH,
    most: int = ELSE,
    tell: Callable[[str], object] | None = None,
) -> PairDetails:
    """The pair in place ``at`` (from 0) of a ranking. Raises IndexError, GivenUp."""
    listed = ranking[at]
    group, (i, j) = ranking.cell(at)
    give = ranking.reasons[group]
    go_on(tell, pair_sentences.COMMON_ANCESTORS)
    pair = (listed.pair.male, listed.pair.female)
    tree = as_text(ancestors(ranking.pedigree, pair, depth))
    found = between(ranking.pedigree, *pair)
    hers = [give.of((x, j)) for x in give.males_for(j) if x != i][:most]
    his = [give.of((i, y)) for y in give.females_for(i) if y != j][:most]
    return PairDetails(listed, tree, found, hers, his)


def as_act(listed: Listed, box: str = "") -> tuple[str, dict[str, str]]:
    """Choosing a pair, as the act ``plan-pair``: the animal it is recorded for, and its fields as typed."""
    pair = listed.pair
    typed = {"with": pair.male, "because": because(pair)}
    if listed.until is not None:
        typed["until"] = iso(listed.until)
    if box:
        typed["box"] = box
    return pair.female, typed


def because(pair: Pair) -> str:
    """Why a pair was chosen, in one line that still says it in a year."""
    f = pair.f
    said = [pair_sentences.chosen_for(f.low, f.usual, f.high), *pair.standing, *pair.doubts]
    for second, whose in ((pair.runner_up, "her"), (pair.for_him, "his")):
        if second is not None:
            said.append(pair_sentences.next_best(whose, second.animal, second.f.high, second.more))
    return "; ".join(said)
