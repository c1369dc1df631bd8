"""What is asked about before anything is moved: the one place, passed by every act of the registry.

:func:`rounds.acts.registry.plan` calls :func:`doubts` for every act, so a new act cannot forget it.
What is asked about follows from what the act moved (:mod:`rounds.acts.movements`), never from its name.

Quarantine apart, with its own tools, no animal in or out before its end: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts import movement_sentences as sentences
from rounds.acts.act import ActInput
from rounds.acts.act_checks import ActWarning
from rounds.acts.movements import MovedBox, Movements, Mover, movements
from rounds.due.planned_pairings import open_plans
from rounds.husbandry.locks import BY_STAGE, holds
from rounds.husbandry.stages import VACANT
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name, code
from rounds.records.tables import (
    Animal,
    Brood,
    Content,
    Enclosure,
    Line,
    Lock,
    Lot,
    Place,
    PlannedPairing,
    Trial,
    TrialFemale,
)
from rounds.records.whereabouts import inside
from rounds.text.cleaning import day_and_year
from rounds.values.spans import LAST

QUARANTINE = "quarantine"
FIELDS = ("to", "into", "in", "with", "female_to", "male_to", "enclosure", "stage", "on")
"""The field that a doubt is told at: the first of these that the act has."""
SHOWN = 2
"""Open actions whose text is shown; more are counted."""


def doubts(before: Ledger, draft: Draft, given: ActInput) -> list[ActWarning]:
    """What to ask about before this act is recorded; nothing for one that moves nobody."""
    after = draft.ledger
    moved = movements(before, after, draft.changes)
    if not moved:
        return []
    field = next((name for name in FIELDS if name in given.values), "on")
    return [(field, told) for told in dict.fromkeys(_Checks(before, after, moved, given).all())]


class _Checks:
    """The books before and after one act, and what it moved."""

    def __init__(self, before: Ledger, after: Ledger, moved: Movements, given: ActInput) -> None:
        self.before, self.after, self.moved, self.given = before, after, moved, given
        self.day = given.today

    def all(self) -> Iterator[str]:
        known = self.before.table(Enclosure.table)
        for mover in self.moved.movers:
            yield from self._out_of_quarantine(mover)
            if mover.into in known:  # what was made by this very act holds nobody and is promised to nobody
                yield from self._into_quarantine(mover)
                yield from self._species(mover)
                yield from self._promised_to_plan(mover)
            yield from self._locks(mover)
            yield from self._promised_to_trial(mover)
            yield from self._drawn_place(mover)
        for box in dict.fromkeys(mover.into for mover in self.moved.movers if mover.into in known):
            yield from self._actions(box)
        for moved_box in self.moved.boxes:
            yield from self._box(moved_box)
        yield from self._quarantine_left()
        yield from self._beside()
        yield from self._two_plans()

    # Quarantine

    def _into_quarantine(self, mover: Mover) -> Iterator[str]:
        into = self.before.row(Enclosure, mover.into)
        if into.stage == QUARANTINE and inside(self.before, into.id):
            yield sentences.into_quarantine(into.code, self._quarantined_until(into.id))

    def _out_of_quarantine(self, mover: Mover) -> Iterator[str]:
        if mover.came_from is None:
            return
        source = self.before.row(Enclosure, mover.came_from)
        stays = self.after.row(Enclosure, mover.into).stage == QUARANTINE
        if source.stage == QUARANTINE and not stays:
            who = self._who(mover)
            yield sentences.out_of_quarantine(who, source.code, self._quarantined_until(source.id))

    def _quarantine_left(self) -> Iterator[str]:
        for box in self.moved.left_house:
            if self.before.row(Enclosure, box).stage == QUARANTINE:
                yield sentences.out_of_the_house(code(self.before, box))
        for box in self.moved.stages:
            was, now = self.before.row(Enclosure, box), self.after.row(Enclosure, box)
            if was.stage != QUARANTINE or now.stage in VACANT:
                continue
            still = [
                lock.until.latest
                for lock in self.after.rows(Lock, Lock.enclosure.is_(box), Lock.lifted.is_(None))
                if lock.reason == QUARANTINE and lock.until is not None and lock.until.latest >= self.day
            ]
            if still:
                yield sentences.quarantine_not_over(now.code, day_and_year(max(still)))

    def _quarantined_until(self, box: int) -> str:
        lots = {
            lot
            for content in inside(self.before, box)
            for lot in (
                content.lot,
                self.before.row(Animal, content.animal).lot if content.animal is not None else None,
            )
            if lot is not None
        }
        ends = [end for lot in lots if (end := self.before.row(Lot, lot).quarantine_until) is not None]
        return day_and_year(max(ends)) if ends else ""

    def _beside(self) -> Iterator[str]:
        """Pairs of enclosures, one of them in quarantine, that come to stand beside each other by this act."""
        concerned = {
            *(mover.into for mover in self.moved.movers),
            *(moved.box for moved in self.moved.boxes),
            *(self.moved.stages),
        }
        for box in sorted(concerned):
            for other in sorted(_neighbours(self.after, box) - _neighbours(self.before, box)):
                apart = self.after.row(Enclosure, box).stage == QUARANTINE
                mine, theirs = (other, box) if apart else (box, other)
                yield sentences.beside_quarantine(
                    code(self.after, mine),
                    _address(self.after, mine),
                    code(self.after, theirs),
                    _address(self.after, theirs),
                )

    # Where it goes

    def _species(self, mover: Mover) -> Iterator[str]:
        mine = self._species_of(mover.content)
        if not mine:
            return
        there = {
            species
            for content in inside(self.before, mover.into)
            if content.animal is None or content.animal != mover.animal
            if (species := self._species_of(content)) and species != mine
        }
        for species in sorted(there):
            yield sentences.other_species(self._who(mover), mine, code(self.before, mover.into), species)

    def _species_of(self, content: Content) -> str:
        return self.after.row(Line, content.line).species if content.line is not None else ""

    def _locks(self, mover: Mover) -> Iterator[str]:
        """What still forbids to open the box they come into, or to move them out of the one they leave."""
        if mover.into in self.before.table(Enclosure.table):
            yield from self._forbidden(mover.into, ("open",))
        if mover.came_from is not None and not self._emerged(mover):
            yield from self._forbidden(mover.came_from, ("move",))

    def _emerged(self, mover: Mover) -> bool:
        if mover.animal is None:
            return False
        animal = self.after.row(Animal, mover.animal)
        return animal.emerged is not None or animal.first_feed is not None

    def _forbidden(self, box: int, deeds: tuple[str, ...]) -> Iterator[str]:
        stage = self.before.row(Enclosure, box).stage
        own = BY_STAGE.get(stage) if self.after.row(Enclosure, box).stage == stage else None
        name = code(self.before, box)
        for deed in deeds:
            if own is not None and deed in own.forbids:
                yield sentences.locked(name, deed, "", own.reason)
            for lock in self.before.rows(Lock, Lock.enclosure.is_(box), Lock.lifted.is_(None)):
                ended = self.after.row(Lock, lock.id).lifted is not None
                if (
                    ended
                    or deed not in lock.forbids.split()
                    or not holds(self.day, lock.until, lock.from_day)
                ):
                    continue
                end = lock.until
                until = day_and_year(end.latest) if end is not None and end.latest < LAST else ""
                yield sentences.locked(name, deed, until, lock.reason or "no reason given")

    def _actions(self, box: int) -> Iterator[str]:
        texts = self.given.settings.open_actions(box)
        if texts:
            name = code(self.before, box)
            yield sentences.open_actions(name, tuple(texts[:SHOWN]), max(0, len(texts) - SHOWN))

    # Plans and trials

    def _promised_to_plan(self, mover: Mover) -> Iterator[str]:
        into = self.before.row(Enclosure, mover.into)
        for plan in open_plans(self.before, PlannedPairing.enclosure.is_(into.id)):
            if mover.animal not in (plan.female, plan.male):
                yield sentences.promised_to_plan(
                    into.code,
                    plan.name,
                    animal_name(self.before, plan.female),
                    animal_name(self.before, plan.male),
                )

    def _promised_to_trial(self, mover: Mover) -> Iterator[str]:
        into = self.after.row(Enclosure, mover.into)
        if into.place is None:
            return
        for drawn, trial in _drawn(self.before):
            theirs = mover.animal in (drawn.female, drawn.male) if mover.animal is not None else False
            if drawn.place == into.place and not theirs and self._drawn_for(mover.content) != drawn.id:
                yield sentences.promised_to_trial(
                    _address(self.after, into.id), trial.name, animal_name(self.before, drawn.female)
                )

    def _drawn_place(self, mover: Mover) -> Iterator[str]:
        if mover.came_from is not None:
            before = self.before.row(Enclosure, mover.came_from).place
            yield from self._leaves(mover.content, before, self.after.row(Enclosure, mover.into).place)

    def _leaves(self, content: Content, before: int | None, after: int | None) -> Iterator[str]:
        mine = self._drawn_for(content)
        for drawn, trial in _drawn(self.before):
            if drawn.id == mine and drawn.place is not None and before == drawn.place and after != before:
                place = self.before.row(Place, drawn.place).address
                yield sentences.leaves_drawn_place(self._name(content), place, trial.name)

    def _drawn_for(self, content: Content) -> int | None:
        """The draw of a running trial that these offspring belong to."""
        brood = content.brood
        if brood is None and content.animal is not None:
            brood = self.after.row(Animal, content.animal).brood
        seen: set[int] = set()
        while brood is not None and brood not in seen:
            seen.add(brood)
            row = self.after.row(Brood, brood)
            for drawn, _ in _drawn(self.before):
                if row.pairing is not None and drawn.pairing == row.pairing:
                    return drawn.id
            brood = row.parent
        return None

    def _two_plans(self) -> Iterator[str]:
        for id_ in self.moved.plans:
            plan = self.after.row(PlannedPairing, id_)
            others = [
                other.name
                for other in open_plans(self.after, PlannedPairing.enclosure.is_(plan.enclosure))
                if other.id != id_
            ]
            if others and plan.enclosure is not None:
                yield sentences.two_plans(code(self.after, plan.enclosure), others)

    # Boxes that were moved

    def _box(self, moved: MovedBox) -> Iterator[str]:
        row = self.before.row(Enclosure, moved.box)
        there = inside(self.before, moved.box)
        if row.stage == QUARANTINE and there:
            yield sentences.quarantine_box_moved(row.code)
        for content in there:
            yield from self._leaves(content, moved.place_before, moved.place_after)

    # Names

    def _who(self, mover: Mover) -> str:
        return self._name(mover.content)

    def _name(self, content: Content) -> str:
        if content.animal is not None:
            return animal_name(self.after, content.animal)
        if content.brood is not None:
            return self.after.row(Brood, content.brood).name
        return self.after.row(Line, content.line).name if content.line is not None else "?"


def _drawn(ledger: Ledger) -> Iterator[tuple[TrialFemale, Trial]]:
    """What running trials drew and still count on."""
    for drawn in ledger.rows(TrialFemale, TrialFemale.out.is_(None)):
        trial = ledger.row(Trial, drawn.trial)
        if trial.closed is None and not trial.void:
            yield drawn, trial


def _neighbours(ledger: Ledger, box: int) -> set[int]:
    """Enclosures beside this one, so that one of the two is in quarantine, and somebody lives in both.

    Beside is the same slot of a shelf or the next one on either side (common practice, no source).
    """
    if box not in ledger.table(Enclosure.table):
        return set()
    row = ledger.row(Enclosure, box)
    if row.place is None or row.stage in VACANT:
        return set()
    place = ledger.row(Place, row.place)
    found = set()
    for other in ledger.rows(Enclosure):
        if other.id == box or other.place is None or other.stage in VACANT:
            continue
        if (other.stage == QUARANTINE) == (row.stage == QUARANTINE):
            continue
        there = ledger.row(Place, other.place)
        if (there.bay, there.shelf) == (place.bay, place.shelf) and abs(there.slot - place.slot) <= 1:
            found.add(other.id)
    return found


def _address(ledger: Ledger, box: int) -> str:
    place = ledger.row(Enclosure, box).place
    return ledger.row(Place, place).address if place is not None else "?"
