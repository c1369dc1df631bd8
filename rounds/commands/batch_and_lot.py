"""``rounds batch`` and ``rounds lot``: what has its substrate, or its origin, in common."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rounds.commands import origin_sentences
from rounds.commands.book_reader import reading
from rounds.commands.completing import named
from rounds.commands.named_rows import names_of, row_named
from rounds.commands.output import print_document, prints
from rounds.problems import RoundsError, nearest
from rounds.records.tables import Batch, Lot

if TYPE_CHECKING:
    from rounds.commands.options import CliContext


@click.command()
@click.argument("name", shell_complete=named("batch"))
@prints("batch")
@click.pass_obj
def batch(given: CliContext, name: str, form: str) -> None:
    """All boxes that got substrate of a batch.

    \b
    rounds batch S-06 --as csv
    """
    from rounds.records.origins import enclosures_of
    from rounds.reports.origin_reports import batch_report

    with reading(given) as at:
        ledger = at.ledger
    mixed = row_named(ledger, Batch, name)
    if mixed is None:
        raise RoundsError(origin_sentences.no_batch(name, _hint(name, names_of(ledger, Batch))))
    print_document(batch_report(ledger, mixed, enclosures_of(ledger, mixed.id)), form)


@click.command()
@click.argument("name", shell_complete=named("lot"))
@prints("lot")
@click.pass_obj
def lot(given: CliContext, name: str, form: str) -> None:
    """All that comes from an arrival, as far as is known.

    \b
    rounds lot MG-25
    """
    from rounds.records.origins import descendants
    from rounds.reports.origin_reports import lot_report

    with reading(given) as at:
        ledger = at.ledger
    arrival = row_named(ledger, Lot, name)
    if arrival is None:
        raise RoundsError(origin_sentences.no_arrival(name, _hint(name, names_of(ledger, Lot))))
    print_document(lot_report(ledger, arrival, descendants(ledger, arrival.id)), form)


def _hint(name: str, there: tuple[str, ...]) -> str:
    """The nearest name, or which there are."""
    others = origin_sentences.there_are(there) if there else origin_sentences.NONE_RECORDED
    return nearest(name, there) or others
