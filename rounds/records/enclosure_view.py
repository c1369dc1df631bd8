"""The books as the walk shows them: one enclosure, its contents, locks and due work, from a ledger."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from rounds.husbandry import locks as locks_
from rounds.husbandry.locks import ActiveLock
from rounds.husbandry.occupancy import Company, company
from rounds.husbandry.spans import FIRST, LAST, Span
from rounds.records.column import Row
from rounds.records.ledger import Add, Change, Ledger
from rounds.records.observations import DueNotice, EnclosureState, Occupant, Slot
from rounds.records.tables import TABLES


def enclosure(ledger: Ledger, id_: int) -> EnclosureState:
    """The enclosure with who is in it now."""
    row = ledger.row("enclosure", id_)
    place = None
    if row["place"] is not None:
        p = ledger.row("place", row["place"])
        place = Slot(row["place"], p["bay"], p["shelf"], p["slot"])
    return EnclosureState(
        id_, row["code"], row["number"], row["stage"], row["stage_since"], place, row["slot_order"], row["species"],
        contents(ledger, id_), row["litres"], row["note"],
        company_of(ledger, id_),
    )  # fmt: skip


def company_of(ledger: Ledger, id_: int) -> Company:
    """Since when those who are in an enclosure now are together."""
    rows = [r for _, r in ledger.rows("content", enclosure=id_)]
    return company(
        (r["since"] for r in rows if r["until"] is None),
        (r["until"] for r in rows if r["until"] is not None),
    )


def contents(ledger: Ledger, id_: int) -> tuple[Occupant, ...]:
    """Who is in an enclosure now, animals one by one and groups by count."""
    return tuple(
        _content(ledger, row) for _, row in ledger.rows("content", enclosure=id_) if row["until"] is None
    )


def _content(ledger: Ledger, row: Row) -> Occupant:
    if row["animal"] is None:
        line = str(ledger.row("line", row["line"])["name"]) if row["line"] is not None else ""
        return Occupant(
            line, males=row["males"], females=row["females"], unsexed=row["unsexed"], at_least=row["at_least"],
            instar=row["instar"],
        )  # fmt: skip
    animal = ledger.row("animal", row["animal"])
    line = str(ledger.row("line", animal["line"])["name"]) if animal["line"] is not None else ""
    return Occupant(line, animal["number"], animal["sex"])


def locks(ledger: Ledger, id_: int, day: int) -> tuple[ActiveLock, ...]:
    """Locks set on an enclosure, or on an animal in it, that were not lifted and are not over."""
    animals = {r["animal"] for _, r in ledger.rows("content", enclosure=id_) if r["until"] is None}
    out = []
    for _, row in ledger.rows("lock"):
        on_box = row["enclosure"] == id_
        on_animal = row["animal"] is not None and row["animal"] in animals
        until: Span | None = row["until"]
        if (on_box or on_animal) and locks_.holds(day, until, row["from_day"], row["lifted"]):
            who = _content(ledger, {"animal": row["animal"]}).animal if on_animal else ""
            out.append(ActiveLock(tuple(str(row["forbids"]).split()), until, row["reason"], who))
    return tuple(out)


def dues(ledger: Ledger, id_: int, until_day: int) -> tuple[DueNotice, ...]:
    """Work for an enclosure or an animal in it that is not done and begins by ``until_day``.

    Work put off begins on the day it was put off to; a window without an end stays open.
    """
    animals = {r["animal"] for _, r in ledger.rows("content", enclosure=id_, until=None)} - {None}
    out = []
    for row_id, row in ledger.rows("due", done=None):
        at = row["enclosure"]
        if at != id_ and (at is not None or row["animal"] not in animals):
            continue
        earliest, latest = row["earliest"] or FIRST, row["latest"] or LAST
        if max(earliest, row["off_until"] or FIRST) <= until_day:
            who = ""
            if row["animal"] is not None:
                content = _content(ledger, row)
                who = f"{content.line}/{content.animal}"
            window = Span(earliest, latest, row["words"] or "")
            out.append(DueNotice(row_id, id_, row["what"], window, row["likely"], row["why"], who))
    return tuple(sorted(out, key=lambda d: (d.window.earliest, d.id)))


def touched(ledger: Ledger, changes: Iterable[Change]) -> set[int]:
    """Enclosures that changes concern: the ones they name, and those holding animals they name."""
    found: set[int] = set()
    for change in changes:
        values: Mapping[str, Any] = (
            change.values if isinstance(change, Add) else ledger.row(change.table, change.id)
        )
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
                found |= {r["enclosure"] for _, r in ledger.rows("content", animal=animal, until=None)}
        if change.table == "animal":
            found |= {r["enclosure"] for _, r in ledger.rows("content", animal=change.id)}
    return found
