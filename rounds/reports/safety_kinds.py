"""Reports about the book's safety: its backups, and what a checkup finds."""

from __future__ import annotations

from rounds.reports.report import listing_kind
from rounds.reports.report_columns import ReportColumn

BACKUPS = listing_kind(
    "backups",
    "Backups of the book",
    "A backup that was opened again and compared with the book",
    (
        ReportColumn(
            "made", "made", "text", "When it was made, by this machine's clock and zone", always=True
        ),
        ReportColumn("made_ms", "", "whole", "The same", unit="ms since 1970, UTC", always=True),
        ReportColumn("reason", "why", "text", "What it was made before; null after a round"),
        ReportColumn("bytes", "", "whole", "Its size", unit="bytes", always=True),
        ReportColumn("file", "file", "text", "The file", always=True),
    ),
)

CHECKUP = listing_kind(
    "checkup",
    "Checkup",
    "Something that was looked at",
    (
        ReportColumn("check", "what", "text", "What was looked at", always=True),
        ReportColumn("state", "", "text", "How it is", words=("good", "note", "wrong"), always=True),
        ReportColumn("found", "found", "text", "What was found", always=True),
        ReportColumn("to_do", "what to do", "text", "What to do about it"),
    ),
)

SALVAGED = listing_kind(
    "salvaged",
    "What could not be salvaged",
    "Something that is not in the new book as it was written",
    (
        ReportColumn("table", "table", "text", "The table it belongs to", always=True),
        ReportColumn("what", "what", "text", "What is missing or to be looked at", always=True),
    ),
)
