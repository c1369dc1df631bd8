"""``rounds batch`` and ``rounds lot``: what has its substrate, or its origin, in common."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

import click

from rounds.commands import origin_sentences
from rounds.commands.book_reader import reading
from rounds.commands.completing import named
from rounds.commands.output import print_document, prints
from rounds.problems import RoundsError, nearest
from rounds.records.tables import Batch, Lot

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.records.ledger import Ledger

Named = TypeVar("Named", Batch, Lot)


@click.command()
@click.argument("name", shell_complete=named("batch"))
@prints("batch")
@click.pass_obj
def batch(given: CliContext, name: str, form: str) -> None:
    """All enclosures that got substrate of a batch.

    \b
    rounds batch S-06 --as csv
    """
    from rounds.records.origins import enclosures_of
    from rounds.reports.origin_reports import batch_report

    with reading(given) as at:
        ledger = at.ledger
    mixed = _named(ledger, Batch, name)
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
    arrival = _named(ledger, Lot, name)
    print_document(lot_report(ledger, arrival, descendants(ledger, arrival.id)), form)


def _named(ledger: Ledger, of: type[Named], name: str) -> Named:
    """The record of this name, whatever the case. Raises RoundsError with the nearest."""
    names = {record.name: record for record in ledger.rows(of)}
    alike = [record for n, record in names.items() if n == name] or [
        record for n, record in names.items() if n.casefold() == name.casefold()
    ]
    if len(alike) == 1:
        return alike[0]
    said = origin_sentences.no_batch if of is Batch else origin_sentences.no_arrival
    raise RoundsError(said(name, nearest(name, names), tuple(names)))
