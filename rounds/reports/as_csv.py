"""A document as one CSV table (RFC 4180), safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial
from itertools import islice
from math import isfinite

from rounds.files.cells_out import guarded
from rounds.reports.cell_values import plain_text
from rounds.reports.report import ONE_ROW, Report, ReportDocument, ReportRow
from rounds.reports.report_columns import CellValue, ReportColumn, data_columns

FIGURES = ("what", "value", "low", "high", "how")
"""Columns of a single result as CSV: one figure a row, with its range and how it was found."""

AT_ONCE = 2000
"""Rows that are put into words at a time."""

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


def _written(names: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(names)
    writer.writerows(rows)
    return out.getvalue()


def _table(document: ReportDocument, name: str) -> tuple[tuple[str, ...], Iterator[Sequence[str]]]:
    columns = data_columns(document.kind.table(name).columns)
    rows = (
        row
        for report in document.reports(name)
        for placed in [_placed(report)]
        for left in [iter(report.rows)]
        for some in iter(partial(_next, left), [])
        for row in _rows(placed, some)
    )
    return tuple(c.name for c in columns), rows


def _next(left: Iterator[ReportRow]) -> list[ReportRow]:
    return list(islice(left, AT_ONCE))


def _rows(placed: Sequence[tuple[int, ReportColumn]], rows: Sequence[ReportRow]) -> Iterator[Sequence[str]]:
    """Written column by column: a listing may have millions of cells."""
    return zip(*(_texts(column, [row.cells[at] for row in rows]) for at, column in placed), strict=True)


def _placed(report: Report) -> list[tuple[int, ReportColumn]]:
    return [(at, column) for at, column in enumerate(report.columns) if column.name]


def _texts(column: ReportColumn, values: Sequence[CellValue]) -> list[str]:
    """The cells of a column; the commonest values take a short way."""
    if column.many or column.words:
        return [_cell(column, v) for v in values]
    if column.type == "number":
        return [repr(v) if type(v) is float and isfinite(v) else _cell(column, v) for v in values]
    if column.type == "yesno":
        return ["yes" if v is True else "no" if v is False else _cell(column, v) for v in values]
    if column.type == "text":
        absent = None if not column.always else column  # None in a column that always has a value is told
        return [
            v if type(v) is str and _harmless(v) else "" if v is absent else _cell(column, v) for v in values
        ]
    if column.type == "whole":
        return [str(v) if type(v) is int else _cell(column, v) for v in values]
    return [_cell(column, v) for v in values]


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
