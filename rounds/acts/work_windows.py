"""The due work that acts ask for, close and put off."""

from __future__ import annotations

import math
from typing import NamedTuple

from rounds.acts import shared_act_sentences
from rounds.acts.act import ActInput
from rounds.records.column import Condition
from rounds.records.ledger import Draft
from rounds.records.tables import Due, Lock
from rounds.values.spans import FIRST, LAST, Span

PRACTICE = "common practice, no source"


class Window(NamedTuple):
    """Fewest and most days until something is due, and who says so."""

    low: int
    high: int
    source: str

    def __str__(self) -> str:
        return shared_act_sentences.days(self.low, self.high)


def window(
    given: ActInput, species: str, value: str, otherwise: tuple[int, int], source: str = PRACTICE
) -> Window:
    """What a species' file says under ``value``, or the usual days where it says nothing."""
    said = given.settings.days(species, value) if species else None
    if said is None:
        return Window(*otherwise, source)
    return Window(math.floor(said[0]), math.ceil(said[1]), said[2])


def due_after(draft: Draft, box: int, what: str, when: Span, days: Window, why: str) -> int | None:
    """Ask for ``what`` some days after ``when``, which may itself be a span.

    An open end of ``when`` gives no day, so its other end is counted from; with neither
    known there is nothing to count from and no work is asked for.
    """
    known = [d for d in (when.earliest, when.latest) if d not in (FIRST, LAST)]
    if not known:
        return None
    first, last = min(known) + days.low, max(known) + days.high
    return draft.add(
        Due(
            enclosure=box,
            what=what,
            earliest=first,
            likely=(first + last) // 2,
            latest=last,
            why=shared_act_sentences.days_after(why, str(days), days.source),
        )
    )


def close_due(draft: Draft, box: int, whats: tuple[str, ...], day: int) -> None:
    """Work of these names at an enclosure was done."""
    for due in list(draft.ledger.rows(Due, Due.enclosure.is_(box), Due.done.is_(None))):
        if due.what in whats:
            draft.set(Due.done, due.id, day)


def drop_dues(draft: Draft, of: Condition, why: str) -> None:
    """Put off for good what is due for an animal or an enclosure that is not there or not used any more."""
    for due in list(draft.ledger.rows(Due, of)):
        if due.done is None and due.off_until != LAST and due.latest is not None:
            draft.set(Due.off_until, due.id, LAST)
            draft.set(Due.off_why, due.id, why)


def lift_all(draft: Draft, of: Condition, today: int) -> None:
    """Lift whatever lock is set on an animal or an enclosure."""
    for lock in list(draft.ledger.rows(Lock, of)):
        if lock.lifted is None:
            draft.set(Lock.lifted, lock.id, today)
