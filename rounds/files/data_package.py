"""The ``datapackage.json`` beside written tables: what each column is, by the Data Package standard.

Frictionless Data specifications, version 1: https://specs.frictionlessdata.io/data-package/
and /table-schema/.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from rounds.files import csv_sentences
from rounds.files.csv_rows import Sink
from rounds.files.csv_tables import BY_NAME, CsvColumn, CsvTable

PACKAGE = "datapackage.json"
LARGEST = 1 << 20

_TYPES = {
    "whole": "integer",
    "count": "integer",
    "held_count": "integer",
    "seed": "integer",
    "row": "integer",
    "decimal": "number",
    "number": "number",
    "yesno": "boolean",
    "day": "date",
}
_PATTERNS = {
    "clock": "([01][0-9]|2[0-3]):[0-5][0-9]",
    "address": "[A-Za-z]{1,4}[0-9]{1,6}-[0-9]{1,6}",
    "bay": "[A-Za-z]{1,4}",
    "uid": "[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}",
}
_KEYED_AS = {"animals": "who", "places": "address"}
"""The one column by which other tables name a row whose key has several."""


def described(title: str, tables: Sequence[CsvTable]) -> dict[str, Any]:
    """The descriptor of a folder that holds these tables."""
    there = {t.name for t in tables}
    return {
        "profile": "tabular-data-package",
        "name": "rounds-book",
        "title": title,
        "description": "The whole book of one house. A ' before = + - @, a tab or a carriage return keeps"
        " spreadsheets from running a text as a formula; loading takes it away again.",
        "resources": [_resource(t, there) for t in tables],
    }


def _resource(table: CsvTable, there: set[str]) -> dict[str, Any]:
    schema: dict[str, Any] = {"fields": [_field(table, c) for c in table.columns], "missingValues": [""]}
    if table.key and all(_required(table, k) for k in table.key):
        schema["primaryKey"] = list(table.key)
    # A place in visits may be the word for nowhere, which is no place.
    foreign = [
        _foreign(c) for c in table.columns if c.of in there and (table.name, c.name) != ("visits", "place")
    ]
    for f in foreign:
        if f["reference"]["resource"] == table.name.replace("_", "-"):
            f["reference"]["resource"] = ""  # the standard's way to say "this very table"
    if foreign:
        schema["foreignKeys"] = foreign
    return {
        "name": table.name.replace("_", "-"),
        "title": table.meaning,
        "path": table.file,
        "profile": "tabular-data-resource",
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "dialect": {
            "delimiter": ",",
            "lineTerminator": "\n",
            "quoteChar": '"',
            "doubleQuote": True,
            "header": True,
        },
        "schema": schema,
    }


def _required(table: CsvTable, name: str) -> bool:
    column = table.column(name)
    return column is not None and (column.required or name == "id")


def _field(table: CsvTable, c: CsvColumn) -> dict[str, Any]:
    field: dict[str, Any] = {"name": c.name, "type": _TYPES.get(c.type, "string"), "description": c.meaning}
    if c.type == "yesno":
        field |= {"trueValues": ["yes"], "falseValues": ["no"]}
    rules: dict[str, Any] = {}
    if _required(table, c.name):
        rules["required"] = True
    if c.type == "word":
        rules["enum"] = list(c.words)
    elif c.type in _PATTERNS and not (table.name == "visits" and c.name == "place"):
        rules["pattern"] = _PATTERNS[c.type]
    elif c.type in ("whole", "row"):
        rules["minimum"] = 1
    elif c.type in ("count", "held_count", "seed", "number", "decimal"):
        rules["minimum"] = 0
    if rules:
        field["constraints"] = rules
    return field


def _foreign(c: CsvColumn) -> dict[str, Any]:
    table = BY_NAME[c.of]
    to = _KEYED_AS.get(table.name) or table.key[0]
    return {"fields": c.name, "reference": {"resource": table.name.replace("_", "-"), "fields": to}}


def listed(folder: Path, sink: Sink) -> list[str]:
    """Files that the folder's own description lists, if it has one; a bad one is a problem."""
    path = folder / PACKAGE
    if not path.is_file():
        return []
    try:
        if path.stat().st_size > LARGEST:
            sink.add(PACKAGE, 0, 0, csv_sentences.PACKAGE_TOO_LARGE, csv_sentences.TAKE_PACKAGE_AWAY)
            return []
        found = json.loads(path.read_bytes())
        names = [r["path"] for r in found["resources"]]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        sink.add(PACKAGE, 0, 0, csv_sentences.NO_PACKAGE, csv_sentences.TAKE_PACKAGE_AWAY)
        return []
    known = {t.file for t in BY_NAME.values()}
    return [n for n in names if isinstance(n, str) and n in known]
