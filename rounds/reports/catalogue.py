"""Every kind of report there is, by name: what ``rounds help json`` lists the schemas of."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rounds.reports import book_kinds, breeding_kinds, day_kinds, exit_codes, trial_kinds
from rounds.reports.json_schema import DIALECT, json_schema
from rounds.reports.report import ReportKind

_MODULES = (day_kinds, book_kinds, breeding_kinds, trial_kinds, exit_codes)


def kinds() -> Mapping[str, ReportKind]:
    """All of them, sorted by name."""
    found = {v.name: v for m in _MODULES for v in vars(m).values() if isinstance(v, ReportKind)}
    return dict(sorted(found.items()))


def all_schemas() -> dict[str, Any]:
    """One JSON Schema for whatever ``--as json`` prints: the schema of each kind, by its name."""
    schemas = {name: json_schema(kind) for name, kind in kinds().items()}
    for schema in schemas.values():
        del schema["$schema"]
    return {"$schema": DIALECT, "$defs": schemas, "oneOf": [{"$ref": f"#/$defs/{name}"} for name in schemas]}
