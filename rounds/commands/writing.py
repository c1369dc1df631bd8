"""``rounds write``: the whole book out as plain files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands import book_sentences
from rounds.commands.book_reader import config_in_force, reading
from rounds.commands.output import print_document, prints, tell
from rounds.problems import EXIT_FINE, EXIT_FOUND

if TYPE_CHECKING:
    from rounds.commands.options import CliContext


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--unguarded",
    is_flag=True,
    help="Write texts that a spreadsheet would run as formulas as they are (for programs only).",
)
@prints("row-counts")
@click.pass_obj
def write(given: CliContext, folder: Path, *, unguarded: bool, form: str) -> int:
    """Write the whole book as CSV tables, to keep or load again.

    The folder must be new or empty; nothing is ever overwritten. It ends with 1 if the book is damaged. It describes itself in a
    datapackage.json. A ' before = + - @ keeps spreadsheets from running a text; loading
    takes it away again.

    \b
    rounds write my_tables/
    rounds --book another.sqlite load my_tables/
    """
    from rounds.files.write import write_folder
    from rounds.reports.table_reports import counts_report
    from rounds.store import damage, damage_sentences

    with reading(given) as at:
        config = config_in_force(given)
        counts = write_folder(folder, at.book, config.vocabulary, guard=not unguarded)
    print_document(counts_report(counts), form)
    tell(book_sentences.written(str(folder)))
    found = damage.what_is_damaged(given.book)
    if found:
        tell(damage_sentences.written_all_the_same(found))
    return EXIT_FOUND if found else EXIT_FINE
