"""``rounds labels``: a sheet of labels with QR codes that the walk takes you to."""

from __future__ import annotations

import sys
import unicodedata
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands import file_sentences, label_command_sentences
from rounds.commands.book_reader import config_in_force, reading
from rounds.commands.completing import BAYS, SHELVES, named
from rounds.commands.named_files import write_file
from rounds.commands.number_types import WHOLE
from rounds.commands.output import tell
from rounds.problems import BadInput, Problem, RoundsError, lacking
from rounds.text.cleaning import clean

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.files.label_pdf import Drawn
    from rounds.files.label_sheet import Sheet
    from rounds.records.ledger import Ledger
    from rounds.records.observations import EnclosureState

MOST_LETTERS = 20
"""Letters without a glyph that are named."""


@click.command()
@click.argument(
    "which", nargs=-1, metavar="[WHICH]...", shell_complete=named("enclosure", "line", "place", SHELVES, BAYS)
)
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
    *,
    which: tuple[str, ...],
    out: Path | None,
    force: bool,
    paper: str,
    grid: str | None,
    start: int,
    font: Path | None,
) -> None:
    """Labels for boxes as a PDF, with code and who is in it.

    WHICH is any of: a code, a short number, a bay, shelf or slot (B, B3, B3-2), a stage
    (stage=laying), a line. Several are added together; none means all boxes in use.
    Where a word could mean two things, write code=, number=, place=, stage= or line= before it.

    A scanner that types like a keyboard goes to the box in one go, from any mode of
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
    out = None if out == Path("-") else out
    _may_write(out, force=force)
    drawn, count = _drawn(given, which, paper, grid, start, font)
    if drawn.replaced:
        some = tuple((_named(a), b) for a, b in sorted(drawn.replaced.items())[:MOST_LETTERS])
        more = len(drawn.replaced) > MOST_LETTERS
        tell(label_command_sentences.letters_lacking(some, more=more, own_font=font is not None), 400)
    if out is None:
        click.echo(drawn.data, nl=False)
    else:
        write_file(out, drawn.data, "--out", force=force)
    tell(
        label_command_sentences.written(
            count, drawn.sheets, str(out or label_command_sentences.STANDARD_OUTPUT)
        )
    )


def _named(letter: str) -> str:
    """The letter, or its number where it would join the letter before it."""
    return f"U+{ord(letter):04X}" if unicodedata.category(letter).startswith("M") else letter


def _drawn(
    given: CliContext, which: tuple[str, ...], paper: str, grid: str | None, start: int, font: Path | None
) -> tuple[Drawn, int]:
    from rounds.files import label_pdf
    from rounds.files.label_content import of_enclosures

    with reading(given) as at:
        house, enclosures, ledger, today = at.house, at.enclosures, at.ledger, at.today
    sheet, wanted = _asked(which, paper, grid, start, enclosures, ledger)
    config = config_in_force(given)
    found = of_enclosures(wanted, ledger, enclosures, today)
    title = clean(label_command_sentences.title(house.name), 120)
    try:
        drawn = label_pdf.draw(found, sheet, config.commands, start, title, today, font)
    except ModuleNotFoundError as e:
        if (e.name or "").partition(".")[0] not in ("fpdf", "segno", "fontTools"):
            raise
        raise RoundsError(lacking(label_command_sentences.LABELS_NEED, "labels")) from e
    return drawn, len(found)


def _asked(
    which: tuple[str, ...],
    paper: str,
    grid: str | None,
    start: int,
    enclosures: list[EnclosureState],
    ledger: Ledger,
) -> tuple[Sheet, list[EnclosureState]]:
    """The sheet and the boxes meant. Raises BadInput with what is wrong about both."""
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
        raise RoundsError(label_command_sentences.NOTHING_TO_LABEL)
    return sheet, wanted


def _may_write(out: Path | None, *, force: bool) -> None:
    """Refuse before any work is done. Raises RoundsError."""
    if out is None:
        if sys.stdout.isatty():
            raise RoundsError(label_command_sentences.NO_TERMINAL)
        return
    try:
        if out.is_dir():
            raise RoundsError(label_command_sentences.is_folder(str(out)))
        if out.exists() and not force:
            raise RoundsError(file_sentences.is_there("--out", str(out), or_force=True))
        if out.exists() and not _is_ours(out):
            raise RoundsError(label_command_sentences.no_pdf(str(out)))
        if not out.absolute().parent.is_dir():
            raise RoundsError(label_command_sentences.no_folder(str(out.absolute().parent)))
    except OSError as e:
        raise RoundsError(file_sentences.cannot_be_written("--out", str(out), e.strerror or str(e))) from e


def _is_ours(out: Path) -> bool:
    """A PDF, or empty: a book or a photo named by a slip is not written over."""
    if not out.is_file():
        return False
    with out.open("rb") as f:
        return f.read(5) in (b"", b"%PDF-")
