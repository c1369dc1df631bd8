"""``rounds new`` and ``rounds load``: a book, and tables put into it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands.output import print_document, prints
from rounds.problems import RoundsError

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
    from rounds.text.cleaning import clean

    zone = zone or str(pendulum.now().timezone_name)
    if zone not in pendulum.timezones():
        from rounds.problems import nearest

        raise RoundsError(
            f"--zone: there is no time zone `{zone}`. {nearest(zone, pendulum.timezones())}".rstrip()
        )
    create(path, House(house, zone)).close()
    said = f"made {path}. Next: rounds --book {path} load FOLDER (see README, or `rounds demo` first)."
    click.echo(clean(said, 4000), err=True)


@click.command()
@click.argument("folder", required=False, type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option("--columns", is_flag=True, help="List the tables and their columns instead.")
@prints("row-counts", "table-columns")
@click.pass_obj
def load(given: CliContext, folder: Path | None, columns: bool, form: str) -> None:
    """Put CSV tables into the book: all, or none.

    \b
    rounds --book beetles.sqlite load my_tables/
    """
    from rounds.reports.table_reports import columns_report, counts_report
    from rounds.store.book import open_book
    from rounds.text.cleaning import clean

    if columns:
        print_document(columns_report(), form)
        return
    if folder is None:
        raise RoundsError("load needs a folder of tables; `rounds load --columns` lists what it may hold.")

    with open_book(given.book) as book:
        loaded = _load(folder, book, given.config, 0)
    for remark in loaded.remarks:
        click.echo(clean(remark, 4000), err=True)
    if loaded.other_files:
        click.echo(clean(f"left alone, no tables: {', '.join(loaded.other_files)}", 4000), err=True)
    new = {table: n for table, n in loaded.added.items() if n}
    print_document(counts_report(new), form)
    if new:
        click.echo("Loaded. Next: rounds", err=True)
    else:
        click.echo("nothing new: the book has every row already", err=True)


def load_demo(path: Path, config: str | None, today: int | None) -> None:
    """A book of the invented house whose last day is yesterday."""
    from rounds.files.load import last_day
    from rounds.records.observations import House
    from rounds.settings import where
    from rounds.store.book import create

    folder = where.shipped("demo_data")
    with create(path, House("demo", "UTC")) as book:  # its tables bring the house's own row
        _load(folder, book, config, shift_to(last_day(folder), today))


def shift_to(last: int, today: int | None) -> int:
    """How many days to move a history so that it ends the day before ``today``."""
    from datetime import date

    return (today or date.today().toordinal()) - 1 - last  # noqa: DTZ011  # a demo's house has no zone of its own


def _load(folder: Path, book: Book, config: str | None, shift: int) -> Loaded:
    from rounds.config import read
    from rounds.files.load import load_folder
    from rounds.settings.layers import layers
    from rounds.store.apply_entries import apply
    from rounds.store.ids import Ids
    from rounds.walk.daily_summary import judge_newest

    config_ = read(layers(config))
    with _progress() as progress:
        loaded = load_folder(folder, book, config_.vocabulary, shift_days=shift, progress=progress)
    if loaded.added.get("visits"):
        entries = judge_newest(book, config_, Ids().new)
        with book.writing():
            apply(book, entries)
    return loaded


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
            said = f"{table}: {done} of {total}"
            longest = max(longest, len(said))
            click.echo(f"\r{said:<{longest}}", nl=False, err=True)

    try:
        yield show
    finally:
        if longest:
            click.echo(f"\r{' ' * longest}\r", nl=False, err=True)
