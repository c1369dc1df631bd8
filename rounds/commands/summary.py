"""``rounds summary``: what a day left to do, the sheet of a stand-in, a season's end."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

import click

from rounds.commands import due_command_sentences
from rounds.commands.book_reader import config_in_force, reading
from rounds.commands.options import day
from rounds.commands.output import print_document, prints
from rounds.problems import RoundsError

if TYPE_CHECKING:
    from rounds.commands.options import CliContext

PARTS = ("action", "carry", "due", "unseen")
"""The tables of the summary's kind (rounds.reports.day_kinds.SUMMARY), which no start loads."""


@click.command()
@click.option("--on", metavar="DATE", help="The round day (today when left out).")
@prints("summary", "stand-in", "season")
@click.option("--safe", is_flag=True, help="A stand-in's sheet instead: only what cannot harm.")
@click.option(
    "--season",
    is_flag=False,
    flag_value="year",
    metavar="[YEAR|FROM..TO]",
    help="A season's end by line instead (the year up to today, a calendar year, or from one day to another).",
)
@click.option(
    "--part",
    type=click.Choice(PARTS),
    help="Only this part of the summary. A CSV holds one part: action, unless you name another.",
)
@click.pass_obj
def summary(
    given: CliContext, *, on: str | None, form: str, safe: bool, season: str | None, part: str | None
) -> None:
    """What needs action, what to carry, what was not seen.

    \b
    rounds summary --on yesterday --as markdown
    rounds summary --part carry --as csv > carry.csv
    rounds summary --safe --as html > sheet.html
    rounds summary --season 2025-03-01..2026-02-28
    """
    if safe and season is not None:
        raise RoundsError(due_command_sentences.SAFE_OR_SEASON)
    if part and (safe or season is not None or form == "json"):
        raise RoundsError(due_command_sentences.NO_PART_OF_IT)
    asked = day(on, "--on", given.today) if on else given.today
    if safe:
        _print_safe(given, asked, form)
    elif season is not None:
        _print_season(given, season, asked, form)
    else:
        print_summary(given, asked, form, part)


def print_summary(given: CliContext, asked: int | None, form: str, part: str | None = None) -> None:
    """Print the summary of a round day (None: today's in the house's zone), or one of :data:`PARTS` of it."""
    from rounds.reports.report import only
    from rounds.reports.summary_report import summary_report
    from rounds.walk.daily_summary import of_day

    with reading(given, asked) as at:
        settings = config_in_force(given)
        found = of_day(at.book, settings, at.today)
    titles = {c.id: c.title for c in settings.vocabulary.skips}
    document = summary_report(found, titles)
    print_document(only(document, part) if part else document, form)


def _print_safe(given: CliContext, asked: int | None, form: str) -> None:
    from rounds.reports import stand_in_sheet
    from rounds.settings import yamlfile
    from rounds.settings.layers import layers
    from rounds.store import read

    documents = []
    for layer in layers(given.config):
        for file in sorted((layer.root / stand_in_sheet.FOLDER).glob("*.yaml")):
            documents.append(yamlfile.read(file, f"{layer.shown}/{stand_in_sheet.FOLDER}/{file.name}"))
    sheet = stand_in_sheet.parse(documents)
    with reading(given, asked) as at:
        locks = read.locks(at.book, at.today)
        facts = stand_in_sheet.SheetFacts(
            at.keeper,
            read.open_actions(at.book, at.today),
            read.history(at.book, since_day=at.today - stand_in_sheet.WEEKS_BACK),
        )
        made = stand_in_sheet.stand_in_sheet(sheet, at.house.name, at.today, at.enclosures, locks, facts)
    print_document(made, form)


def _print_season(given: CliContext, season: str, asked: int | None, form: str) -> None:
    from rounds.analysis.season import season as by_line
    from rounds.reports.season_report import season_report

    with reading(given, asked) as at:
        first, last = days_of(season, at.today)
        lines = by_line(at.ledger, first, last)
    print_document(season_report(lines, first, last), form)


def days_of(season: str, today: int) -> tuple[int, int]:
    """First and last day of ``year`` (twelve months up to today), ``2025`` or ``FROM..TO``. Raises RoundsError."""
    if season == "year":
        return today - 364, today
    if re.fullmatch("[0-9]{4}", season) and season != "0000":
        return date(int(season), 1, 1).toordinal(), date(int(season), 12, 31).toordinal()
    start, dots, end = season.partition("..")
    if not dots:
        raise RoundsError(due_command_sentences.no_season(season))
    first, last = day(start, "--season", today), day(end, "--season", today)
    if last < first:
        raise RoundsError(due_command_sentences.season_backwards(season))
    return first, last
