"""A document as one CSV table (RFC 4180), safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from math import isfinite

from rounds.files.cells_out import guarded
from rounds.reports.cell_values import plain_text
from rounds.reports.report import ONE_ROW, Report, ReportDocument
from rounds.reports.report_columns import CellValue, ReportColumn, data_columns

FIGURES = ("what", "value", "low", "high", "how")
"""Columns of a single result as CSV: one figure a row, with its range and how it was found."""

_NUMBERS = ("whole", "number")


def as_csv(document: ReportDocument) -> str:
    """The table that the kind's CSV is made of: a line of names, then a line a row.

    Numbers are in full and never guarded; texts are on one line, without what steers a
    terminal. Every row is of one kind: of several tables the CSV holds the one its kind names.
    """
    kind = document.kind
    if kind.csv == ONE_ROW:
        result = document.result or {}
        cells = [_cell(c, result.get(c.name)) for c in kind.fields]
        return _written([c.name for c in kind.fields], iter([cells]))
    if kind.csv:
        return _written(*_table(document, kind.csv))
    if not kind.tables:
        return _written(FIGURES, _figures(document))
    return _written(*_table(document, kind.tables[0].name))


def _written(names: Sequence[str], rows: Iterator[list[str]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(names)
    writer.writerows(rows)
    return out.getvalue()


def _table(document: ReportDocument, name: str) -> tuple[tuple[str, ...], Iterator[list[str]]]:
    columns = data_columns(document.kind.table(name).columns)
    rows = (
        [write(row.cells[at]) for at, write in writers]
        for report in document.reports(name)
        for writers in [[(at, _writer(column)) for at, column in _placed(report)]]
        for row in report.rows
    )
    return tuple(c.name for c in columns), rows


def _placed(report: Report) -> list[tuple[int, ReportColumn]]:
    return [(at, column) for at, column in enumerate(report.columns) if column.name]


def _writer(column: ReportColumn) -> Callable[[CellValue], str]:
    """What writes the cells of a column; the commonest values take a short way, as a listing may have millions."""
    if column.many or column.words:
        return lambda value: _cell(column, value)
    if column.type == "number":
        return lambda value: repr(value) if type(value) is float and isfinite(value) else _cell(column, value)
    if column.type == "yesno":
        return lambda value: "yes" if value is True else "no" if value is False else _cell(column, value)
    if column.type == "text":
        return lambda value: value if type(value) is str and _harmless(value) else _cell(column, value)
    return lambda value: _cell(column, value)


def _harmless(text: str) -> bool:
    """Is it certain that neither cleaning nor the guard would change it?"""
    return text[:1].isalnum() and text.isascii() and text.isprintable()


def _cell(column: ReportColumn, value: CellValue) -> str:
    text = plain_text(column, value)
    return text if column.type in _NUMBERS and not column.many else guarded(text)


def _figures(document: ReportDocument) -> Iterator[list[str]]:
    """A row for each field that has a value, and one for each of several."""
    for column in document.kind.fields:
        value = (document.result or {}).get(column.name)
        several = value if column.many and isinstance(value, (list, tuple)) else [value]
        for one in several:
            if one is not None:
                yield _figure(column._replace(many=False), one)


def _figure(column: ReportColumn, value: CellValue) -> list[str]:
    if column.type != "object" or not isinstance(value, Mapping):
        return [guarded(column.title), _cell(column, value), "", "", ""]
    cells = {inner.name: _cell(inner, value.get(inner.name)) for inner in column.of}
    first = next(iter(cells))
    rest = [text for name, text in cells.items() if name not in (first, "low", "high") and text]
    return [guarded(column.title), cells[first], cells.get("low", ""), cells.get("high", ""), "; ".join(rest)]
