"""A document as one JSON object: its kind and version, the fields of a result, a list for each table."""

from __future__ import annotations

from rounds.reports.cell_values import JsonValue, json_value
from rounds.reports.report import ReportDocument
from rounds.text.cleaning import json_text


def as_json(document: ReportDocument) -> str:
    """JSON text; its shape is what :func:`rounds.reports.json_schema.json_schema` says."""
    return json_text(json_object(document)) + "\n"


def json_object(document: ReportDocument) -> dict[str, JsonValue]:
    """The document as plain data: every declared field and table is there, null or empty if need be."""
    out: dict[str, JsonValue] = {"report": document.kind.name, "version": document.kind.version}
    result = document.result or {}
    out.update({c.name: json_value(c, result.get(c.name)) for c in document.kind.fields})
    for table in filter(lambda t: t.in_json, document.kind.tables):
        rows: list[JsonValue] = []
        for report in document.reports(table.name):
            placed = [(at, column) for at, column in enumerate(report.columns) if column.name]
            for row in report.rows:
                rows.append({column.name: json_value(column, row.cells[at]) for at, column in placed})
        out[table.name] = rows
    return out
