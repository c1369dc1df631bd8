"""The due work that acts ask for, close and put off."""

from __future__ import annotations

import math
from typing import NamedTuple

from rounds.acts.act import ActInput
from rounds.husbandry.spans import FIRST, LAST, Span
from rounds.records.ledger import Draft

PRACTICE = "common practice, no source"


class Window(NamedTuple):
    """Fewest and most days until something is due, and who says so."""

    low: int
    high: int
    source: str

    def __str__(self) -> str:
        return f"{self.low} days" if self.low == self.high else f"{self.low} to {self.high} days"


def window(given: ActInput, species: str, value: str, otherwise: tuple[int, int], source: str = PRACTICE) -> Window:  # fmt: skip
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
        "due", enclosure=box, what=what, earliest=first, likely=(first + last) // 2, latest=last,
        why=f"{why}; {days} on ({days.source})",
    )  # fmt: skip


def close_due(draft: Draft, box: int, whats: tuple[str, ...], day: int) -> None:
    """Work of these names at an enclosure was done."""
    for i, row in list(draft.ledger.rows("due", enclosure=box, done=None)):
        if row["what"] in whats:
            draft.set("due", i, "done", day)


def drop_dues(draft: Draft, today: int, why: str, **of: int) -> None:
    """Put off for good what is due for somebody or something that is not there any more."""
    for i, row in list(draft.ledger.rows("due", **of)):
        if row["done"] is None and row["off_until"] != LAST and row["latest"] is not None:
            draft.set("due", i, "off_until", LAST)
            draft.set("due", i, "off_why", why)
    for i, row in list(draft.ledger.rows("lock", **of)) if "animal" in of else []:
        if row["lifted"] is None:
            draft.set("lock", i, "lifted", today)
