"""``rounds batch`` and ``rounds lot``: what has its substrate, or its origin, in common."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rounds.commands.completing import named
from rounds.commands.output import AS, print_document
from rounds.problems import RoundsError, nearest

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.records.ledger import Ledger


@click.command()
@click.argument("name", shell_complete=named("batch"))
@AS
@click.pass_obj
def batch(given: CliContext, name: str, form: str) -> None:
    """All enclosures that got substrate of a batch.

    \b
    rounds batch S-06 --as csv
    """
    from rounds.records.origins import enclosures_of
    from rounds.reports.origin_reports import batch_report

    ledger = _ledger(given)
    id_ = _named(ledger, "batch", name)
    print_document(batch_report(ledger, ledger.row("batch", id_), enclosures_of(ledger, id_)), form)


@click.command()
@click.argument("name", shell_complete=named("lot"))
@AS
@click.pass_obj
def lot(given: CliContext, name: str, form: str) -> None:
    """All that comes from an arrival, as far as is known.

    \b
    rounds lot MG-25
    """
    from rounds.records.origins import descendants
    from rounds.reports.origin_reports import lot_report

    ledger = _ledger(given)
    id_ = _named(ledger, "lot", name)
    print_document(lot_report(ledger, ledger.row("lot", id_), descendants(ledger, id_)), form)


def _ledger(given: CliContext) -> Ledger:
    from rounds.store.book import open_book
    from rounds.store.ledger_store import load

    with open_book(given.book, readonly=True) as book:
        return load(book)


def _named(ledger: Ledger, table: str, name: str) -> int:
    """The row of this name, whatever the case. Raises RoundsError with the nearest."""
    names = {str(r["name"]): i for i, r in ledger.rows(table)}
    alike = [i for n, i in names.items() if n == name] or [
        i for n, i in names.items() if n.casefold() == name.casefold()
    ]
    if len(alike) == 1:
        return alike[0]
    word = {"lot": "arrival"}.get(table, table)
    there = nearest(name, names) or (
        f"There are: {', '.join(list(names)[:12])}." if names else "None is recorded yet."
    )
    raise RoundsError(f"there is no {word} `{name}`. {there}")
