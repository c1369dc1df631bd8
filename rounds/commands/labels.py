"""``rounds labels``: a sheet of labels with QR codes that the walk takes you to."""

from __future__ import annotations

import os
import sys
import unicodedata
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands.completing import named
from rounds.commands.number_types import WHOLE
from rounds.problems import BadInput, Problem, RoundsError, lacking

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.files.label_pdf import Drawn
    from rounds.files.label_sheet import Sheet
    from rounds.records.ledger import Ledger
    from rounds.records.observations import EnclosureState


@click.command()
@click.argument("which", nargs=-1, metavar="[WHICH]...", shell_complete=named("enclosure", "line"))
@click.option("--out", metavar="FILE", type=click.Path(path_type=Path), help="The PDF to write.")
@click.option("--force", is_flag=True, help="Write over a PDF that is there.")
@click.option(
    "--paper",
    default="a4",
    show_default=True,
    metavar="PAPER",
    help="a4, letter, or width x height in mm: 62x29 is one label of a label printer.",
)
@click.option(
    "--grid",
    metavar="MEASURES",
    help="Stickers on the sheet, in mm, such as '3x8 70x36 margins 0,4.5 gaps 0,0'.",
)
@click.option(
    "--start",
    type=WHOLE,
    default=1,
    show_default=True,
    metavar="N",
    help="Begin at the Nth sticker (row by row) of a sheet used in part.",
)
@click.option(
    "--font",
    metavar="FILE",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    help="A .ttf or .otf font, for letters the built-in one lacks.",
)
@click.pass_obj
def labels(
    given: CliContext,
    which: tuple[str, ...],
    out: Path | None,
    force: bool,
    paper: str,
    grid: str | None,
    start: int,
    font: Path | None,
) -> None:
    """Labels for enclosures as a PDF: code, number, who is in it, and a QR code for the walk.

    WHICH is any of: a code, a short number, a bay, shelf or slot (B, B3, B3-2), a stage
    (stage=laying), a line. Several are added together; none means all enclosures in use.
    Where a word could mean two things, write code=, number=, place=, stage= or line= before it.

    A scanner that types like a keyboard goes to the enclosure in one go, from any mode of
    the walk: the QR code types Tab, the code and Enter.

    MEASURES are columns x rows, width x height of a sticker, margins left,top to the first
    one and gaps across,down between them. Without a grid, A4 and Letter get lines to cut
    along. Print at 100%, not fitted to the page.

    \b
    rounds labels --out labels.pdf
    rounds labels B3 stage=laying --out some.pdf
    rounds labels --grid '3x8 70x36 margins 0,4.5' --start 5 --out labels.pdf
    rounds labels 14 --paper 62x29 --out one.pdf
    """
    from rounds.text.cleaning import clean

    out = None if out == Path("-") else out
    _may_write(out, force)
    drawn, count = _drawn(given, which, paper, grid, start, font)
    if drawn.replaced:
        some = ", ".join(f"{_named(a)} as {b}" for a, b in sorted(drawn.replaced.items())[:20])
        more = " and more" if len(drawn.replaced) > 20 else ""
        hint = "Another font may have them." if font else "--font FILE takes a font that has them."
        click.echo(clean(f"The font lacks letters; they stand {some}{more}. {hint}", 400), err=True)
    if out is None:
        click.echo(drawn.data, nl=False)
    else:
        _write(out, drawn.data, force)
    many = (
        f"{count} label{'' if count == 1 else 's'} on {drawn.sheets} sheet{'' if drawn.sheets == 1 else 's'}"
    )
    click.echo(clean(f"{many} → {out or 'standard output'}", 4000), err=True)


def _named(letter: str) -> str:
    """The letter, or its number where it would join the letter before it."""
    return f"U+{ord(letter):04X}" if unicodedata.category(letter).startswith("M") else letter


def _drawn(
    given: CliContext, which: tuple[str, ...], paper: str, grid: str | None, start: int, font: Path | None
) -> tuple[Drawn, int]:
    from rounds.commands.printing import today_of
    from rounds.config import in_force
    from rounds.files import label_pdf
    from rounds.files.label_content import of_enclosures
    from rounds.store import read
    from rounds.store.book import open_book
    from rounds.store.ledger_store import load
    from rounds.text.cleaning import clean

    with open_book(given.book, readonly=True) as book:
        house = read.house(book)
        enclosures = read.enclosures(book)
        ledger = load(book)
    sheet, wanted = _asked(which, paper, grid, start, enclosures, ledger)
    config = in_force(given.config, given.book)
    if config.banner:
        click.echo(clean(config.banner, 1000), err=True)
    today = given.today or today_of(house)
    found = of_enclosures(wanted, ledger, enclosures, today)
    title = clean(f"Labels, {house.name}", 120)
    try:
        drawn = label_pdf.draw(found, sheet, config.commands, start, title, today, font)
    except ModuleNotFoundError as e:
        if (e.name or "").partition(".")[0] not in ("fpdf", "segno", "fontTools"):
            raise
        raise RoundsError(lacking("labels need", "labels")) from e
    return drawn, len(found)


def _asked(
    which: tuple[str, ...],
    paper: str,
    grid: str | None,
    start: int,
    enclosures: list[EnclosureState],
    ledger: Ledger,
) -> tuple[Sheet, list[EnclosureState]]:
    """The sheet and the enclosures meant. Raises BadInput with what is wrong about both."""
    from rounds.files import label_sheet
    from rounds.files.label_selection import pick

    problems: list[Problem] = []
    sheet, wanted = None, None
    try:
        sheet = label_sheet.sheet(paper, grid, start)
    except BadInput as e:
        problems += e.problems
    try:
        wanted = pick(which, enclosures, ledger)
    except BadInput as e:
        problems += e.problems
    if sheet is None or wanted is None:
        raise BadInput(problems)
    if not wanted:
        raise RoundsError(
            "no enclosure is in use, so there is nothing to label. `rounds record box` makes one."
        )
    return sheet, wanted


def _may_write(out: Path | None, force: bool) -> None:
    """Refuse before any work is done. Raises RoundsError."""
    if out is None:
        if sys.stdout.isatty():
            raise RoundsError("a PDF is nothing for a terminal. Name a file: --out labels.pdf.")
        return
    try:
        if out.is_dir():
            raise RoundsError(f"--out: {out} is a folder. Name a file in it.")
        if out.exists() and not force:
            raise _there(out)
        if out.exists() and not _is_ours(out):
            raise RoundsError(f"--out: {out} is no PDF, and --force only writes over one. Name another file.")
        if not out.absolute().parent.is_dir():
            raise RoundsError(f"--out: there is no folder {out.absolute().parent}. Make it first.")
    except OSError as e:
        raise RoundsError(f"--out: {out} cannot be written: {e.strerror or e}.") from e


def _there(out: Path) -> RoundsError:
    return RoundsError(f"--out: {out} is there already. Name a new file, or add --force to write over it.")


def _is_ours(out: Path) -> bool:
    """A PDF, or empty: a book or a photo named by a slip is not written over."""
    if not out.is_file():
        return False
    with out.open("rb") as f:
        return f.read(5) in (b"", b"%PDF-")


def _write(out: Path, data: bytes, force: bool) -> None:
    """The whole file or none of it: written beside, then put in place. Raises RoundsError."""
    target = out.resolve()
    made = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        with made.open("xb") as f:
            f.write(data)
            f.flush()
            os.fsync(f.fileno())
        if force:
            os.replace(made, target)
        else:
            _put_new(made, target)
    except FileExistsError as e:
        raise _there(out) from e
    except OSError as e:
        raise RoundsError(f"--out: {out} cannot be written: {e.strerror or e}.") from e
    finally:
        with suppress(FileNotFoundError):
            made.unlink()


def _put_new(made: Path, target: Path) -> None:
    """Raises FileExistsError for what appeared meanwhile."""
    try:
        os.link(made, target)  # unlike a rename, never replaces anything
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        os.rename(made, target)
