"""Planned pairings: which are open, where they are met on a round, and what stands in their way.

A plan is no fact: nobody is moved by it, and nothing that is found out later is refused
because of it. What stands in its way is said, so that it can be waited for or given up.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence

from rounds.due import plan_sentences
from rounds.due.due_index import by, enclosure_of
from rounds.due.kinds import kind_of
from rounds.husbandry import locks
from rounds.husbandry.locks import ActiveLock
from rounds.named_tuple import NamedTuple
from rounds.records.column import Condition
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name, code
from rounds.records.tables import (
    Animal,
    Content,
    Due,
    Enclosure,
    Loan,
    Lock,
    Lot,
    Pairing,
    PairingMale,
    PlannedPairing,
)
from rounds.text.cleaning import day_and_year
from rounds.text.reading_text import after_reading
from rounds.values.spans import FIRST, LAST, Span

OPEN_TO = ("prepared", "empty", "holding", "pairing", "laying", "colony")
"""Stages of an enclosure in which animals can be put together."""

KIND = "planned-pairing"
"""The kind of due work by which a round offers them."""


Reading = tuple[float, float, float]
"""An F: low, the usual reading, at most."""


class AnotherF(NamedTuple):
    """The F of a planned pair as it was when it was chosen, and as it is now."""

    was: Reading
    now: Reading

    @property
    def said(self) -> str:
        return plan_sentences.f_is_another(*self.was, *self.now)


PlansAgain = Callable[[Ledger, Iterable[PlannedPairing]], Mapping[int, AnotherF]]
"""Works plans out again from the parents known by now: those whose F is another, by row id.

Kinship is worked out above this room (rounds.analysis.pairing.plans_again), which hands it down.
"""


def open_plans(ledger: Ledger, *conditions: Condition) -> Iterator[PlannedPairing]:
    """Plans that were neither made nor given up and meet the conditions, by rising id."""
    return ledger.rows(
        PlannedPairing, PlannedPairing.pairing.is_(None), PlannedPairing.dropped.is_(None), *conditions
    )


def homes(ledger: Ledger) -> dict[int, int]:
    """The enclosure each animal with a number is in now."""
    return {
        r.animal: r.enclosure for r in ledger.rows(Content, Content.until.is_(None)) if r.animal is not None
    }


def met_at(plan: PlannedPairing, where: Mapping[int, int]) -> int | None:
    """The enclosure where a round comes upon a plan: hers, else the box it is meant for, else his."""
    for found in (where.get(plan.female), plan.enclosure, where.get(plan.male)):
        if found is not None:
            return found
    return None


def here(ledger: Ledger, enclosure: int) -> list[PlannedPairing]:
    """Open plans of a female in this enclosure, or meant for it, whose animals are both in the house."""
    found = list(open_plans(ledger))
    if not found:
        return []
    where = homes(ledger)
    return [
        plan
        for plan in found
        if enclosure in (where.get(plan.female), plan.enclosure)
        and plan.female in where
        and plan.male in where
    ]


def meant_for(plan: PlannedPairing, where: Mapping[int, int]) -> int | None:
    """The enclosure the two are to be put together in: the one that was chosen, else hers."""
    return plan.enclosure if plan.enclosure is not None else where.get(plan.female)


def window(plan: PlannedPairing) -> Span:
    """From its first day (the day it was chosen unless given) to its last; without one the end is open."""
    first = plan.earliest if plan.earliest is not None else plan.chosen
    first = FIRST if first is None else first
    return Span(first, LAST if plan.latest is None else max(first, plan.latest))


def plan_made(draft: Draft, pairing: int, female: int, males: Collection[int]) -> None:
    """Her open plan with one of these males was carried out as this pairing."""
    for plan in list(open_plans(draft.ledger, PlannedPairing.female.is_(female))):
        if plan.male in males:
            draft.set(PlannedPairing.pairing, plan.id, pairing)
            _close(draft, female, plan_sentences.made(draft.ledger.row(Pairing, pairing).name))


def plan_dropped(draft: Draft, plan: int, day: int, why: str) -> None:
    """It is given up."""
    draft.set(PlannedPairing.dropped, plan, day)
    draft.set(PlannedPairing.dropped_why, plan, why)
    _close(draft, draft.ledger.row(PlannedPairing, plan).female, why)


def _close(draft: Draft, female: int, why: str) -> None:
    """What was put off or ticked was for this plan; put off for good it is not taken for her next one's."""
    for due in list(draft.ledger.rows(Due, Due.animal.is_(female))):
        if kind_of(due.what) == KIND and due.off_until != LAST:
            draft.set(Due.off_until, due.id, LAST)
            draft.set(Due.off_why, due.id, why)


def both(ledger: Ledger, plan: PlannedPairing) -> str:
    """``UMBER/5 × KESTREL/2``: male first, as crosses are written."""
    return f"{animal_name(ledger, plan.male)} × {animal_name(ledger, plan.female)}"


def said(ledger: Ledger, plan: PlannedPairing) -> str:
    """``UMBER/5 × KESTREL/2 (PLAN-01) into TL-011``, and why, for where it is due."""
    into = code(ledger, plan.enclosure) if plan.enclosure is not None else ""
    return plan_sentences.planned(both(ledger, plan), plan.name, into, plan.why)


_ABSENT = {
    "dead": plan_sentences.is_dead,
    "gone": plan_sentences.has_left_the_house,
    "missing": plan_sentences.is_missing,
}


class Hindrances:
    """What stands in the way of plans, looked up once for all of them.

    ``another`` are those whose F is another by now, as far as somebody worked it out.
    """

    def __init__(
        self,
        ledger: Ledger,
        where: Mapping[int, int] | None = None,
        another: Mapping[int, AnotherF] | None = None,
    ) -> None:
        self.ledger = ledger
        self.another = another or {}
        self.where = homes(ledger) if where is None else where
        self.boxes = by(ledger.rows(Lock), enclosure_of)
        self.animals = by(ledger.rows(Lock), lambda lock: lock.animal)
        self.lent = {
            loan.animal: loan.owner for loan in ledger.rows(Loan, Loan.way.is_("out"), Loan.back.is_(None))
        }
        running = {pairing.id: pairing for pairing in ledger.rows(Pairing, Pairing.until.is_(None))}
        self.females = {pairing.female: pairing for pairing in running.values()}
        self.males: dict[int, list[Pairing]] = {}
        for member in ledger.rows(PairingMale, PairingMale.until.is_(None)):
            if member.pairing in running:
                self.males.setdefault(member.male, []).append(running[member.pairing])

    def of(self, plan: PlannedPairing, day: int) -> str:
        """Why a plan cannot be carried out on a day, the plainest reason first; "" when it can."""
        return self.but_for_locks(plan, day) or self._locked(plan, meant_for(plan, self.where), day)

    def but_for_locks(self, plan: PlannedPairing, day: int) -> str:
        """The same, where only a lock stands in the way: ""."""
        box = meant_for(plan, self.where)
        for animal, sex in ((plan.female, "f"), (plan.male, "m")):
            if found := self._absent(animal) or self._not_it(animal, sex):
                return found
        if unconfirmed := self.unconfirmed(plan):
            return plan_sentences.to_confirm(unconfirmed[0])
        for animal in (plan.female, plan.male):
            if found := self._apart(animal, day) or self._taken(animal, box):
                return found
        if box is not None and self._stage(box) not in OPEN_TO:
            return plan_sentences.box_in_stage(code(self.ledger, box), self._stage(box))
        return ""

    def unconfirmed(self, plan: PlannedPairing) -> list[str]:
        """What has become known of the two since they were chosen, which the keeper is asked to confirm."""
        found = self.another.get(plan.id)
        doubts = [
            plan_sentences.may_be_another(animal_name(self.ledger, animal), doubt)
            for animal, doubt in self._doubts(plan)
        ]
        return [*doubts, *([found.said] if found is not None else [])]

    def to_be_confirmed(self, plan: PlannedPairing, day: int) -> bool:
        """Is that all that stands in its way, or the first of it?"""
        return self.of(plan, day) in map(plan_sentences.to_confirm, self.unconfirmed(plan))

    def confirmed_why(self, plan: PlannedPairing, because: str) -> str:
        """Why a plan is meant, once the keeper knows what :meth:`unconfirmed` says: F of now stands first."""
        found = self.another.get(plan.id)
        if found is None:
            why = [plan.why]
        else:
            why = [plan_sentences.f_of_now(*found.now), after_reading(plan.why)]
        doubts = (plan_sentences.meant_all_the_same(doubt) for _, doubt in self._doubts(plan))
        return "; ".join(filter(None, (*why, *doubts, because)))

    def _absent(self, animal: int) -> str:
        name, state = animal_name(self.ledger, animal), self.ledger.row(Animal, animal).state
        if animal in self.lent:
            return plan_sentences.is_lent(name, self.lent[animal])
        if state in _ABSENT:
            return _ABSENT[state](name)
        return "" if animal in self.where else plan_sentences.is_in_no_enclosure(name)

    def _not_it(self, animal: int, sex: str) -> str:
        now = self.ledger.row(Animal, animal).sex
        if now in (sex, "unknown"):
            return ""
        turned = plan_sentences.is_a_male_by_now if now == "m" else plan_sentences.is_a_female_by_now
        return turned(animal_name(self.ledger, animal))

    def _doubts(self, plan: PlannedPairing) -> list[tuple[int, str]]:
        """Labels found to be doubtful after the pair was chosen; what is in its words the keeper knows."""
        both_ = ((animal, self.ledger.row(Animal, animal).doubt) for animal in (plan.female, plan.male))
        return [(animal, doubt) for animal, doubt in both_ if doubt and doubt not in plan.why]

    def _apart(self, animal: int, day: int) -> str:
        name, lot = animal_name(self.ledger, animal), self.ledger.row(Animal, animal).lot
        until = self.ledger.row(Lot, lot).quarantine_until if lot is not None else None
        if until is not None and until >= day:
            return plan_sentences.in_quarantine_until(name, day_and_year(until))
        in_it = self._stage(self.where[animal]) == "quarantine"
        return plan_sentences.in_quarantine(name) if in_it else ""

    def _taken(self, animal: int, box: int | None) -> str:
        name = animal_name(self.ledger, animal)
        if animal in self.females:
            return plan_sentences.in_a_pairing(name, self.females[animal].name)
        # One male may serve two females that stand in one enclosure.
        elsewhere = [p for p in self.males.get(animal, []) if p.enclosure != box]
        return plan_sentences.in_a_pairing(name, elsewhere[0].name) if elsewhere else ""

    def _locked(self, plan: PlannedPairing, box: int | None, day: int) -> str:
        hers, his = self.where[plan.female], self.where[plan.male]
        needs: dict[int, set[str]] = {b: {"open"} for b in (hers, his, box) if b is not None}
        for animal, home in ((plan.female, hers), (plan.male, his)):
            if home != box:
                needs[home].add("move")
                if lock := self._forbidding(_set(self.animals.get(animal, ()), day), {"open", "move"}):
                    return plan_sentences.locked(animal_name(self.ledger, animal), lock)
        for at, what in needs.items():
            in_force = locks.in_force(self._stage(at), _set(self.boxes.get(at, ()), day), day)
            if lock := self._forbidding(in_force, what):
                return plan_sentences.locked(code(self.ledger, at), lock)
        return ""

    def _forbidding(self, held: Sequence[ActiveLock], whats: set[str]) -> str:
        for what in sorted(whats):
            lock = locks.forbidding(held, what)
            if lock is not None:
                return locks.forbids(lock, what)
        return ""

    def _stage(self, box: int) -> str:
        return self.ledger.row(Enclosure, box).stage


def _set(rows: Iterable[Lock], day: int) -> tuple[ActiveLock, ...]:
    return tuple(
        ActiveLock(tuple(lock.forbids.split()), lock.until, lock.reason)
        for lock in rows
        if locks.holds(day, lock.until, lock.from_day, lock.lifted)
    )
