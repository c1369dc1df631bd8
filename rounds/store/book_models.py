"""The tables that acts write, as models made from the one registry of them.

Every column follows from its type there: a span is three columns, what has a default has it
in the database too, what is part of a row's name or a text without a default is never NULL.
References are written beside their column, so that a later step that appends a column makes
the very same table as a new book has. ``void`` marks rows that an undone act had added; a
name must be unique among the others only.
"""

from __future__ import annotations

from typing import Any

from rounds.records.column import Column
from rounds.records.record import Record
from rounds.records.tables import TABLES
from rounds.store.model_columns import crc
from rounds.store.orm import pw

_NEEDED = {("enclosure", "number"), ("content", "enclosure"), ("lock", "from_day")}
"""Columns that no row does without, besides names and texts."""

_UNIQUE = {"enclosure": (("number",),)}
"""Columns that tell rows apart besides the table's key."""

_INDEXED = (
    ("content", "enclosure"),
    ("content", "animal"),
    ("lock", "enclosure"),
    ("lock", "animal"),
    ("due", "enclosure"),
)
"""References by which single rows are looked up; acts read whole tables instead."""

_FIELDS: dict[str, Any] = {
    "text": pw.TextField,
    "whole": pw.IntegerField,
    "number": pw.DoubleField,
    "yesno": pw.BooleanField,
    "day": pw.IntegerField,
    "ref": pw.IntegerField,
}


def _field(table: type[Record], column: Column[Any]) -> Any:
    named = column.name in table.key or (table.table, column.name) in _NEEDED
    null = column.default is None and not named and column.type != "text"
    rules = []
    if column.default is not None:
        rules.append(pw.SQL(f"DEFAULT {_literal(column.default)}"))
    if column.type == "ref":
        rules.append(pw.SQL(f'REFERENCES "{column.of}" ("id")'))
    return _FIELDS[column.type](null=null, constraints=rules, index=(table.table, column.name) in _INDEXED)


def _literal(value: object) -> str:
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    return "'" + value.replace("'", "''") + "'" if isinstance(value, str) else str(value)


def _model(table: type[Record]) -> type[pw.Model]:
    fields: dict[str, Any] = {"void": pw.BooleanField(constraints=[pw.SQL("DEFAULT FALSE")])}
    for column in table.columns:
        if column.type == "span":
            fields[f"{column.name}_earliest"] = pw.IntegerField(null=True)
            fields[f"{column.name}_latest"] = pw.IntegerField(null=True)
            fields[f"{column.name}_words"] = pw.TextField(null=True)
        else:
            fields[column.name] = _field(table, column)
    fields["crc"] = crc()
    # An index is named after the table, not after the class.
    meta = type("Meta", (), {"table_name": table.table, "legacy_table_names": False})
    made: Any = type(
        f"{table.__name__}Model", (pw.Model,), {**fields, "Meta": meta, "__doc__": table.meaning}
    )
    for columns in ((table.key,) if table.key else ()) + _UNIQUE.get(table.table, ()):
        made.add_index(
            *(getattr(made, c) for c in columns),
            unique=True,
            where=pw.SQL('NOT "void"'),
            name="_".join((table.table, *columns)),
        )
    found: type[pw.Model] = made
    return found


RECORD_MODELS: dict[str, type[pw.Model]] = {name: _model(table) for name, table in TABLES.items()}
"""The model of every table of the registry, by name."""
