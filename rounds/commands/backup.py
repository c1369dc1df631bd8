"""``rounds backup`` and ``rounds restore``: a verified copy of the book, and back to one."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands.output import print_document, prints, tell
from rounds.problems import BookError, RoundsError

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.reports.report import ReportDocument
    from rounds.store.backup_ladder import BackupFile


@click.command()
@click.argument("folder", required=False, type=click.Path(path_type=Path, file_okay=False))
@prints("backups")
@click.pass_obj
def backup(given: CliContext, folder: Path | None, *, form: str) -> None:
    """Make a verified copy of the book now.

    It goes beside the book, where one is made after every finished round too, or into FOLDER, for example on
    another disk. It counts only once it was opened again and compared with the book.

    \b
    rounds backup
    rounds backup /media/stick/rounds
    """
    from rounds.store.backup import back_up
    from rounds.store.backup_ladder import named
    from rounds.store.connection import where_it_lies

    made = named(back_up(given.book, folder=folder), where_it_lies(given.book).stem)
    assert made is not None  # it was given its name just now
    print_document(_listed([made]), form)


@click.command()
@click.argument("which", required=False, metavar="[DATE|FILE]")
@click.option(
    "--from",
    "folder",
    metavar="FOLDER",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="Backups in this folder instead of those beside the book.",
)
@click.option(
    "--salvage",
    "salvaged",
    metavar="NEW",
    type=click.Path(path_type=Path),
    help="Make a new book of all that can be read in a damaged one (FILE, or the present book).",
)
@click.option("--another-house", is_flag=True, help="Also a backup that is of another book.")
@prints("backups", "salvaged")
@click.pass_obj
def restore(
    given: CliContext,
    which: str | None,
    folder: Path | None,
    *,
    salvaged: Path | None,
    another_house: bool,
    form: str,
) -> None:
    """List the backups, or put one back in the place of the book.

    The last one of DATE is taken, or FILE. It is verified first. What stands in the book's place is kept beside
    it under a dated name: nothing is overwritten.

    \b
    rounds restore
    rounds restore 2026-02-27
    """
    if salvaged is not None:
        _salvage(Path(which).expanduser() if which else given.book, salvaged, form)
        return
    from rounds.store import restore_sentences
    from rounds.store.backup_ladder import backups_in, folder_of, named
    from rounds.store.connection import where_it_lies
    from rounds.store.restore import restore as put_back

    stem = where_it_lies(given.book).stem
    try:
        found = backups_in(folder or folder_of(given.book), stem)
    except OSError as error:
        raise BookError(f"{folder or folder_of(given.book)}: {error.strerror}.") from error
    if which is None:
        if not found:
            tell(restore_sentences.no_backups(str(folder or folder_of(given.book))))
        print_document(_listed(found), form)
        return
    source = Path(which).expanduser()
    if not source.is_file():
        source = _of_day(which, found)
    made = named(source, stem)
    kept = put_back(given.book, source, another_house=another_house)
    tell(restore_sentences.restored(_moment(made.at) if made else str(source)))
    if kept is not None:
        tell(restore_sentences.kept(str(kept)))


def _salvage(path: Path, new: Path, form: str) -> None:
    from rounds.reports.report import ReportRow, listing
    from rounds.reports.safety_kinds import SALVAGED
    from rounds.store import salvage_sentences
    from rounds.store.salvage import salvage

    rows, lost = salvage(path, new)
    told = [ReportRow((some.table, some.what)) for some in lost]
    print_document(listing(SALVAGED, told, empty=salvage_sentences.all_read()), form)
    tell(salvage_sentences.made(str(new), rows))


def _of_day(which: str, found: list[BackupFile]) -> Path:
    """The last backup made on a day. Raises RoundsError when there is none, or no such file either."""
    from rounds.commands.options import day
    from rounds.store import restore_sentences
    from rounds.text.cleaning import long_day

    try:
        wanted = day(which, "DATE")
    except RoundsError as error:
        raise RoundsError(restore_sentences.neither(which)) from error
    days = [(made.at.astimezone().toordinal(), made) for made in found]
    for at, made in days:
        if at == wanted:
            return made.path
    before = next((_moment(made.at) for at, made in days if at < wanted), "")
    raise RoundsError(restore_sentences.none_of_day(long_day(wanted), before))


def _moment(at: datetime) -> str:
    """Day and time by this machine's zone."""
    from rounds.text.cleaning import long_day

    here = at.astimezone()
    return f"{long_day(here.toordinal())}, {here:%H:%M}"


def _listed(found: list[BackupFile]) -> ReportDocument:
    from rounds.reports.report import ReportRow, listing
    from rounds.reports.safety_kinds import BACKUPS

    rows = [
        ReportRow(
            (
                _moment(made.at),
                int(made.at.timestamp() * 1000),
                made.reason.replace("-", " ") or None,
                made.path.stat().st_size,
                str(made.path),
            )
        )
        for made in found
    ]
    return listing(BACKUPS, rows)
