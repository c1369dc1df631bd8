"""Every kind of report there is, by name: what ``rounds help json`` lists the schemas of."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rounds.reports import book_reports, breeding_reports, day_reports, exit_codes, trial_reports
from rounds.reports.json_schema import DIALECT, json_schema
from rounds.reports.report import Kind

_MODULES = (day_reports, book_reports, breeding_reports, trial_reports, exit_codes)


def kinds() -> Mapping[str, Kind]:
    """All of them, sorted by name."""
    found = {v.name: v for m in _MODULES for v in vars(m).values() if isinstance(v, Kind)}
    return dict(sorted(found.items()))


def all_schemas() -> dict[str, Any]:
    """One JSON Schema for whatever ``--as json`` prints: the schema of each kind, by its name."""
    schemas = {name: json_schema(kind) for name, kind in kinds().items()}
    for schema in schemas.values():
        del schema["$schema"]
    return {"$schema": DIALECT, "$defs": schemas, "oneOf": [{"$ref": f"#/$defs/{name}"} for name in schemas]}
