"""``rounds due``: what is overdue, due today, this week and later, by day and shelf."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rounds.commands import due_command_sentences
from rounds.commands.book_reader import config_in_force, reading
from rounds.commands.options import day
from rounds.commands.output import print_document, prints
from rounds.commands.paging import show
from rounds.problems import RoundsError
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
@prints("due", forms=(*FORMS, "ics"))
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
    from rounds.analysis.pairing.plans_again import PlansRemembered
    from rounds.due.planned_pairings import open_plans
    from rounds.due.work import open_by, works
    from rounds.files import calendar_file
    from rounds.reports.due_list import due_list
    from rounds.store.ids import now_ms
    from rounds.values.spans import LAST

    with reading(given) as at:
        house, enclosures, ledger, today = at.house, at.enclosures, at.ledger, at.today
    last = day(until, "--until", today) if until else min(today + AHEAD, LAST)
    if last < today:
        raise RoundsError(due_command_sentences.before_today(until or ""))
    config = config_in_force(given)
    found = works(ledger, config.species, today, PlansRemembered()(ledger, open_plans(ledger)))
    order = {e.id: i for i, e in enumerate(enclosures)}
    if form == "ics":
        wanted = [w for w in found if w.done is not None or w.begins() <= last]
        written = calendar_file.calendar(named(wanted, ledger, enclosures), house.name, now_ms(), today)
        show(written.decode("utf-8"))
        return
    print_document(due_list(named(open_by(found, LAST), ledger, enclosures), today, last, order), form)


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
