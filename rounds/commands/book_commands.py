"""``rounds new`` and ``rounds load``: a book, and tables put into it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands import book_sentences
from rounds.commands.book_reader import writing
from rounds.commands.output import print_document, prints, tell
from rounds.problems import RoundsError, nearest

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.files.load import Loaded, Progress
    from rounds.store.book import Book


@click.command()
@click.argument("path", type=click.Path(path_type=Path))
@click.option("--house", metavar="NAME", default="My house", help="The name of your house.")
@click.option("--zone", metavar="ZONE", default="", help="Its time zone, for example Europe/Berlin.")
def new(path: Path, house: str, zone: str) -> None:
    """Make an empty book.

    \b
    rounds new beetles.sqlite --house "Tarn Lantern" --zone Europe/Berlin
    """
    import pendulum

    from rounds.records.observations import House
    from rounds.store.book import create

    zone = zone or str(pendulum.now().timezone_name)
    if zone not in pendulum.timezones():
        raise RoundsError(book_sentences.no_time_zone(zone, nearest(zone, pendulum.timezones())))
    create(path, House(house, zone)).close()
    tell(book_sentences.made(str(path)))


@click.command()
@click.argument("folder", required=False, type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--columns", is_flag=True, help="List the tables and their columns instead.")
@prints("row-counts", "table-columns")
@click.pass_obj
def load(given: CliContext, folder: Path | None, *, columns: bool, form: str) -> None:
    """Put CSV tables into the book: all, or none.

    \b
    rounds --book beetles.sqlite load my_tables/
    """
    from rounds.reports.table_reports import columns_report, counts_report

    if columns:
        print_document(columns_report(), form)
        return
    if folder is None:
        raise RoundsError(book_sentences.LOAD_NEEDS_FOLDER)
    with writing(given) as at:
        loaded = _load(folder, at.book, given.config, 0)
    for remark in loaded.remarks:
        tell(remark)
    if loaded.other_files:
        tell(book_sentences.no_tables(tuple(loaded.other_files)))
    new = {table: n for table, n in loaded.added.items() if n}
    print_document(counts_report(new), form)
    tell(book_sentences.LOADED if new else book_sentences.NOTHING_NEW)


def load_demo(path: Path, config: str | None, today: int | None) -> None:
    """A book of the invented house whose last day is the one before its round day (``today`` when given)."""
    from rounds.files.load import last_day
    from rounds.records.observations import House
    from rounds.settings import where
    from rounds.store.book import create

    folder = where.shipped("demo_data")
    with create(path, House("demo", "UTC")) as book:  # its tables bring the house's own row
        _load(folder, book, config, (today or _demo_day(folder)) - 1 - last_day(folder))


def _demo_day(folder: Path) -> int:
    """The round day of the invented house now: before its day begins, that is still the one before."""
    from rounds.files.csv_rows import Sink
    from rounds.files.typed_tables import sheet
    from rounds.husbandry.round_day import round_day
    from rounds.store.ids import now_ms

    [house] = sheet("house", folder, Sink()).good()
    return round_day(now_ms(), house["zone"], house["day_starts"])


def _load(folder: Path, book: Book, config: str | None, shift: int) -> Loaded:
    from rounds.config import read
    from rounds.files.load import load_folder
    from rounds.settings.layers import layers
    from rounds.store.apply_entries import apply
    from rounds.store.ids import Ids
    from rounds.walk.daily_summary import judge_newest

    config_ = read(layers(config))
    with _progress() as progress:
        return load_folder(
            folder,
            book,
            config_.vocabulary,
            shift_days=shift,
            about=config_.choices.about,
            progress=progress,
            then=lambda: apply(book, judge_newest(book, config_, Ids().new)),
        )


@contextmanager
def _progress() -> Iterator[Progress | None]:
    """Tell how far a long load is, on one line of a terminal that is empty again afterwards; nothing elsewhere."""
    import sys

    if not sys.stderr.isatty():
        yield None
        return
    began, longest = time.monotonic(), 0

    def show(table: str, done: int, total: int) -> None:
        nonlocal longest
        if time.monotonic() - began > 1.0:
            said = book_sentences.loading(table, done, total)
            longest = max(longest, len(said))
            click.echo(f"\r{said:<{longest}}", nl=False, err=True)

    try:
        yield show
    finally:
        if longest:
            click.echo(f"\r{' ' * longest}\r", nl=False, err=True)
