"""Tables that can be loaded, and how many rows were loaded or written."""

from __future__ import annotations

from collections.abc import Mapping

from rounds.files.csv_tables import TABLES
from rounds.reports import table_sentences
from rounds.reports.book_kinds import ROW_COUNTS, TABLE_COLUMNS
from rounds.reports.report import ReportDocument, ReportRow, listing


def columns_report() -> ReportDocument:
    """Every column of every table that a folder may hold, under the file it belongs to."""
    rows = []
    for table in TABLES:
        heading = table_sentences.table(table.file, table.meaning, required=table.required)
        for c in table.columns:
            rows.append(
                ReportRow(
                    (table.file, table.meaning, table.required, c.name, c.meaning, c.words, c.required),
                    table_sentences.column(c.name, c.meaning, tuple(c.words), required=c.required),
                    under=(heading,),
                )
            )
    return listing(TABLE_COLUMNS, rows)


def counts_report(counts: Mapping[str, int]) -> ReportDocument:
    """How many rows of each table."""
    return listing(
        ROW_COUNTS, [ReportRow((table, n), table_sentences.rows(table, n)) for table, n in counts.items()]
    )
