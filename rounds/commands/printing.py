"""``rounds summary``: what a day left to do."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rounds.commands.options import Given


@click.command()
@click.option("--on", metavar="DATE", help="The round day (today when left out).")
@click.option("--as", "form", type=click.Choice(["text", "json"]), default="text", show_default=True)
@click.pass_obj
def summary(given: Given, on: str | None, form: str) -> None:
    """What needs action, what to carry, what was not seen.

    \b
    rounds summary --on yesterday --as json
    """
    from rounds.commands.options import day as typed

    print_summary(given.book, given.config, typed(on, "--on") if on else given.today, form)


def print_summary(path: Path, config: str | None, day: int | None, form: str) -> None:
    """Print the summary of a round day (None: today's in the house's zone)."""
    from rounds.config import in_force
    from rounds.daily import of_day
    from rounds.exchange.printed import as_json, as_text
    from rounds.store import read
    from rounds.store.book import open_book
    from rounds.store.ids import now_ms
    from rounds.walk import round_day

    with open_book(path, readonly=True) as book:
        house = read.house(book)
        found = of_day(book, in_force(config, path), day or round_day(now_ms(), house.zone, house.day_starts))
    click.echo(as_json(found) if form == "json" else as_text(found))
