"""Labels drawn as a PDF. It and ``qr_code`` alone use the libraries of the extra ``labels``.

They are imported inside the functions: no other command pays for them.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime
from functools import cache
from io import BytesIO
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from rounds.files import label_layout, label_sentences
from rounds.files.label_content import Label, payload
from rounds.files.label_sheet import Sheet
from rounds.files.qr_code import Matrix, matrix
from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem, RoundsError

if TYPE_CHECKING:
    from fpdf import FPDF

ENCODING = "windows-1252"  # what the fonts every PDF reader brings can show
OWN = "own"  # the name a font of the keeper's goes by inside the file
CUT_GREY = 170
OVERLAP = 0.02  # of a module: rows of modules overlap by this, so that no viewer paints a gap between them


class Drawn(NamedTuple):
    """The file, how many sheets it has, and the letters the font lacks with what stands for them."""

    data: bytes
    sheets: int
    replaced: Mapping[str, str]


def draw(
    labels: Sequence[Label],
    sheet: Sheet,
    commands: Mapping[str, str],
    start: int,
    title: str,
    today: int,
    font: Path | None = None,
) -> Drawn:
    """All labels, from sticker ``start`` (from 1) of the first sheet on.

    Raises BadInput when stickers are too small for their codes, RoundsError for a bad font.
    """
    grid = sheet.grid
    codes = [matrix(payload(label.aims, commands), label_layout.QUIET) for label in labels]
    _all_fit(labels, codes, sheet)
    pdf, has = _blank(sheet, title, today, font)
    replaced: dict[str, str] = {}
    family = OWN if font else "Helvetica"

    @cache
    def measure(text: str, *, bold: bool) -> float:
        pdf.set_font(family, _style(font, bold=bold), 100)
        return pdf.get_string_width(_shown(text, has)[0]) / 100

    on = -1
    for n, (label, code) in enumerate(zip(labels, codes, strict=True), start - 1):
        page, x, y = sheet.where(n)
        if page != on:
            on = page
            pdf.add_page()
        if sheet.cut:
            pdf.set_draw_color(CUT_GREY)
            pdf.set_line_width(0.1)
            pdf.rect(x, y, grid.width, grid.height)
        placed = label_layout.place(label, grid.width, grid.height, len(code), measure, sheet.inset)
        for t in placed.texts:
            pdf.set_font(family, _style(font, bold=t.bold), t.size)
            text, instead = _shown(t.text, has)
            replaced |= instead
            pdf.text(x + t.x, y + t.baseline, text)
        _draw_code(pdf, code, x + placed.qr[0], y + placed.qr[1], placed.module)
    with _blamed(font):
        data = bytes(pdf.output())
    return Drawn(data, on + 1, replaced)


def _all_fit(labels: Sequence[Label], codes: Sequence[Matrix], sheet: Sheet) -> None:
    """Raises BadInput when labels are too small: once for all, or by name where only some are."""
    small = {
        label.title: said
        for label, code in zip(labels, codes, strict=True)
        if (said := label_layout.too_small(sheet.grid.width, sheet.grid.height, len(code), sheet.inset))
    }
    if not small:
        return
    hint = label_sentences.TAKE_LARGER
    if len(small) == len(labels) and len(set(small.values())) == 1:
        option = "--grid" if sheet.grid.stickers > 1 else "--paper"
        raise BadInput([Problem(option, 0, 0, next(iter(small.values())), hint)])
    raise BadInput(Problem(title, 0, 0, said, hint) for title, said in small.items())


def _style(font: Path | None, *, bold: bool) -> str:
    return "B" if bold and font is None else ""  # a font of the keeper's is one file, without a bold


def _blank(sheet: Sheet, title: str, today: int, font: Path | None) -> tuple[FPDF, Callable[[str], bool]]:
    """An empty file, and whether its font has a letter."""
    from fpdf import FPDF, ViewerPreferences

    pdf = FPDF(unit="mm", format=(sheet.width, sheet.height))
    pdf.set_auto_page_break(auto=False)
    pdf.set_margin(0)
    pdf.set_title(title)
    pdf.set_creator("rounds")
    pdf.set_lang("en")
    d = date.fromordinal(today)
    pdf.set_creation_date(datetime(d.year, d.month, d.day, tzinfo=UTC))
    # Printed smaller "to fit the page", labels would miss their stickers.
    pdf.viewer_preferences = ViewerPreferences(print_scaling="None")
    if font is None:
        pdf.core_fonts_encoding = ENCODING
        return pdf, _in_core_fonts
    with _blamed(font):
        has = _letters(font)
        pdf.add_font(OWN, "", font)
    return pdf, has


@cache
def _in_core_fonts(letter: str) -> bool:
    try:
        letter.encode(ENCODING)
    except UnicodeEncodeError:
        return False
    return True


@contextmanager
def _blamed(font: Path | None) -> Iterator[None]:
    """Raises RoundsError for what goes wrong inside when a keeper's font is in use.

    Of a damaged font the library raises whatever its parts run into: no list of errors is whole.
    """
    try:
        yield
    except (RoundsError, ModuleNotFoundError):
        raise
    except Exception as e:
        if font is None:
            raise
        said = f"{type(e).__name__}: {e}".splitlines()[0]
        raise RoundsError(label_sentences.no_usable_font(str(font), said)) from e


def _letters(font: Path) -> Callable[[str], bool]:
    """Whether a font file has a letter."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    # By its bytes: the library leaves a file open when it cannot make sense of it.
    with TTFont(BytesIO(font.read_bytes())) as opened:
        known = opened.getBestCmap() or {}
    return lambda letter: ord(letter) in known


_PLAIN = {"×": "x", "–": "-"}  # signs of our own that a font may lack


def _shown(text: str, has: Callable[[str], bool]) -> tuple[str, dict[str, str]]:
    """A text in letters the font has, and what stands for each of the others."""
    replaced: dict[str, str] = {}
    for letter in text:
        if not has(letter):
            plain = _PLAIN.get(letter) or unicodedata.normalize("NFKD", letter)
            kept = "".join(c for c in plain if not unicodedata.combining(c))
            replaced[letter] = kept if kept and all(map(has, kept)) else "?"
    return "".join(replaced.get(c, c) for c in text), replaced


def _draw_code(pdf: FPDF, code: Matrix, x: float, y: float, module: float) -> None:
    """Runs of dark modules as filled rectangles, written as ``FPDF.rect`` writes each: there are 100,000 on 50 sheets."""
    pdf.set_fill_color(0)
    k, tall = pdf.k, -module * (1 + OVERLAP) * pdf.k
    drawn = []
    for r, row in enumerate(code):
        at, top = 0, (pdf.h - (y + r * module)) * k
        for dark, run in groupby(row):
            wide = len(tuple(run))
            if dark:
                drawn.append(f"{(x + at * module) * k:.2f} {top:.2f} {wide * module * k:.2f} {tall:.2f} re f")
            at += wide
    pdf._out("\n".join(drawn))
