"""Tables that can be loaded, and how many rows were loaded or written."""

from __future__ import annotations

from collections.abc import Mapping

from rounds.files.csv_tables import TABLES
from rounds.reports.book_kinds import ROW_COUNTS, TABLE_COLUMNS
from rounds.reports.report import ReportDocument, ReportRow, listing

REQUIRED = " (required)"


def columns_report() -> ReportDocument:
    """Every column of every table that a folder may hold, under the file it belongs to."""
    rows = []
    for table in TABLES:
        heading = f"{table.file}  {table.meaning}{REQUIRED if table.required else ''}"
        for c in table.columns:
            words = f" [{', '.join(c.words)}]" if c.words else ""
            rows.append(
                ReportRow(
                    (table.file, table.meaning, table.required, c.name, c.meaning, c.words, c.required),
                    f"{c.name:<19}{c.meaning}{words}{REQUIRED if c.required else ''}",
                    under=(heading,),
                )
            )
    return listing(TABLE_COLUMNS, rows)


def counts_report(counts: Mapping[str, int]) -> ReportDocument:
    """How many rows of each table."""
    return listing(ROW_COUNTS, [ReportRow((table, n), f"{table} {n}") for table, n in counts.items()])
