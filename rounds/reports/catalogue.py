"""Every kind of report there is, by name: what ``rounds help json`` and ``rounds help reports`` describe."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from rounds.reports import (
    book_kinds,
    breeding_kinds,
    day_kinds,
    exit_codes,
    promises,
    safety_kinds,
    trial_kinds,
)
from rounds.reports.json_schema import DIALECT, json_schema
from rounds.reports.report import ReportDocument, ReportKind, ReportRow, listing
from rounds.reports.report_columns import ReportColumn

_MODULES = (day_kinds, book_kinds, safety_kinds, breeding_kinds, trial_kinds, exit_codes, promises)


def kinds() -> Mapping[str, ReportKind]:
    """All of them, sorted by name."""
    found = {v.name: v for m in _MODULES for v in vars(m).values() if isinstance(v, ReportKind)}
    return dict(sorted(found.items()))


def schema_of(commands: Mapping[str, Iterable[str]]) -> dict[str, Any]:
    """One JSON Schema for whatever these commands print with ``--as json``.

    ``commands`` gives the names of the kinds that each may print. ``$defs`` has the schema of each kind by its
    name, and ``commands`` (which a validator passes over) those of each command. Raises KeyError for a kind there
    is not.
    """
    known = kinds()
    used = sorted({name for names in commands.values() for name in names})
    schemas = {name: json_schema(known[name]) for name in used}
    for schema in schemas.values():
        del schema["$schema"]
    return {
        "$schema": DIALECT,
        "commands": {command: [_pointer(name) for name in names] for command, names in commands.items()},
        "oneOf": [_pointer(name) for name in used],
        "$defs": schemas,
    }


def _pointer(name: str) -> dict[str, str]:
    return {"$ref": f"#/$defs/{name}"}


def fields_report(commands: Mapping[str, Iterable[str]]) -> ReportDocument:
    """Every field of the reports that these commands print, as documentation. Raises KeyError like :func:`schema_of`."""
    known = kinds()
    rows = [
        ReportRow(
            (command, name, kind.version, table, c.name, _type(c), c.unit or None, c.words, c.meaning),
            f"{c.name}  {_type(c)}{f', {c.unit}' if c.unit else ''}: {c.meaning}"
            + (f" ({', '.join(c.words)})" if c.words else ""),
            under=(
                f"rounds {command} --as json",
                f"{name}, version {kind.version}: {kind.meaning}",
                *_within(table),
            ),
        )
        for command, names in commands.items()
        for name in names
        for kind in (known[name],)
        for table, c in _fields(kind)
    ]
    return listing(book_kinds.REPORT_FIELDS, rows)


def _within(table: str | None) -> tuple[str, ...]:
    return () if table is None else (f"{table}, a list of",)


def _fields(kind: ReportKind) -> Iterable[tuple[str | None, ReportColumn]]:
    """Each field with the table it is in (None: in the object itself); fields of an object as ``outer.inner``."""
    columns: list[tuple[str | None, ReportColumn]] = [(None, c) for c in kind.fields]
    columns += [(t.name, c) for t in kind.tables if t.in_json for c in t.columns]
    for table, column in columns:
        if column.name:
            yield table, column
            yield from ((table, inner._replace(name=f"{column.name}.{inner.name}")) for inner in column.of)


def _type(column: ReportColumn) -> str:
    """The type people read: ``text``, ``list of text``, ``text or null``."""
    if column.many:
        return f"list of {column.type}"
    return column.type if column.always else f"{column.type} or null"
