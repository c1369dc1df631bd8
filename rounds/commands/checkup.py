"""``rounds checkup``: is the book sound, and is everything right around it?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rounds.commands.output import print_document, prints
from rounds.problems import EXIT_FINE, EXIT_FOUND

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.store.checkup import Finding

MARKS = {"good": "good", "note": "note", "wrong": "WRONG"}


@click.command()
@prints("checkup")
@click.pass_obj
def checkup(given: CliContext, *, form: str) -> int:
    """Look the book over: damage, backups, disk, clock, config.

    Every reference of a record to another is followed, too. Nothing is changed. It ends with 1 if something is wrong.

    \b
    rounds checkup
    """
    from rounds.reports.report import ReportRow, listing
    from rounds.reports.safety_kinds import CHECKUP
    from rounds.store.checkup import of_the_book
    from rounds.store.checkup_around import around_the_book
    from rounds.store.ids import now_ms
    from rounds.text.cleaning import clean

    findings = [*of_the_book(given.book), *around_the_book(given.book, now_ms()), _config(given)]
    rows = [
        ReportRow(
            (f.check, f.state, f.found, f.to_do or None),
            f"{MARKS[f.state]:<5}  {f.check}: {clean(f.found, 2000)}",
            below=(f.to_do,) if f.to_do else (),
        )
        for f in findings
    ]
    print_document(listing(CHECKUP, rows), form)
    return EXIT_FOUND if any(f.state == "wrong" for f in findings) else EXIT_FINE


def _config(given: CliContext) -> Finding:
    from rounds.config import in_force
    from rounds.store import checkup_sentences
    from rounds.store.checkup import good, wrong

    banner = in_force(given.config, given.book).banner
    if not banner:
        return good("your config", checkup_sentences.CONFIG)
    return wrong("your config", banner.rstrip("."), checkup_sentences.RULES_CHECK)
