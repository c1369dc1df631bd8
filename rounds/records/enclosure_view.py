"""The books as the walk shows them: one enclosure, its contents, locks and due work, from a ledger."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.husbandry import locks as locks_
from rounds.husbandry.locks import ActiveLock
from rounds.husbandry.occupancy import Company, company
from rounds.records.ledger import Add, Change, Ledger
from rounds.records.naming import animal_name
from rounds.records.observations import DueNotice, EnclosureState, Occupant, Slot
from rounds.records.tables import TABLES, Animal, Content, Due, Enclosure, Line, Lock, Place
from rounds.values.spans import FIRST, LAST, Span


def enclosure(ledger: Ledger, id_: int) -> EnclosureState:
    """The enclosure with who is in it now."""
    box = ledger.row(Enclosure, id_)
    place = None
    if box.place is not None:
        stands = ledger.row(Place, box.place)
        place = Slot(stands.id, stands.bay, stands.shelf, stands.slot)
    return EnclosureState(
        id_,
        box.code,
        box.number,
        box.stage,
        box.stage_since,
        place,
        box.slot_order,
        box.species,
        contents(ledger, id_),
        box.litres,
        box.note,
        company_of(ledger, id_),
    )


def company_of(ledger: Ledger, id_: int) -> Company:
    """Since when those who are in an enclosure now are together."""
    ever = list(ledger.rows(Content, Content.enclosure.is_(id_)))
    return company(
        (content.since for content in ever if content.until is None),
        (content.until for content in ever if content.until is not None),
    )


def contents(ledger: Ledger, id_: int) -> tuple[Occupant, ...]:
    """Who is in an enclosure now, animals one by one and groups by count."""
    return tuple(
        _occupant(ledger, content)
        for content in ledger.rows(Content, Content.enclosure.is_(id_))
        if content.until is None
    )


def _occupant(ledger: Ledger, content: Content) -> Occupant:
    if content.animal is not None:
        animal = ledger.row(Animal, content.animal)
        name = ledger.row(Line, animal.line).name
        return Occupant(name, animal.number, animal.sex, instar=content.instar)
    line = ledger.row(Line, content.line).name if content.line is not None else ""
    return Occupant(
        line,
        males=content.males,
        females=content.females,
        unsexed=content.unsexed,
        at_least=content.at_least,
        instar=content.instar,
    )


def locks(ledger: Ledger, id_: int, day: int) -> tuple[ActiveLock, ...]:
    """Locks set on an enclosure, or on an animal in it, that were not lifted and are not over."""
    animals = {
        content.animal
        for content in ledger.rows(Content, Content.enclosure.is_(id_))
        if content.until is None
    }
    out = []
    for lock in ledger.rows(Lock):
        on_box = lock.enclosure == id_
        on_animal = lock.animal is not None and lock.animal in animals
        until: Span | None = lock.until
        if (on_box or on_animal) and locks_.holds(day, until, lock.from_day, lock.lifted):
            who = ledger.row(Animal, lock.animal).number if on_animal else ""
            out.append(ActiveLock(tuple(lock.forbids.split()), until, lock.reason, who))
    return tuple(out)


def dues(ledger: Ledger, id_: int, until_day: int) -> tuple[DueNotice, ...]:
    """Work for an enclosure or an animal in it that is not done and begins by ``until_day``.

    Work put off begins on the day it was put off to; a window without an end stays open.
    """
    animals = {
        r.animal for r in ledger.rows(Content, Content.enclosure.is_(id_), Content.until.is_(None))
    } - {None}
    out = []
    for due in ledger.rows(Due, Due.done.is_(None)):
        at = due.enclosure
        if at != id_ and (at is not None or due.animal not in animals):
            continue
        earliest, latest = due.earliest or FIRST, due.latest or LAST
        if max(earliest, due.off_until or FIRST) <= until_day:
            who = "" if due.animal is None else animal_name(ledger, due.animal)
            window = Span(earliest, latest, due.words or "")
            out.append(DueNotice(due.id, id_, due.what, window, due.likely, due.why, who))
    return tuple(sorted(out, key=lambda d: (d.window.earliest, d.id)))


def touched(ledger: Ledger, changes: Iterable[Change]) -> set[int]:
    """Enclosures that changes concern: the ones they name, and those holding animals they name."""
    found: set[int] = set()
    for change in changes:
        values = change.values if isinstance(change, Add) else ledger.table(change.table)[change.id].values
        if change.table == "enclosure":
            found.add(change.id)
        named = {
            values[c.name]
            for c in TABLES[change.table].columns
            if c.of == "enclosure" and values.get(c.name) is not None
        }
        found |= named
        whom = (
            [] if named and change.table != "plan" else [values.get(c) for c in ("animal", "female", "male")]
        )
        for animal in whom:  # a loan, a lock, work for an animal, a plan for two: where they are now
            if animal is not None:
                found |= {
                    content.enclosure
                    for content in ledger.rows(Content, Content.animal.is_(animal), Content.until.is_(None))
                }
        if change.table == "animal":
            found |= {content.enclosure for content in ledger.rows(Content, Content.animal.is_(change.id))}
    return found
