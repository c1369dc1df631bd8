"""The option ``--as``, and how documents and messages get out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

import click

from rounds.commands.paging import show
from rounds.reports.rendering import FORMS, rendered

if TYPE_CHECKING:
    from rounds.reports.report import ReportDocument

_Command = TypeVar("_Command", bound=Callable[..., Any] | click.Command)

FOR_PROGRAMS = ("csv", "json")
"""Forms in which an empty list is an answer, not something to be told."""

MESSAGE_LIMIT = 4000
"""Characters of a message line at the most; messages quote names of files."""


class FormOption(click.Option):
    """``--as`` of a command, which knows the kinds of reports the command prints."""

    def __init__(self, *names: Any, kinds: tuple[str, ...], **given: Any) -> None:
        super().__init__(*names, **given)
        self.kinds = kinds


def prints(*kinds: str, forms: Sequence[str] = FORMS) -> Callable[[_Command], _Command]:
    """Give a command the option ``--as``; ``kinds`` names each kind of report it may print."""

    return click.option(
        "--as",
        "form",
        cls=FormOption,
        kinds=kinds,
        type=click.Choice(forms),
        default="text",
        show_default=True,
        help="Form of the output.",
    )


def print_document(document: ReportDocument, form: str) -> None:
    """Print a document as UTF-8, whatever the terminal's own encoding is.

    On a terminal no line of text is wider than it is, and a long listing goes through the pager; anywhere else
    lines are left as long as they are.
    """
    import shutil
    import sys

    width = shutil.get_terminal_size().columns if sys.stdout.isatty() else None
    show(rendered(document, form, width))


def tell(message: str, limit: int = MESSAGE_LIMIT) -> None:
    """Say one line beside the output, on stderr; what it quotes cannot steer the terminal. Nothing if empty."""
    from rounds.text.cleaning import clean

    if message:
        click.echo(clean(message, limit), err=True)
