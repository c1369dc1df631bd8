"""The option ``--as``, and how a document gets to standard output."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rounds.reports.rendering import FORMS

if TYPE_CHECKING:
    from rounds.reports.report import ReportDocument

AS = click.option(
    "--as", "form", type=click.Choice(FORMS), default="text", show_default=True, help="Form of the output."
)
"""Every command that lists something takes it."""

FOR_PROGRAMS = ("csv", "json")
"""Forms in which an empty list is an answer, not something to be told."""


def print_document(document: ReportDocument, form: str) -> None:
    """Print a document as UTF-8, whatever the terminal's own encoding is.

    On a terminal no line of text is wider than it is; anywhere else lines are left as long as they are.
    """
    import shutil
    import sys

    from rounds.reports.rendering import rendered

    width = shutil.get_terminal_size().columns if sys.stdout.isatty() else None
    click.echo(rendered(document, form, width).encode("utf-8"), nl=False)
