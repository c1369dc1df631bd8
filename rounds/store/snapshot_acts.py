"""Acts and what they changed, with names in the place of row ids: for writing out and loading."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.records.tables import TABLES
from rounds.store.act_models import ActChangeModel, ActModel
from rounds.store.cell_codec import pack, unpack
from rounds.store.orm import ask, pw
from rounds.store.round_models import KeeperModel, VisitModel
from rounds.store.snapshot import Key, keys, raw_rows
from rounds.values.spans import Span

Ids = Mapping[str, Mapping[Any, Any]]
"""By table: row id to key, or key to row id."""


class ActRow(NamedTuple):
    """One act; ``subject`` is the key of a row of ``table`` (None and "" for the house)."""

    uid: bytes
    name: str
    table: str
    subject: Key | None
    given: str  # JSON
    day: int
    at_ms: int
    keeper: str | None
    visit: bytes | None
    sure: bool
    undone_by: bytes | None


class ActChangeRow(NamedTuple):
    """One change; of a new row (``column`` None) ``after`` is a mapping of all its columns."""

    act: bytes
    seq: int
    table: str
    row: Key
    column: str | None
    before: Any
    after: Any


def held_acts(db: pw.Database) -> tuple[list[ActRow], list[ActChangeRow]]:
    """Every act in order, and every change."""
    undoing: Any = ActModel.alias()
    found = list(
        ask(
            db,
            ActModel.select(
                ActModel.uid,
                ActModel.name,
                ActModel.subject_table,
                ActModel.subject,
                ActModel.given,
                ActModel.day,
                ActModel.at_ms,
                KeeperModel.name,
                VisitModel.uid,
                ActModel.sure,
                undoing.uid,
            )
            .join(KeeperModel, pw.JOIN.LEFT_OUTER)
            .switch(ActModel)
            .join(VisitModel, pw.JOIN.LEFT_OUTER)
            .switch(ActModel)
            .join(undoing, pw.JOIN.LEFT_OUTER, on=(undoing.id == ActModel.undone_by))
            .order_by(ActModel.id),
        )
    )
    if not found:
        return [], []
    names = keys({name: raw_rows(db, table) for name, table in TABLES.items()})
    acts = [
        ActRow(
            bytes(r[0]),
            r[1],
            r[2],
            names[r[2]].get(r[3]) if r[2] else None,
            r[4],
            r[5],
            r[6],
            r[7],
            None if r[8] is None else bytes(r[8]),
            bool(r[9]),
            None if r[10] is None else bytes(r[10]),
        )
        for r in found
    ]
    changes = [
        ActChangeRow(
            bytes(uid),
            seq,
            table,
            names[table][row],
            column,
            moved(table, column, unpack(before), names),
            moved(table, column, unpack(after), names),
        )
        for uid, seq, table, row, column, before, after in ask(
            db,
            ActChangeModel.select(
                ActModel.uid,
                ActChangeModel.seq,
                ActChangeModel.table,
                ActChangeModel.row,
                ActChangeModel.column,
                ActChangeModel.before,
                ActChangeModel.after,
            )
            .join(ActModel)
            .order_by(ActChangeModel.act, ActChangeModel.seq),
        )
    ]
    return acts, changes


def moved(table: str, column: str | None, value: Any, ids: Ids) -> Any:
    """A value (of a new row: a mapping of values) with references taken from ``ids``, spans as spans.

    Raises KeyError for a reference or a column that is not there.
    """
    if column is None:
        if value is None:
            return None
        return {name: moved(table, name, v, ids) for name, v in value.items()}
    if value is None or column == "void":
        return value
    kind = next((c for c in TABLES[table].columns if c.name == column), None)
    if kind is None:
        raise KeyError(column)
    if kind.type == "ref":
        return ids[kind.of][value]
    return Span(*value) if kind.type == "span" else value


def stored(table: str, change: ActChangeRow, ids: Ids) -> tuple[str, str]:
    """``before`` and ``after`` as the book keeps them, ``ids`` from key to row id."""
    return tuple(pack(moved(table, change.column, v, ids)) for v in (change.before, change.after))  # type: ignore[return-value]
