"""Due work as it is shown at an enclosure and listed at the end of a day."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.due.instructions import line_to_do
from rounds.due.kinds import DueWork
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.observations import DueNotice


def as_due(ledger: Ledger, work: DueWork, enclosure: int) -> DueNotice:
    """Work with the name of its animal; ``id`` is 0 for what follows from the books alone."""
    animal = animal_name(ledger, work.animal) if work.animal is not None else ""
    return DueNotice(
        work.row or 0,
        enclosure,
        work.what,
        work.window,
        work.likely,
        work.why,
        animal,
        work.withheld,
        line_to_do(work.kind),
    )


def likely_cells(works: Iterable[DueWork], day: int) -> frozenset[int]:
    """The enclosures whose larvae may be wandering or in their cells by a day, going by their age."""
    return frozenset(
        w.enclosure
        for w in works
        if w.enclosure is not None and w.no_digging is not None and w.no_digging <= day
    )


def shown(ledger: Ledger, works: Iterable[DueWork], day: int, until: int) -> dict[int, tuple[DueNotice, ...]]:
    """Open work that can begin by ``until`` and is not put off past ``day``, by enclosure.

    The soonest to end comes first. Work at no enclosure is left out.
    """
    found: dict[int, list[DueWork]] = {}
    for work in works:
        if (
            work.enclosure is not None
            and work.done is None
            and work.begins() <= until
            and not work.put_off(day)
        ):
            found.setdefault(work.enclosure, []).append(work)
    return {
        box: tuple(
            as_due(ledger, w, box)
            for w in sorted(some, key=lambda w: (w.window.latest, w.window.earliest, w.key))
        )
        for box, some in found.items()
    }
