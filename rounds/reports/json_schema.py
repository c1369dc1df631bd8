"""The JSON Schema (draft 2020-12) of a kind of report, from the columns it declares."""

from __future__ import annotations

from typing import Any

from rounds.reports.report import ReportKind
from rounds.reports.report_columns import ReportColumn, data_columns

DIALECT = "https://json-schema.org/draft/2020-12/schema"

_DAY = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
_TYPES: dict[str, dict[str, Any]] = {
    "text": {"type": "string"},
    "whole": {"type": "integer"},
    "number": {"type": "number"},
    "day": {"type": "string", "format": "date"},
    "span": {"type": "string", "pattern": rf"^({_DAY}|\.\.)/({_DAY}|\.\.)$"},
    "yesno": {"type": "boolean"},
    "mapping": {"type": "object", "additionalProperties": {"type": ["string", "number", "null"]}},
}


def json_schema(kind: ReportKind) -> dict[str, Any]:
    """What the JSON of this kind looks like; every field is always there, and there are no others."""
    properties: dict[str, Any] = {
        "report": {"const": kind.name},
        "version": {"const": kind.version, "description": "grows when a field goes or changes its meaning"},
        **{c.name: _field(c) for c in kind.fields},
    }
    for table in filter(lambda t: t.in_json, kind.tables):
        rows = _object(data_columns(table.columns))
        properties[table.name] = {"type": "array", "description": table.meaning, "items": rows}
    return {
        "$schema": DIALECT,
        "title": kind.title,
        "description": kind.meaning,
        **_closed(properties),
    }


def _closed(properties: dict[str, Any]) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": properties,
        "required": list(properties),
        "additionalProperties": False,
    }


def _object(columns: tuple[ReportColumn, ...]) -> dict[str, Any]:
    return _closed({c.name: _field(c) for c in columns})


def _field(column: ReportColumn) -> dict[str, Any]:
    unit = f" ({column.unit})" if column.unit else ""
    about = {"description": f"{column.meaning}{unit}"}
    one = _one(column)
    return {**about, "type": "array", "items": one} if column.many else {**about, **one}


def _one(column: ReportColumn) -> dict[str, Any]:
    made = _object(column.of) if column.type == "object" else dict(_TYPES[column.type])
    if column.words:
        made["enum"] = [*column.words, *([] if column.always else [None])]
    if not column.always:
        made["type"] = [made["type"], "null"]
    return made
