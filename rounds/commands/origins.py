"""``rounds batch`` and ``rounds lot``: what has its substrate, or its origin, in common."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rounds.commands.completing import named
from rounds.commands.printing import FORMS
from rounds.problems import RoundsError, nearest

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.records.ledger import Ledger

AS = click.option("--as", "form", type=click.Choice(FORMS), default="text", show_default=True)


@click.command()
@click.argument("name", shell_complete=named("batch"))
@AS
@click.pass_obj
def batch(given: CliContext, name: str, form: str) -> None:
    """All enclosures that got substrate of a batch.

    \b
    rounds batch S-06 --as csv
    """
    from rounds.commands.printing import print_page
    from rounds.records.origins import enclosures_of
    from rounds.reports import season_report
    from rounds.reports.table_forms import Page, Part

    ledger = _ledger(given)
    id_ = _named(ledger, "batch", name)
    row = ledger.row("batch", id_)
    records = season_report.batch_records(ledger, enclosures_of(ledger, id_))
    rows = [[r[c] for c in season_report.BATCH_COLUMNS] for r in records]
    made = f"Mixed {row['made']}." if row["made"] else "It is not recorded when it was mixed."
    page = Page(
        f"Substrate batch {row['name']}", (made, row["recipe"] or "No recipe is recorded."),
        (Part("Put into", season_report.BATCH_COLUMNS, rows),),
    )  # fmt: skip
    print_page(page, season_report.BATCH_COLUMNS, rows, form)


@click.command()
@click.argument("name", shell_complete=named("lot"))
@AS
@click.pass_obj
def lot(given: CliContext, name: str, form: str) -> None:
    """All that comes from an arrival, as far as is known.

    \b
    rounds lot MG-25
    """
    from rounds.commands.printing import print_page
    from rounds.records.origins import descendants
    from rounds.reports import season_report
    from rounds.reports.table_forms import Page, Part

    ledger = _ledger(given)
    id_ = _named(ledger, "lot", name)
    row = ledger.row("lot", id_)
    records = season_report.lot_records(ledger, descendants(ledger, id_))
    rows = [[r[c] for c in season_report.LOT_COLUMNS] for r in records]
    came = f"Came {row['arrived']}" if row["arrived"] else "It is not recorded when it came"
    whom = f" from {row['from_whom']}" if row["from_whom"] else ""
    said = (
        f"{came}{whom}. Papers: {row['papers'] or 'none recorded'}.",
        f"Origin as it was told: {row['origin'] or 'nothing recorded'}. Mated before: {row['mated_before']}.",
        "`certain` is no where a father is open or a parent is not recorded.",
    )
    page = Page(
        f"Arrival {row['name']}", said, (Part("Animals and groups from it", season_report.LOT_COLUMNS, rows),)
    )
    print_page(page, season_report.LOT_COLUMNS, rows, form)


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
