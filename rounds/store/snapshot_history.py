"""What rules raised and keepers did, as rows under names: for writing a book out and loading it.

Each table here is one of the book's, with one query that puts names in the place of row
ids: a visit, a walk, an action by its uid, an enclosure by its code, a keeper by name.
Choices of columns are the same for reading and adding, so neither can forget one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from rounds.store.orm import pw, run


class Part(NamedTuple):
    """One column: ``to`` is what it names (visit, round, enclosure, keeper, action, kind), "" for a plain value."""

    name: str
    to: str = ""


class Kept(NamedTuple):
    """One table of the book; ``order`` are the columns that give back the order it was written in."""

    table: str
    parts: tuple[Part, ...]
    order: str


P = Part

KEPT: dict[str, Kept] = {
    "not_seen": Kept("not_seen", (P("round", "round"), P("enclosure", "enclosure")), "t.round, t.enclosure"),
    "changes": Kept(
        "change",
        (
            P("visit", "visit"),
            P("kind", "kind"),
            P("old"),
            P("new"),
            P("at_ms"),
            P("keeper", "keeper"),
            P("why"),
        ),
        "t.id",
    ),
    "flags": Kept(
        "flag",
        (
            P("visit", "visit"),
            P("rule"),
            P("day"),
            P("level"),
            P("reason"),
            P("todo"),
            P("withheld"),
            P("stands"),
            P("fingerprint"),
        ),
        "t.visit, t.rule",
    ),
    "actions": Kept(
        "action",
        (
            P("uid"),
            P("enclosure", "enclosure"),
            P("rule"),
            P("level"),
            P("reason"),
            P("todo"),
            P("opened"),
            P("opened_visit", "visit"),
            P("state"),
            P("until"),
            P("why"),
            P("cause_gone"),
            P("withheld"),
            P("closed"),
        ),
        "t.id",
    ),
    "action_changes": Kept(
        "action_change",
        (
            P("action", "action"),
            P("visit", "visit"),
            P("at_ms"),
            P("keeper", "keeper"),
            P("state"),
        ),
        "t.id",
    ),
    "steps": Kept(
        "step",
        (
            P("round", "round"),
            P("seq"),
            P("subject"),
            P("kind"),
            P("depth"),
            P("before"),
            P("undone"),
        ),
        "t.round, t.seq, t.id",
    ),
}
"""Tables by the name they have as files."""

_NAMES = {
    "visit": ("visit", "uid"),
    "round": ("round", "uid"),
    "enclosure": ("enclosure", "code"),
    "keeper": ("keeper", "name"),
    "action": ("action", "uid"),
    "act": ("act", "uid"),
}


def history_rows(db: pw.Database, name: str) -> Iterator[dict[str, Any]]:
    """Every row of a table of :data:`KEPT`, in order; ``kind`` is (reading, depth)."""
    kept = KEPT[name]
    select, joins = [], []
    for n, part in enumerate(kept.parts):
        if part.to == "kind":
            select += [f"j{n}.reading", f"j{n}.depth"]
            joins.append(f' LEFT JOIN kind j{n} ON j{n}.id = t."{part.name}"')
        elif part.to:
            table, column = _NAMES[part.to]
            select.append(f"j{n}.{column}")
            joins.append(f' LEFT JOIN "{table}" j{n} ON j{n}.id = t."{part.name}"')
        else:
            select.append(f't."{part.name}"')
    text = f'SELECT {", ".join(select)} FROM "{kept.table}" t{"".join(joins)} ORDER BY {kept.order}'
    for cells in run(db, text):
        at = iter(cells)
        row: dict[str, Any] = {}
        for part in kept.parts:
            value = next(at)
            if part.to == "kind":
                value = (value, next(at))
            row[part.name] = value
        yield row


def plain(row: Mapping[str, Any]) -> tuple[Any, ...]:
    """A row as something two of which can be compared."""
    return tuple(row.values())
