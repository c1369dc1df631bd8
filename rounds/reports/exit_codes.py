"""What every command ends with: the one table of exit codes."""

from __future__ import annotations

from rounds.crash import EXIT_CRASH
from rounds.problems import EXIT_BOOK, EXIT_FINE, EXIT_FOUND, EXIT_INPUT, EXIT_INTERRUPTED
from rounds.reports.report import ReportDocument, ReportRow, listing, listing_kind
from rounds.reports.report_columns import ReportColumn

MEANINGS = {
    EXIT_FINE: "All went well.",
    EXIT_FOUND: "Something was found, and the command was asked to look for it: a rule's case that fails, something wrong at a checkup.",
    EXIT_INPUT: "What was typed, a config file or a table is wrong; nothing was changed.",
    EXIT_BOOK: "The book cannot be opened, read or written.",
    EXIT_CRASH: "A mistake in the program; it says where its report is.",
    EXIT_INTERRUPTED: "You stopped it; `rounds pairings` prints the best plan it has found by then.",
}

KIND = listing_kind(
    "exit-codes",
    "What commands end with",
    "The exit code of every command and what it says",
    (
        ReportColumn("code", "code", "whole", "What the command ends with", always=True),
        ReportColumn("meaning", "meaning", "text", "When it ends with that", always=True),
    ),
)


def exit_codes() -> ReportDocument:
    """The table, ready to print."""
    return listing(KIND, [ReportRow((code, meaning)) for code, meaning in MEANINGS.items()])
