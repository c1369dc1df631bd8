"""Exchanges what ended, and what happened in a life, while the labels of two boxes were swapped."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any, TypeVar

from rounds.acts import label_sentences as sentences
from rounds.acts.act import ActRefused
from rounds.acts.label_counterparts import FIELD, Counterparts, alone, name_of_content
from rounds.records.column import Column
from rounds.records.ledger import Draft
from rounds.records.naming import animal_name
from rounds.records.record import Record
from rounds.records.tables import Animal, Content, Loan, Lock, Pairing, PairingMale, TrialFemale
from rounds.values.spans import Span, told

R = TypeVar("R", bound=Record)

LIFE = (
    Animal.born,
    Animal.wandering,
    Animal.cell,
    Animal.eclosed,
    Animal.emerged,
    Animal.first_feed,
    Animal.mature,
    Animal.mark_lost,
)
"""Dates of a life that somebody reads off the animal in the box."""


class Ends:
    """``written`` are rows that began on those days: they name the other already, with their end."""

    def __init__(
        self,
        draft: Draft,
        pairs: Counterparts,
        done: Counter[str],
        written: set[tuple[str, int]],
        left: set[int],
    ) -> None:
        self.draft, self.pairs, self.days = draft, pairs, pairs.days
        self.done, self.written, self.left = done, written, left

    def all(self) -> None:
        self._ends(self.written)
        self._lives()

    def _known(self, of: type[R]) -> list[R]:
        return list(self.draft.ledger.rows(of))

    # Ends of what had begun before

    def _ends(self, written: set[tuple[str, int]]) -> None:
        ledger = self.draft.ledger
        for content, other in self._once(self.pairs.contents):
            if ("content", content) not in written and ("content", other) not in written:
                self._end(Content.until, content, other, name_of_content(ledger, content), "content")
        for pairing, other in self._once(self.pairs.pairings):
            for column in (Pairing.until, Pairing.mated):
                self._end(column, pairing, other, ledger.row(Pairing, pairing).name, "pairing")
        partners = {(p.pairing, p.male): p.id for p in self._known(PairingMale)}
        for (pairing, male), id_ in partners.items():
            if ("pairing_male", id_) in written:
                continue
            twin = partners.get((self.pairs.pairings.get(pairing, 0), self.pairs.animals.get(male, 0)))
            if twin is None or (id_ < twin and ("pairing_male", twin) not in written):
                self._end_of_partner(id_, twin, pairing, male)
        for stay in (id_ for table, id_ in self.pairs.alone if table == "content"):
            self._end(Content.until, stay, None, name_of_content(ledger, stay), "content")
        for pairing in (id_ for table, id_ in self.pairs.alone if table == "pairing"):
            self._end(Pairing.until, pairing, None, ledger.row(Pairing, pairing).name, "pairing")
        for loan in self._known(Loan):
            if (
                loan.animal in self.pairs.animals
                and self.days.holds(loan.back)
                and ("loan", loan.id) not in written
            ):
                raise ActRefused.at(FIELD, sentences.one_of_them_ended(animal_name(ledger, loan.animal)))
        for seat in self._known(TrialFemale):
            if seat.female in self.pairs.animals and self.days.holds(seat.out):
                raise ActRefused.at(FIELD, sentences.left_a_trial(animal_name(ledger, seat.female)))
        self._locks(written)

    def _end_of_partner(self, id_: int, twin: int | None, pairing: int, male: int) -> None:
        if twin is not None or male in self.pairs.animals or pairing in self.pairs.pairings:
            self._end(PairingMale.until, id_, twin, animal_name(self.draft.ledger, male), "pairing_male")

    def _once(self, pairs: dict[int, int]) -> Iterator[tuple[int, int]]:
        return ((one, other) for one, other in pairs.items() if one < other)

    def _end(self, column: Column[Span | None], one: int, other: int | None, who: str, table: str) -> None:
        """Exchange two days of which at least one is of those days; the other must not be of another day."""
        of = self.draft.ledger.table(column.table)
        mine: Span | None = of[one].value(column)
        theirs: Span | None = None if other is None else of[other].value(column)
        if not self.days.holds(mine) and not self.days.holds(theirs):
            return
        if other is None or not all(when is None or self.days.holds(when) for when in (mine, theirs)):
            raise ActRefused.at(FIELD, sentences.one_of_them_ended(who))
        self.draft.set(column, one, theirs)
        self.draft.set(column, other, mine)
        self.done[table] += mine != theirs

    def _locks(self, written: set[tuple[str, int]]) -> None:
        """A lock that was lifted, and the same lock of the other box."""
        box, other = next(self._once(self.pairs.boxes))
        locks = [lock for lock in self._known(Lock) if ("lock", lock.id) not in written]
        for mine in [lock for lock in locks if lock.enclosure == box]:
            same = [
                o
                for o in locks
                if o.enclosure == other and (o.forbids, o.reason) == (mine.forbids, mine.reason)
            ]
            if len(same) != 1 or not (self.days.holds(mine.lifted) or self.days.holds(same[0].lifted)):
                continue
            if all(day is None or self.days.holds(day) for day in (mine.lifted, same[0].lifted)):
                self.draft.set(Lock.lifted, mine.id, same[0].lifted)
                self.draft.set(Lock.lifted, same[0].id, mine.lifted)
                self.done["lock"] += mine.lifted != same[0].lifted

    # The animals themselves

    def _lives(self) -> None:
        for one, other in self._once(self.pairs.animals):
            for column in LIFE:
                self._date(column, one, other)
            self._end_of_life(one, other)
        for table, id_ in self.pairs.alone:
            if table == "animal":
                ledger = self.draft.ledger
                row = ledger.row(Animal, id_)
                if any(self.days.holds(row.value(c)) for c in (*LIFE, Animal.died)):
                    raise alone(ledger, self.pairs, table, id_)

    def _date(self, column: Column[Span | None], one: int, other: int) -> None:
        ledger = self.draft.ledger
        dates = {id_: ledger.row(Animal, id_).value(column) for id_ in (one, other)}
        if not any(self.days.holds(when) for when in dates.values()):
            return
        for id_, when in dates.items():
            if when is not None and not self.days.holds(when):
                who = animal_name(ledger, id_)
                raise ActRefused.at(FIELD, sentences.known_outside(who, column.meaning, told(when)))
        self.draft.set(column, one, dates[other])
        self.draft.set(column, other, dates[one])
        self.done["animal"] += 1

    def _end_of_life(self, one: int, other: int) -> None:
        """Dead, gone or missing since one of those days."""
        ledger = self.draft.ledger
        ended = {id_: self._ended(id_) for id_ in (one, other)}
        if not any(ended.values()):
            return
        rows = {id_: ledger.row(Animal, id_) for id_ in (one, other)}
        for id_, row in rows.items():
            if row.state != "alive" and not ended[id_]:
                raise ActRefused.at(FIELD, sentences.ended_outside(animal_name(ledger, id_), row.state))
        columns: tuple[Column[Any], ...] = (Animal.state, Animal.died, Animal.last_seen, Animal.cause)
        if any(row.state == "gone" and row.owner for row in rows.values()):
            columns = (*columns, Animal.owner)
        for column in columns:
            mine, theirs = rows[one].value(column), rows[other].value(column)
            self.draft.set(column, one, theirs)
            self.draft.set(column, other, mine)
        self.done["animal"] += 1

    def _ended(self, animal: int) -> bool:
        """Did it leave, or die, on one of those days? Read off its stays as they were before."""
        row = self.draft.ledger.row(Animal, animal)
        return row.state != "alive" and (self.days.holds(row.died) or animal in self.left)
