"""``rounds due``: what is overdue, due today, this week and later, by day and shelf."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from rounds.reports.rendering import FORMS

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.due.kinds import DueWork
    from rounds.files.calendar_file import Event
    from rounds.records.ledger import Ledger
    from rounds.records.observations import EnclosureState

AHEAD = 14
"""Days that are listed when no end is given."""


@click.command()
@click.option(
    "--until",
    metavar="DATE|+DAYS",
    help=f"The last day to list: a date, or +7 for seven days from today (+{AHEAD} when left out).",
)
@click.option(
    "--as",
    "form",
    type=click.Choice([*FORMS, "ics"]),
    default="text",
    show_default=True,
    help="Form of the output.",
)
@click.pass_obj
def due(given: CliContext, until: str | None, form: str) -> None:
    """What is due: overdue, today, this week, later. Searches, substrate, hatching, what you asked for.

    \b
    rounds due --until +7
    rounds due --until 2026-03-31 --as ics > due.ics

    Each stands under its most likely day, or the first of its window; it can
    be done on any day of the window. A window comes from what was recorded and
    the species file, and says so. What begins after the last day is counted.
    """
    from rounds.commands.output import print_document
    from rounds.config import in_force
    from rounds.due.work import open_by, works
    from rounds.files import calendar_file
    from rounds.husbandry.round_day import round_day
    from rounds.problems import RoundsError
    from rounds.reports.due_list import due_list
    from rounds.store import read
    from rounds.store.book import open_book
    from rounds.store.ids import now_ms
    from rounds.store.ledger_store import load
    from rounds.values.spans import LAST

    with open_book(given.book, readonly=True) as book:
        house = read.house(book)
        enclosures = read.enclosures(book)
        ledger = load(book)
    today = given.today or round_day(now_ms(), house.zone, house.day_starts)
    last = last_day(until, today) if until else today + AHEAD
    if last < today:
        raise RoundsError(f"--until: `{until}` is before today. Give a day from today on, or +7.")
    config = in_force(given.config, given.book)
    if config.banner:
        click.echo(config.banner, err=True)
    found = works(ledger, config.species, today)
    order = {e.id: i for i, e in enumerate(enclosures)}
    if form == "ics":
        wanted = [w for w in found if w.done is not None or w.begins() <= last]
        written = calendar_file.calendar(named(wanted, ledger, enclosures), house.name, now_ms(), today)
        click.echo(written, nl=False)
        return
    print_document(due_list(named(open_by(found, LAST), ledger, enclosures), today, last, order), form)


def last_day(typed: str, today: int) -> int:
    """The day typed: a date, ``+7`` or a word such as tomorrow, counted from the round day. Raises RoundsError."""
    from rounds.commands.options import day
    from rounds.problems import RoundsError
    from rounds.values.spans import LAST

    words = {"yesterday": -1, "today": 0, "tomorrow": 1}
    if typed in words:
        return today + words[typed]
    if re.fullmatch(r"\+[0-9]{1,5}", typed):
        return min(today + int(typed), LAST)
    try:
        return day(typed, "--until")
    except RoundsError as e:
        raise RoundsError(
            f"--until: `{typed}` is no day. Write it as 2026-02-28, or +7 for seven days on."
        ) from e


def named(works: list[DueWork], ledger: Ledger, enclosures: list[EnclosureState]) -> list[Event]:
    """Work with the names it is shown by."""
    from rounds.files.calendar_file import Event
    from rounds.records.naming import animal_name

    boxes = {e.id: e for e in enclosures}
    out = []
    for w in works:
        box = boxes.get(w.enclosure) if w.enclosure is not None else None
        animal = animal_name(ledger, w.animal) if w.animal is not None else ""
        place = box.place.address if box is not None and box.place is not None else ""
        out.append(Event(w, box.code if box is not None else "", place, animal))
    return out
