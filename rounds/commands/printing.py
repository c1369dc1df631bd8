"""``rounds summary``: what a day left to do."""

from __future__ import annotations

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
    from rounds.config import in_force
    from rounds.daily import of_day
    from rounds.exchange.printed import as_json, as_text
    from rounds.store import read
    from rounds.store.book import open_book
    from rounds.walk import now_ms, round_day

    with open_book(given.book, readonly=True) as book:
        house = read.house(book)
        day = typed(on, "--on") if on else given.today or round_day(now_ms(), house.zone, house.day_starts)
        found = of_day(book, in_force(given.config, given.book), day)
    click.echo(as_json(found) if form == "json" else as_text(found))
