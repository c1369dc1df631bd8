"""Which animals of the books can breed now, and what hinders the others.

An animal whose readiness nobody recorded and nothing implies is not taken as ready. Days
follow from the books and the species file alone; without either they stay unknown.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping

from rounds.acts import running_trials
from rounds.analysis.pairing import hindrance_sentences as sentences
from rounds.analysis.pairing.pair_sentences import free_once_parted
from rounds.analysis.pairing.restrictions import Candidate
from rounds.due.planned_pairings import open_plans
from rounds.husbandry.locks import of_stage
from rounds.husbandry.species import Species
from rounds.records.label_doubts import doubted
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name, code, name_of
from rounds.records.tables import Animal, Content, Enclosure, Line, Loan, Lock, Lot, Pairing, PairingMale
from rounds.text.cleaning import day_and_year
from rounds.values.spans import FIRST, LAST, Span

GROWN = (Animal.eclosed, Animal.emerged, Animal.first_feed, Animal.mature)
"""Columns of an animal any of which says that it is grown."""


def candidates(
    ledger: Ledger, species: Mapping[str, Species], today: int, left_out: Collection[int] = ()
) -> list[Candidate]:
    """Every grown animal that is alive or missing, with what hinders it from breeding today.

    ``left_out`` are animals the keeper will not breed from now. The species is the first two
    words of the line's Latin name; the rest is the subspecies unless one is recorded.
    """
    books = _Books(ledger, today)
    out = []
    for animal in ledger.rows(Animal):
        if animal.state not in ("alive", "missing") or all(animal.value(c) is None for c in GROWN):
            continue
        line = ledger.row(Line, animal.line)
        latin = line.species.split()
        known = species.get(line.species) or species.get(" ".join(latin[:2]))
        hindered = sentences.LEFT_OUT if animal.id in left_out else books.hindered(animal, known)
        out.append(
            Candidate(
                name_of(ledger, animal),
                animal.sex,
                line.name,
                " ".join(latin[:2]),
                line.subspecies or " ".join(latin[2:]),
                line.locality,
                awake(animal, known),
                hindered,
                books.note(animal),
                books.doubts.get(animal.id, ""),
            )
        )
    return out


def awake(animal: Animal, species: Species | None) -> Span | None:
    """The days a grown animal is, or is likely, active; None where books and species do not tell.

    From its first feed (leaving the cell if that is not recorded, or hardening once rest is
    over) for as long as the species' active life at the most.
    """
    active = species.range("active_days") if species is not None else None
    start = animal.first_feed or animal.emerged
    if start is None and animal.eclosed is not None and species is not None:
        rest = species.range("rest_days")
        start = None if rest is None else animal.eclosed.plus(math.floor(rest.low), math.ceil(rest.high))
    if start is None or active is None or start.earliest <= FIRST or start.latest >= LAST:
        return None
    return Span(start.earliest, start.latest + math.ceil(active.high))


class _Books:
    """What hinders animals, looked up once."""

    def __init__(self, ledger: Ledger, today: int) -> None:
        self.ledger, self.today = ledger, today
        self.box = {
            content.animal: content.enclosure
            for content in ledger.rows(Content, Content.until.is_(None))
            if content.animal is not None
        }
        lent = ledger.rows(Loan, Loan.way.is_("out"), Loan.back.is_(None))
        self.lent = {loan.animal: loan for loan in lent}
        self.paired: dict[int, str] = {}
        running = {pairing.id: pairing for pairing in ledger.rows(Pairing, Pairing.until.is_(None))}
        for pairing in running.values():
            if pairing.female is not None:
                self.paired[pairing.female] = pairing.name
        for member in ledger.rows(PairingMale, PairingMale.until.is_(None)):
            if member.pairing in running:
                self.paired[member.male] = running[member.pairing].name
        self.planned: dict[int, str] = {}
        for plan in open_plans(ledger):
            for one, other in ((plan.female, plan.male), (plan.male, plan.female)):
                self.planned[one] = sentences.planned(animal_name(ledger, other), plan.name)
        self.doubts = doubted(ledger)
        self.tried = running_trials.males(ledger)
        self.locked = [
            lock
            for lock in ledger.rows(Lock, Lock.lifted.is_(None))
            if lock.from_day <= today
            and (lock.until is None or lock.until.latest >= today)
            and "move" in lock.forbids.split()
        ]

    def hindered(self, animal: Animal, species: Species | None) -> str:
        if animal.state == "missing":
            return sentences.MISSING
        if animal.id in self.lent:
            return sentences.on_loan(self.lent[animal.id].owner)
        if animal.promised:
            return sentences.promised(animal.promised)
        if animal.id not in self.box:
            return sentences.NO_ENCLOSURE
        box = self.box[animal.id]
        stage = self.ledger.row(Enclosure, box).stage
        lot = self.ledger.row(Lot, animal.lot) if animal.lot is not None else None
        until = lot.quarantine_until if lot is not None else None
        if until is not None and until >= self.today:
            return sentences.quarantine_until(_day(until))
        if stage == "quarantine":
            return sentences.QUARANTINE
        if animal.id in self.paired and animal.sex != "m":
            return sentences.paired(self.paired[animal.id])
        seat = running_trials.seat(self.ledger, animal.id)
        if seat is not None or animal.id in self.tried:
            return sentences.in_trial(seat.about.name if seat is not None else self.tried[animal.id])
        if animal.id in self.planned:
            return self.planned[animal.id]
        if stage == "laying" and animal.sex == "f":  # in one of stage pairing only an open pairing hinders
            return sentences.laying(code(self.ledger, box))
        if animal.first_feed is None and animal.mature is None:
            return sentences.RESTING
        if why := self.unripe(animal, species):
            return why
        return self._held(animal, box)

    def _held(self, animal: Animal, box: int) -> str:
        """The lock that keeps it where it is, its own or that of others there who are in their cells."""
        for lock in self.locked:
            if lock.animal == animal.id or lock.enclosure == box:
                return sentences.locked(lock.reason)
        own = of_stage(self.ledger.row(Enclosure, box).stage)
        return sentences.locked(own.reason) if own is not None and "move" in own.forbids else ""

    def note(self, animal: Animal) -> str:
        """A male with a female now is free again once they are parted: he can be planned for."""
        if animal.id not in self.paired or animal.sex != "m":
            return ""
        return free_once_parted(name_of(self.ledger, animal), self.paired[animal.id])

    def unripe(self, animal: Animal, species: Species | None) -> str:
        """Why it is not certainly mature today."""
        mature = animal.mature
        if mature is not None and not mature.unknown:
            return "" if mature.latest <= self.today else sentences.not_mature_before(_day(mature.latest))
        days = species.range("mature_days") if species is not None else None
        if days is None or animal.first_feed is None or animal.first_feed.latest >= LAST:
            return sentences.MATURITY_NOT_KNOWN
        ready = animal.first_feed.latest + math.ceil(days.high)
        return "" if ready <= self.today else sentences.not_mature_before(_day(ready))


def _day(day: int) -> str:
    return day_and_year(day) if FIRST < day < LAST else sentences.NOBODY_KNOWS_WHEN
