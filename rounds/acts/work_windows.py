"""The windows of due work that acts ask for."""

from __future__ import annotations

import math

from rounds.acts import shared_act_sentences
from rounds.acts.act import ActInput
from rounds.husbandry.life_table import PRACTICE
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Draft
from rounds.records.tables import Due
from rounds.values.spans import FIRST, LAST, Span


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
    said = given.settings.days(species, value) if species and value else None
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
            # That it is to be done at once follows from no species.
            why=shared_act_sentences.days_after(why, str(days), days.source) if days.high > 1 else why,
        )
    )


def due_by(draft: Draft, box: int, what: str, when: Span, days: Window, by: int, why: str) -> int:
    """Ask for ``what`` by a day that somebody named; it begins as usual, or on that day."""
    return draft.add(
        Due(
            enclosure=box,
            what=what,
            earliest=min(by, when.latest + days.low) if days.high else by,
            likely=by,
            latest=by,
            why=why,
        )
    )
