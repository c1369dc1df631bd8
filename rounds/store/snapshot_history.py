"""What rules raised and keepers did, as rows under names: for writing a book out and loading it.

Each table here is one of the book's, with one query that puts names in the place of row
ids: a visit, a walk, an action by its uid, an enclosure by its code, a keeper by name.
Choices of columns are the same for reading and adding, so neither can forget one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.store.models import BY_NAME
from rounds.store.orm import ask, pw


class Part(NamedTuple):
    """One column: ``to`` is what it names (visit, round, enclosure, keeper, action, kind), "" for a plain value."""

    name: str
    to: str = ""


class Kept(NamedTuple):
    """One table of the book; ``order`` are the columns that give back the order it was written in."""

    table: str
    parts: tuple[Part, ...]
    order: tuple[str, ...]


P = Part

KEPT: dict[str, Kept] = {
    "not_seen": Kept("not_seen", (P("round", "round"), P("enclosure", "enclosure")), ("round", "enclosure")),
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
        ("id",),
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
        ("visit", "rule"),
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
        ("id",),
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
        ("id",),
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
        ("round", "seq", "id"),
    ),
}
"""Tables by the name they have as files."""

_NAMES = {
    "visit": ("uid",),
    "round": ("uid",),
    "enclosure": ("code",),
    "keeper": ("name",),
    "action": ("uid",),
    "act": ("uid",),
    "kind": ("reading", "depth"),
}


def history_rows(db: pw.Database, name: str) -> Iterator[dict[str, Any]]:
    """Every row of a table of :data:`KEPT`, in order; ``kind`` is (reading, depth)."""
    kept = KEPT[name]
    table: Any = BY_NAME[kept.table]
    columns: list[Any] = []
    joins: list[tuple[Any, Any]] = []
    for part in kept.parts:
        own = getattr(table, part.name)
        if not part.to:
            columns.append(own)
            continue
        named: Any = BY_NAME[part.to].alias()
        columns += [getattr(named, column) for column in _NAMES[part.to]]
        joins.append((named, named.id == own))
    query = table.select(*columns)
    for named, on in joins:
        query = query.join_from(table, named, pw.JOIN.LEFT_OUTER, on=on)
    for cells in ask(db, query.order_by(*(getattr(table, column) for column in kept.order))):
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
