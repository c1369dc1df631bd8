"""What acts of breeding share: doubts asked about at once, locks in the way, work that follows."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from rounds.books.act import Given, Question, Refused
from rounds.books.act_fields import Slip
from rounds.books.acts_common import code, inside, where_is
from rounds.books.ledger import Draft, Ledger
from rounds.husbandry.locks import BY_STAGE, holds
from rounds.husbandry.spans import FIRST, LAST, Span, text

Doubt = tuple[str, str]
"""A field, and a sentence saying what is odd about it."""

PRACTICE = "common practice, no source"


class Window(NamedTuple):
    """Fewest and most days until something is due, and who says so."""

    low: int
    high: int
    source: str

    def __str__(self) -> str:
        return f"{self.low} days" if self.low == self.high else f"{self.low} to {self.high} days"


def refuse(*slips: Slip) -> None:
    """Raise Refused with all slips, if there are any."""
    if slips:
        raise Refused(*slips)


def ask(given: Given, doubts: Iterable[Doubt]) -> None:
    """Raise one Question with all doubts, unless the keeper has said yes."""
    found = list(dict.fromkeys(doubts))
    if found and not given.sure:
        raise Question(found[0][0], " ".join(sentence for _, sentence in found) + " Is that right?")


def barred(ledger: Ledger, box: int, what: tuple[str, ...], given: Given, field: str) -> list[Doubt]:
    """A doubt for each lock of an enclosure, its own or its stage's, that forbids any of ``what``.

    Acts say what was done, so a lock is asked about and never refuses.
    """
    day = last_day(given["on"], given.today)
    out = []
    for _, row in ledger.rows("lock", enclosure=box, lifted=None):
        held = holds(day, row["until"], row["from_day"])
        word = next((w for w in what if w in str(row["forbids"]).split()), "")
        if word and held:
            until = f" until {iso(row['until'].latest)}" if row["until"] is not None else ""
            out.append((field, f"{code(ledger, box)} is locked, do not {word}{until}: {row['reason']}."))
    stage = str(ledger.row("enclosure", box)["stage"])
    own = BY_STAGE.get(stage)
    word = next((w for w in what if own is not None and w in own.forbids), "")
    if own is not None and word:
        out.append((field, f"{code(ledger, box)} is in stage {stage}, do not {word}: {own.reason}."))
    return out


def kept_in(ledger: Ledger, animal: int, given: Given, field: str) -> list[Doubt]:
    """Doubts about taking an animal out of where it is.

    A female that lays is below: she is not got out of a laying enclosure without digging.
    """
    here = where_is(ledger, animal)
    if here is None:
        return []
    box = ledger.row("content", here)["enclosure"]
    below = ledger.row("enclosure", box)["stage"] == "laying" and ledger.row("animal", animal)["sex"] != "m"
    return barred(ledger, box, ("move", "open", *(("dig",) if below else ())), given, field)


def window(given: Given, species: str, value: str, otherwise: tuple[int, int], source: str = PRACTICE) -> Window:  # fmt: skip
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


def species_of(ledger: Ledger, box: int) -> str:
    """The species of whoever is in an enclosure, or that it is for; "" when nobody said."""
    lines = (row["line"] for _, row in inside(ledger, box))
    named = next((str(ledger.row("line", i)["species"]) for i in lines if i is not None), "")
    return named or str(ledger.row("enclosure", box)["species"])


def box_of(ledger: Ledger, animal: int) -> int | None:
    """The enclosure an animal is in now, or None."""
    here = where_is(ledger, animal)
    return None if here is None else int(ledger.row("content", here)["enclosure"])


def last_day(span: Span, today: int) -> int:
    """A single day for what needs one: the latest, never later than today."""
    return min(span.latest, today)


def iso(day: int) -> str:
    return date.fromordinal(day).isoformat()


def words(span: Span) -> str:
    """A span as it was typed, or as plain dates."""
    return text(span)
