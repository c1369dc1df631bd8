"""Exchanges what was recorded at two boxes while their labels were swapped.

Exchanged is what a keeper saw or did at the box and wrote under its label: weights, matings,
pairings that began, searches and the broods they found, moves, deaths and other ends, dates of a
life, food, substrate, steps of checklists, locks, stages. Not exchanged is what is said of an
animal by its number without a look into the box: its parents, its mark, its promises, plans and
trials; and nothing of any other day. What cannot be told apart is refused, never guessed.
"""

from __future__ import annotations

from collections import Counter
from typing import Any, TypeVar

from rounds.acts import label_sentences as sentences
from rounds.acts.act import ActRefused
from rounds.acts.label_counterparts import FIELD, Counterparts, alone
from rounds.acts.label_ends import Ends
from rounds.acts.label_stages import exchange_stages
from rounds.due.kinds import DUE_KINDS
from rounds.records.column import Column
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import code
from rounds.records.record import Record
from rounds.records.tables import (
    Animal,
    BatchUse,
    Brood,
    Content,
    Due,
    Fewer,
    Loan,
    Lock,
    Mating,
    Pairing,
    PairingMale,
    Protein,
    Search,
    Tick,
    Weight,
)
from rounds.values.spans import Span

R = TypeVar("R", bound=Record)


Written = tuple[type[Record], Column[Any], tuple[Column[Any], ...], bool]
"""Rows written under a label: their table, the column with their day, those that name whom or what, whether it lasts."""

EVENT, LASTS = False, True
WRITTEN: tuple[Written, ...] = (
    (Weight, Weight.made, (Weight.animal, Weight.content), EVENT),
    (Mating, Mating.seen, (Mating.pairing, Mating.male), EVENT),
    (Pairing, Pairing.since, (Pairing.female, Pairing.enclosure), LASTS),
    (PairingMale, PairingMale.since, (PairingMale.pairing, PairingMale.male), LASTS),
    (Search, Search.made, (Search.enclosure,), EVENT),
    (Content, Content.since, (Content.enclosure, Content.animal), LASTS),
    (Protein, Protein.given, (Protein.enclosure,), EVENT),
    (BatchUse, BatchUse.given, (BatchUse.enclosure,), EVENT),
    (Tick, Tick.done, (Tick.enclosure,), EVENT),
    (Lock, Lock.from_day, (Lock.enclosure, Lock.animal), LASTS),
    (Loan, Loan.since, (Loan.animal,), LASTS),
    (Fewer, Fewer.made, (Fewer.content,), EVENT),
)
CAUSES: tuple[tuple[str, type[Record], Column[int], Column[Span | None]], ...] = (
    (DUE_KINDS["next-search"].what, Search, Search.enclosure, Search.made),
    (DUE_KINDS["leftovers"].what, Protein, Protein.enclosure, Protein.given),
)
"""Work that acts write down, and what it follows from: its table, the box and the day."""


class _Exchange:
    def __init__(self, draft: Draft, pairs: Counterparts) -> None:
        self.draft, self.pairs, self.days = draft, pairs, pairs.days
        self.done: Counter[str] = Counter()
        self.touching = 0
        self.left = _left(draft.ledger, pairs)
        # Read before anything is changed, so that no row is exchanged twice.
        self.rows = [
            (written, row)
            for written in WRITTEN
            for row in draft.ledger.rows(written[0])
            if self._is_written(written, row)
        ]

    def _is_written(self, written: Written, row: Record) -> bool:
        _, day, names, lasts = written
        when = row.value(day)
        named = any(self.pairs.other(c.of, row.value(c)) != row.value(c) for c in names)
        self.touching += named and self.days.touches(when)
        return self.days.begins_in(when) if lasts else self.days.holds(when)

    def _known(self, of: type[R]) -> list[R]:
        return list(self.draft.ledger.rows(of))

    def all(self) -> None:
        before = self.draft.ledger
        written = {(row.table, row.id) for _, row in self.rows}
        for what, of, at, cause in CAUSES:
            self._work(what, of, at, cause)
        for one, row in self.rows:
            self._row(one, row)
        for search in (row for _, row in self.rows if isinstance(row, Search)):
            self._found_by(search, before.row(Search, search.id).enclosure)
        self._losses([row for _, row in self.rows if isinstance(row, Fewer)])
        Ends(self.draft, self.pairs, self.done, written, self.left).all()
        self.done["stage_past"] += exchange_stages(self.draft, self.pairs.boxes, self.days)

    def _row(self, written: Written, row: Record) -> None:
        """One row names the other box, the other animal, the other pairing."""
        changed = False
        for column in written[2]:
            named = row.value(column)
            if (column.of, named) in self.pairs.alone:
                raise alone(self.draft.ledger, self.pairs, column.of, named)
            other = self.pairs.other(column.of, named)
            if other != named:
                self.draft.set(column, row.id, other)
                changed = True
        if isinstance(row, Content):
            self._stay(row)
        if changed:
            self.done[row.table] += 1

    def _stay(self, row: Content) -> None:
        """The line is the animal's own; groups that were in the two boxes are not divided here."""
        ledger = self.draft.ledger
        animal = ledger.row(Content, row.id).animal
        if animal is not None:
            self.draft.set(Content.line, row.id, ledger.row(Animal, animal).line)
            return
        for content in self.pairs.contents:
            group = ledger.row(Content, content)
            same = (row.brood, row.lot) == (group.brood, group.lot) and (row.brood, row.lot) != (None, None)
            if group.animal is None and same:
                raise ActRefused.at(FIELD, sentences.group_divided(code(ledger, group.enclosure)))

    def _found_by(self, search: Search, box: int) -> None:
        """Whose eggs a search found, where it was taken for the pairing of the female in the box."""
        here, there = (
            self.pairs.pairing_at.get(box),
            self.pairs.pairing_at.get(self.pairs.boxes.get(box, box)),
        )
        if box not in self.pairs.boxes or here == there or search.pairing != here:
            return
        lines = [None if p is None else self._line(p) for p in (here, there)]
        self.draft.set(Search.pairing, search.id, there)
        for brood in [b for b in self._known(Brood) if b.search == search.id]:
            if brood.pairing == here:
                self.draft.set(Brood.pairing, brood.id, there)
                self.done["brood"] += 1
            if brood.line is not None and brood.line == lines[0] and lines[1] not in (None, lines[0]):
                self._other_line(brood, lines[1])

    def _line(self, pairing: int) -> int | None:
        female = self.draft.ledger.row(Pairing, pairing).female
        return None if female is None else self.draft.ledger.row(Animal, female).line

    def _other_line(self, brood: Brood, line: int | None) -> None:
        """A brood with all that is counted of it is of its mother's line."""
        numbered = next((a for a in self._known(Animal) if a.brood == brood.id), None)
        split = any(b.parent == brood.id for b in self._known(Brood))
        if numbered is not None or split:
            raise ActRefused.at(FIELD, sentences.group_divided(brood.name))
        self.draft.set(Brood.line, brood.id, line)
        for content in [c for c in self._known(Content) if c.brood == brood.id]:
            self.draft.set(Content.line, content.id, line)
        for fewer in [f for f in self._known(Fewer) if f.brood == brood.id]:
            self.draft.set(Fewer.line, fewer.id, line)

    def _losses(self, losses: list[Fewer]) -> None:
        """Those lost from one group were lost from the other: its count is so many less."""
        for fewer in losses:
            group = fewer.content
            other = None if group is None else self.pairs.contents.get(group)
            if group is None or other is None:
                continue
            mine, theirs = (self.draft.ledger.row(Content, id_) for id_ in (group, other))
            if fewer.how == "numbered" or mine.until is not None or theirs.until is not None:
                raise ActRefused.at(FIELD, sentences.group_divided(code(self.draft.ledger, mine.enclosure)))
            if theirs.high is not None and fewer.unsexed > theirs.unsexed:
                raise ActRefused.at(FIELD, sentences.rough_counts(code(self.draft.ledger, theirs.enclosure)))
            for column in (Fewer.line, Fewer.brood, Fewer.lot):
                self.draft.set(column, fewer.id, theirs.value(Content.column(column.name)))
            for name in ("males", "females", "unsexed"):
                lost, column = fewer.value(Fewer.column(name)), Content.column(name)
                if lost > theirs.value(column):
                    raise ActRefused.at(
                        FIELD, sentences.fewer_there(code(self.draft.ledger, theirs.enclosure))
                    )
                self.draft.set(column, mine.id, mine.value(column) + lost)
                self.draft.set(column, theirs.id, theirs.value(column) - lost)
            self._rough(mine, fewer.unsexed)
            self._rough(theirs, -fewer.unsexed)

    def _rough(self, group: Content, more: int) -> None:
        """The upper end of a rough count moves with the lower one, and it is no longer what was typed."""
        if group.high is not None:
            self.draft.set(Content.high, group.id, group.high + more)
            self.draft.set(Content.count_words, group.id, "")

    def _work(self, what: str, of: type[Record], at: Column[int], cause: Column[Span | None]) -> None:
        """Open work goes to the other box with what it follows from, where that is the newest of its kind."""
        moved = []
        for box, other in self.pairs.boxes.items():
            days = [row.value(cause) for row in self.draft.ledger.rows(of, at.is_(box))]
            newest = max((when for when in days if when is not None), default=None)
            if self.days.holds(newest):
                moved += [
                    (due.id, other)
                    for due in self.draft.ledger.rows(Due, Due.enclosure.is_(box), Due.done.is_(None))
                    if due.what == what and not due.asked
                ]
        for due, other in moved:
            self.draft.set(Due.enclosure, due, other)
            self.done["due"] += 1


def _left(ledger: Ledger, pairs: Counterparts) -> set[int]:
    """Animals whose last stay ended on those days."""
    return {
        animal
        for animal in pairs.animals
        for last in [max(ledger.rows(Content, Content.animal.is_(animal)), key=lambda stay: stay.id)]
        if pairs.days.holds(last.until)
    }


def exchange(draft: Draft, pairs: Counterparts) -> tuple[Counter[str], int]:
    """Draft the exchange; how many rows of each table, and how many that may be of those days stay as they are.

    Raises ActRefused where it cannot be told whose something is, or the other cannot have had it.
    """
    made = _Exchange(draft, pairs)
    made.all()
    return made.done, made.touching
