"""What acts share: who is where, moving them, naming rows, days and spans."""

from __future__ import annotations

from typing import Any

from rounds.books.act import Refused
from rounds.books.act_fields import Field, Slip
from rounds.books.ledger import Draft, Ledger, Row
from rounds.husbandry.spans import LAST, Span

ON = Field("on", "span", "when (today unless given)", default="today", past=True)
NOTE = Field("note", "text", "anything else")


def on(day: int) -> Span:
    return Span(day, day)


def where_is(ledger: Ledger, animal: int) -> int | None:
    """The content row of the enclosure an animal is in now, or None."""
    return next((i for i, r in ledger.rows("content", animal=animal) if r["until"] is None), None)


def inside(ledger: Ledger, enclosure: int) -> list[tuple[int, Row]]:
    """The content rows of an enclosure now."""
    return [(i, r) for i, r in ledger.rows("content", enclosure=enclosure) if r["until"] is None]


def leave(draft: Draft, content: int, when: Span) -> None:
    """They are not there any more. Refused when they only came later than that."""
    since = draft.ledger.row("content", content)["since"]
    if since is not None and when.latest < since.earliest:
        raise Refused(Slip("on", "is before they came there.", "Give a later day, or undo the earlier act."))
    draft.set("content", content, "until", when)


def put(draft: Draft, animal: int, enclosure: int, when: Span) -> None:
    """Move an animal into an enclosure; it leaves where it was."""
    living(draft.ledger, animal)
    here = where_is(draft.ledger, animal)
    if here is not None:
        if draft.ledger.row("content", here)["enclosure"] == enclosure:
            return
        leave(draft, here, when)
    draft.add(
        "content",
        enclosure=enclosure,
        animal=animal,
        line=draft.ledger.row("animal", animal)["line"],
        since=when,
    )
    draft.set("animal", animal, "state", "alive")


def living(ledger: Ledger, animal: int, field: str = "animal") -> Row:
    """The animal, which must not be dead or gone."""
    row = ledger.row("animal", animal)
    if row["state"] in ("dead", "gone"):
        said = "is dead" if row["state"] == "dead" else "has left the house"
        raise Refused(
            Slip(field, f"{animal_name(ledger, animal)} {said}.", "Undo that act first if it was wrong.")
        )
    return row


def animal_name(ledger: Ledger, animal: int) -> str:
    """``UMBER/3``."""
    row = ledger.row("animal", animal)
    return f"{ledger.row('line', row['line'])['name']}/{row['number']}"


def code(ledger: Ledger, enclosure: int) -> str:
    return str(ledger.row("enclosure", enclosure)["code"])


def fresh_name(ledger: Ledger, table: str, stem: str) -> str:
    """``stem-01`` and so on: the first running name no row has."""
    taken = {r["name"] for _, r in ledger.rows(table)}
    n = 1
    while f"{stem}-{n:02}" in taken:
        n += 1
    return f"{stem}-{n:02}"


def free_number(ledger: Ledger) -> int:
    """The lowest short number that no enclosure has."""
    taken = {r["number"] for _, r in ledger.rows("enclosure")}
    return next(n for n in range(1, len(taken) + 2) if n not in taken)


def set_stage(draft: Draft, enclosure: int, stage: str, since: Span) -> None:
    """Put an enclosure into a stage from a day on (nothing happens when it is in it already)."""
    row = draft.ledger.row("enclosure", enclosure)
    if row["stage"] != stage:
        draft.add(
            "stage_past", enclosure=enclosure, stage=row["stage"], since=row["stage_since"], until=since
        )
        draft.set("enclosure", enclosure, "stage", stage)
        draft.set("enclosure", enclosure, "stage_since", since)


def lock(draft: Draft, enclosure: int, forbids: str, since: int, until: Span | None, reason: str) -> int:
    return draft.add("lock", enclosure=enclosure, forbids=forbids, from_day=since, until=until, reason=reason)


def lift(draft: Draft, enclosure: int, what: str, day: int) -> int:
    """Lift the enclosure's own locks that forbid ``what``; how many there were."""
    found = [
        i for i, r in draft.ledger.rows("lock", enclosure=enclosure)
        if r["lifted"] is None and what in str(r["forbids"]).split()
    ]  # fmt: skip
    for i in found:
        draft.set("lock", i, "lifted", day)
    return len(found)


def from_until(since: Any, until: Any) -> Span:
    """From the earliest of one span to the latest of the other; an open end stays open."""
    return Span(since.earliest if since else 1, until.latest if until else LAST)


def first_day(span: Span, today: int) -> int:
    """A single day for what needs one: the earliest, never later than today."""
    return min(span.earliest, today)
