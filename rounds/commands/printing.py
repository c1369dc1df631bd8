"""``rounds summary``: what a day left to do, the sheet of a stand-in, a season's end."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands.output import AS, print_document
from rounds.problems import RoundsError

if TYPE_CHECKING:
    from rounds.commands.options import CliContext


@click.command()
@click.option("--on", metavar="DATE", help="The round day (today when left out).")
@AS
@click.option("--safe", is_flag=True, help="A stand-in's sheet instead: only what cannot harm.")
@click.option(
    "--season",
    is_flag=False,
    flag_value="year",
    metavar="[YEAR|FROM..TO]",
    help="A season's end by line instead (the year up to today, a calendar year, or from one day to another).",
)
@click.pass_obj
def summary(given: CliContext, on: str | None, form: str, safe: bool, season: str | None) -> None:
    """What needs action, what to carry, what was not seen.

    \b
    rounds summary --on yesterday --as markdown
    rounds summary --safe --as html > sheet.html
    rounds summary --season 2025-03-01..2026-02-28
    """
    from rounds.commands.options import day as typed

    if safe and season is not None:
        raise RoundsError("--safe and --season are two things to print; ask for one of them.")
    day = typed(on, "--on") if on else given.today
    if safe:
        _print_safe(given, day, form)
    elif season is not None:
        _print_season(given, season, day, form)
    else:
        print_summary(given.book, given.config, day, form)


def print_summary(path: Path, config: str | None, day: int | None, form: str) -> None:
    """Print the summary of a round day (None: today's in the house's zone)."""
    from rounds.config import in_force
    from rounds.reports.summary_report import summary_report
    from rounds.store import read
    from rounds.store.book import open_book
    from rounds.walk.daily_summary import of_day

    with open_book(path, readonly=True) as book:
        settings = in_force(config, path)
        found = of_day(book, settings, day or today_of(read.house(book)))
    titles = {c.id: c.title for c in settings.vocabulary.skips}
    print_document(summary_report(found, titles), form)


def today_of(house: object) -> int:
    """The house's round day now."""
    from rounds.husbandry.round_day import round_day
    from rounds.records.observations import House
    from rounds.store.ids import now_ms

    assert isinstance(house, House)
    return round_day(now_ms(), house.zone, house.day_starts)


def _print_safe(given: CliContext, day: int | None, form: str) -> None:
    from rounds.reports import stand_in_sheet
    from rounds.settings import yamlfile
    from rounds.settings.layers import layers
    from rounds.store import read
    from rounds.store.book import open_book

    documents = []
    for layer in layers(given.config):
        for file in sorted((layer.root / stand_in_sheet.FOLDER).glob("*.yaml")):
            documents.append(yamlfile.read(file, f"{layer.shown}/{stand_in_sheet.FOLDER}/{file.name}"))
    sheet = stand_in_sheet.parse(documents)
    with open_book(given.book, readonly=True) as book:
        house = read.house(book)
        on = day or today_of(house)
        boxes, locks = read.enclosures(book), read.locks(book, on)
    print_document(stand_in_sheet.stand_in_sheet(sheet, house.name, on, boxes, locks), form)


def _print_season(given: CliContext, season: str, day: int | None, form: str) -> None:
    from rounds.analysis.season import season as by_line
    from rounds.reports.season_report import season_report
    from rounds.store import read
    from rounds.store.book import open_book
    from rounds.store.ledger_store import load

    with open_book(given.book, readonly=True) as book:
        first, last = days_of(season, day or today_of(read.house(book)))
        lines = by_line(load(book), first, last)
    print_document(season_report(lines, first, last), form)


def days_of(season: str, today: int) -> tuple[int, int]:
    """First and last day of ``year`` (twelve months up to today), ``2025`` or ``FROM..TO``. Raises RoundsError."""
    from datetime import date

    from rounds.commands.options import day as typed

    if season == "year":
        return today - 364, today
    if re.fullmatch("[0-9]{4}", season) and season != "0000":
        return date(int(season), 1, 1).toordinal(), date(int(season), 12, 31).toordinal()
    start, dots, end = season.partition("..")
    if not dots:
        raise RoundsError(f"--season: `{season}` is no season. Write 2025, or 2025-03-01..2026-02-28.")
    first, last = typed(start, "--season"), typed(end, "--season")
    if last < first:
        raise RoundsError(f"--season: `{season}` ends before it begins. Write the earlier day first.")
    return first, last
