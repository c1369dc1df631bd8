"""Due work: what follows from the book and the species files, and what keepers asked for.

Computed work and the due rows of the books are one list without doubles: a row belongs to
the fact it was written for, by its words, its enclosure or animal, and its window. While
such a row is open its dates hold, because a keeper or an act set them on purpose.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rounds.due.due_index import DueIndex, by, enclosure_of
from rounds.due.due_sources import facts
from rounds.due.kinds import DUE_KINDS, REMEMBERED, DueWork, WorkSource, kind_of, window_of
from rounds.due.planned_pairings import AnotherF, Hindrances
from rounds.husbandry import lock_sentences, locks
from rounds.husbandry.locks import ActiveLock
from rounds.husbandry.species import Species
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Ledger
from rounds.records.tables import Due, Enclosure, Lock, PlannedPairing
from rounds.values.spans import LAST, Span


def works(
    ledger: Ledger,
    presets: Mapping[str, Species],
    today: int,
    another: Mapping[int, AnotherF] | None = None,
) -> tuple[DueWork, ...]:
    """All work of the books as of ``today`` (a day): open, put off, and lately done where they say so.

    ``another`` are plans whose F is another by now (rounds.analysis.pairing.plans_again).
    Without a species file for an enclosure only what the books hold is known. Work whose
    window has passed by itself is left out. Keys are unique.
    """
    index = DueIndex(ledger, presets, today)
    found: list[DueWork] = []
    rows = _rows(ledger)
    every = list(facts(index, today - REMEMBERED))
    claimed = _claims(rows, every)
    for n, fact in enumerate(every):
        work = _from_fact(index, fact, claimed.get(n))
        if work is not None:
            found.append(work)
    found += [work for some in rows.values() for work in _from_rows(index, some)]
    held = _Held(index, another)
    kept = [
        w
        for w in _folded(found)
        if not (DUE_KINDS[w.kind].passes and w.window.latest < today)
        and (w.done is None or w.done >= today - REMEMBERED)
    ]
    return tuple(held.told(w, today) if w.done is None else w for w in _apart(kept))


def open_by(found: Iterable[DueWork], until: int) -> list[DueWork]:
    """Work that is not done and can begin by a day (put off: that day)."""
    return [w for w in found if w.done is None and w.begins() <= until]


def at(found: Iterable[DueWork], enclosure: int, until: int) -> list[DueWork]:
    """Open work at one enclosure that can begin by a day, the soonest to end first."""
    mine = [w for w in open_by(found, until) if w.enclosure == enclosure]
    return sorted(mine, key=lambda w: (w.window.latest, w.window.earliest, w.key))


def as_row(work: DueWork) -> Due:
    """The due row that holds this work, so that it can be put off or ticked.

    Written into the books it stands for the same work: the key stays, and nothing is double.
    """
    return Due(
        enclosure=work.enclosure if work.animal is None else None,
        animal=work.animal,
        what=work.what if kind_of(work.what) == work.kind else DUE_KINDS[work.kind].what,
        earliest=work.window.earliest,
        likely=work.likely,
        latest=work.window.latest,
        words=work.window.words,
        why=work.why,
    )


class DueGroup(NamedTuple):
    """The work planned for one day, in shelf order."""

    day: int
    works: tuple[DueWork, ...]


def by_day(found: Iterable[DueWork], today: int, order: Mapping[int, int]) -> list[DueGroup]:
    """Work by the day it is planned for, in ``order`` (position by enclosure id) within a day."""
    days: dict[int, list[DueWork]] = {}
    for work in found:
        days.setdefault(work.planned(today), []).append(work)

    def place(work: DueWork) -> tuple[int, int, str]:
        box = work.enclosure
        return (
            order.get(box, len(order)) if box is not None else len(order) + 1,
            work.window.latest,
            work.key,
        )

    return [DueGroup(day, tuple(sorted(some, key=place))) for day, some in sorted(days.items())]


_Subject = tuple[str, str, int]  # kind, "enclosure" or "animal", id


def _rows(ledger: Ledger) -> dict[_Subject, list[Due]]:
    out: dict[_Subject, list[Due]] = {}
    for due in ledger.rows(Due):
        if due.enclosure is not None:
            out.setdefault((kind_of(due.what), "enclosure", due.enclosure), []).append(due)
        elif due.animal is not None:
            out.setdefault((kind_of(due.what), "animal", due.animal), []).append(due)
    return out


def _claims(rows: dict[_Subject, list[Due]], every: list[WorkSource]) -> dict[int, Due]:
    """The due row that was written for each fact, by the fact's position; those rows are taken out.

    A row with a fact's own window is that fact's before any other's.
    """
    out: dict[int, Due] = {}
    if not rows:
        return out
    for exactly in (True, False):
        fits = _same if exactly else _belongs
        for n, fact in enumerate(every):
            if n in out:
                continue
            for on, id_ in (("animal", fact.animal), ("enclosure", fact.enclosure)):
                some = rows.get((fact.kind, on, id_), []) if id_ is not None else []
                found = next((due for due in some if fits(due, fact) and not _of_another(due, fact)), None)
                if found is not None:
                    some.remove(found)
                    out[n] = found
                    break
    return out


def _of_another(due: Due, fact: WorkSource) -> bool:
    """A row that was closed with an earlier plan of the same female says nothing of this one."""
    return fact.plan is not None and due.off_until is not None and due.off_until >= LAST


def _same(due: Due, fact: WorkSource) -> bool:
    return fact.window is not None and (due.earliest, due.latest) == fact.window[:2]


def _belongs(due: Due, fact: WorkSource) -> bool:
    """A row belongs to a fact when it is about the time after what the fact counts from."""
    if due.done is not None:
        return due.done >= fact.since.earliest and (fact.done is None or due.done <= fact.done)
    window = window_of(due)
    if fact.done is not None:
        return window.earliest <= fact.done and window.latest >= fact.since.earliest
    return window.latest >= fact.since.earliest


def _from_fact(index: DueIndex, fact: WorkSource, due: Due | None) -> DueWork | None:
    subject = _name(index, fact.enclosure, fact.animal)
    key = f"{fact.kind}/{subject}/{fact.anchor}" if fact.anchor != subject else f"{fact.kind}/{subject}"
    if due is not None:
        held = _from_row(due, fact.kind, key, fact.enclosure)
        if held is None:
            return None
        done = held.done if held.done is not None else fact.done
        animal = fact.animal if held.animal is None else held.animal
        return held._replace(animal=animal, done=done, plan=fact.plan, brood=fact.brood)
    if fact.window is None:
        return None
    return DueWork(
        key,
        fact.kind,
        fact.what or DUE_KINDS[fact.kind].what,
        fact.enclosure,
        fact.animal,
        fact.window,
        fact.likely,
        fact.why,
        done=fact.done,
        plan=fact.plan,
        brood=fact.brood,
        shown=fact.shown,
    )


def _from_row(due: Due, kind: str, key: str, at_: int | None) -> DueWork | None:
    """Work held by a due row; None for one that was put off for good."""
    if due.off_until is not None and due.off_until >= LAST:
        return None
    return DueWork(
        key,
        kind,
        due.what,
        due.enclosure if due.enclosure is not None else at_,
        due.animal,
        window_of(due),
        due.likely,
        due.why,
        row=due.id,
        asked=due.asked,
        off_until=due.off_until,
        off_why=due.off_why,
        done=due.done,
    )


def _from_rows(index: DueIndex, some: Iterable[Due]) -> Iterable[DueWork]:
    """Rows that belong to no fact: a keeper's own, and what the books hold beside the presets."""
    for due in some:
        kind = kind_of(due.what)
        at_ = due.enclosure
        if at_ is None and due.animal is not None:
            at_ = index.box_of.get(due.animal)
        key = f"{kind}/{_name(index, due.enclosure, due.animal)}/due"
        work = _from_row(due, kind, key, at_)
        if work is not None:
            yield work


def _name(index: DueIndex, enclosure: int | None, animal: int | None) -> str:
    """What work is keyed by: the animal, which moves, before the enclosure, which it moves between."""
    if animal is not None:
        return index.animal(animal)
    return index.ledger.row(Enclosure, enclosure).code if enclosure is not None else "house"


def _apart(found: list[DueWork]) -> list[DueWork]:
    """Number keys that would be the same, in the order of the books."""
    seen: dict[str, int] = {}
    out = []
    for work in found:
        n = seen[work.key] = seen.get(work.key, 0) + 1
        out.append(work if n == 1 else work._replace(key=f"{work.key}-{n}"))
    return out


def _folded(found: list[DueWork]) -> list[DueWork]:
    """Leave out a lock's end that other work at its enclosure or animal waits for anyway."""
    waits: dict[tuple[str, int], list[Span]] = {}
    for w in found:
        if w.kind != "lock-end" and w.done is None:
            for on, id_ in (("enclosure", w.enclosure), ("animal", w.animal)):
                if id_ is not None:
                    waits.setdefault((on, id_), []).append(w.window)

    def doubled(w: DueWork) -> bool:
        on = ("animal", w.animal) if w.animal is not None else ("enclosure", w.enclosure or 0)
        ends = Span(w.window.earliest, min(w.window.latest + 1, LAST))  # that work may begin the day after
        return any(ends.meet(s) is not None for s in waits.get(on, ()))

    return [w for w in found if w.kind != "lock-end" or w.row is not None or not doubled(w)]


class _Held:
    """The locks of the house, by enclosure and animal, and what stands in the way of plans."""

    def __init__(self, index: DueIndex, another: Mapping[int, AnotherF] | None) -> None:
        self.index, self.another = index, another
        self.boxes = by(index.ledger.rows(Lock), enclosure_of)
        self.animals = by(index.ledger.rows(Lock), lambda lock: lock.animal)
        self.plans: Hindrances | None = None

    def told(self, work: DueWork, today: int) -> DueWork:
        """The same work, with why it is withheld and whether the keeper is asked to confirm it."""
        if work.enclosure is not None:
            work = work._replace(no_digging=self.index.no_digging.get(work.enclosure))
        if work.plan is None:
            return work._replace(withheld=self.withheld(work, today))
        self.plans = self.plans or Hindrances(self.index.ledger, self.index.box_of, self.another)
        plan = self.index.ledger.row(PlannedPairing, work.plan)
        why = self.plans.of(plan, work.planned(today))
        return work._replace(withheld=why, unconfirmed=self.plans.to_be_confirmed(plan, work.planned(today)))

    def withheld(self, work: DueWork, today: int) -> str:
        """Which lock forbids the work on the day it is planned for ("" when none does).

        A lock is named before what only may be so there by then.
        """
        needs = DUE_KINDS[work.kind].needs
        if not needs or work.enclosure is None:
            return ""
        day = work.planned(today)
        box = self.index.ledger.row(Enclosure, work.enclosure)
        rows = list(self.boxes.get(work.enclosure, ()))
        for content in self.index.contents.get(work.enclosure, ()):
            rows += self.animals.get(content.animal, ()) if content.animal is not None else ()
        set_ = [
            ActiveLock(tuple(row.forbids.split()), row.until, row.reason)
            for row in rows
            if _holds(row, work, day)
        ]
        in_force = locks.in_force(box.stage, set_, day, vacated=box.id in self.index.vacated)
        for what in needs:
            lock = locks.forbidding(in_force, what)
            if lock is not None:
                return locks.forbids(lock, what)
        no_digging = self.index.no_digging.get(work.enclosure)
        if "dig" in needs and no_digging is not None and day >= no_digging:
            return lock_sentences.MAY_BE_IN_CELL
        return ""


def _holds(row: Lock, work: DueWork, day: int) -> bool:
    """Is a lock in force on a day, for this work?

    The lock that laying brings along waits for the search: it does not forbid the search
    itself once its own end may have come.
    """
    until = row.until
    if row.lifted is not None or not locks.holds(day, until, row.from_day):
        return False  # planned for a day to come: a lock that was lifted will not hold then
    return not (until is not None and work.kind in ("first-search", "next-search") and until.earliest <= day)
