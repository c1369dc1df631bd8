"""Printed labels read by others: a PDF renderer draws the sheets, a QR decoder of other authors reads them.

Sources, from memory: ISO/IEC 18004 for the symbol (version 1 has 21 modules a side, version 2
has 25; a quiet zone of four modules; level M restores about 15% of the codewords); ISO 32000-1
for the page's size. 150 dots per inch is a poor printer or a camera's distance; the blur is a
lens that is damp or not in focus.
"""

from __future__ import annotations

import csv
import math
import re
from collections import Counter
from collections.abc import Iterator
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import pypdfium2
import pytest
import yaml
import zxingcpp
from PIL import Image, ImageDraw, ImageFilter

from rounds.cli import run
from rounds.settings import where
from tests.conftest import demo_of

DPI = 150
MM = DPI / 25.4  # pixels
TODAY = "2026-03-01"
GRIDS = {
    "plain A4": (),
    "plain Letter": ("--paper", "letter"),
    "stickers": ("--grid", "3x8 70x36 margins 0,4.5", "--start", "5"),
    "small stickers": ("--grid", "5x13 38x21 margins 10,12"),
    "as small as can be": ("--grid", "6x20 32.6x13.2 margins 5,6"),
    "label printer": ("--paper", "62x29"),
}


class Box(NamedTuple):
    """What the demo's own tables say of an enclosure."""

    code: str
    number: str
    species: str
    stage: str
    inside: tuple[str, ...]  # numbers of animals


def table(name: str) -> Iterator[dict[str, str]]:
    with (where.shipped("demo_data") / f"{name}.csv").open(encoding="utf-8", newline="") as f:
        yield from csv.DictReader(f)


def boxes() -> dict[str, Box]:
    inside: dict[str, list[str]] = {}
    for row in table("contents"):
        if not row["until"] and row["animal"]:
            inside.setdefault(row["enclosure"], []).append(row["animal"])
    return {
        r["code"]: Box(r["code"], r["number"], r["species"], r["stage"], tuple(inside.get(r["code"], ())))
        for r in table("enclosures")
    }


def first_key() -> str:
    """The key a scan begins with, as the shipped layout of letters has it."""
    layout = yaml.safe_load((where.shipped("config") / "keys" / "letters.yaml").read_text(encoding="utf-8"))
    assert layout["commands"]["scan"] == ["tab"]
    return "\t"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_of(date.fromisoformat(TODAY).toordinal(), tmp_path_factory)


@pytest.fixture(scope="module")
def files(book: Path) -> dict[str, Path]:
    out = {}
    for name, options in GRIDS.items():
        out[name] = book.with_name(f"{name}.pdf")
        assert run(["--book", str(book), "--today", TODAY, "labels", *options, "--out", str(out[name])]) == 0
    return out


@lru_cache(maxsize=4)  # a sheet is looked at in several ways
def pages(path: Path, dpi: int = DPI) -> list[Image.Image]:
    with pypdfium2.PdfDocument(path) as document:
        return [page.render(scale=dpi / 72).to_pil().convert("L") for page in document]


def worsened(image: Image.Image, blur: float, degrees: float = 0) -> Image.Image:
    turned = image.rotate(degrees, Image.Resampling.BICUBIC, expand=True, fillcolor=255)
    return turned.filter(ImageFilter.GaussianBlur(blur))


def decoded(image: Image.Image) -> list[Any]:
    return list(zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode))


def wanted() -> Counter[bytes]:
    """Key, code, Enter: what a scanner types at each enclosure, from the tables and the layout alone."""
    return Counter(f"{first_key()}{code}\r".encode("ascii") for code in boxes())


@pytest.mark.parametrize(
    ("sheet", "blur", "degrees"),
    [
        *((s, 1, d) for s in ("plain A4", "plain Letter", "stickers", "label printer") for d in (0, 4, -7)),
        ("plain A4", 2, -7),
        ("plain Letter", 2, 11),
        ("stickers", 1.5, 5),
    ],
)
def test_every_label_of_the_house_reads_as_its_enclosure(
    files: dict[str, Path], sheet: str, blur: float, degrees: float
) -> None:
    found = [code.bytes for page in pages(files[sheet]) for code in decoded(worsened(page, blur, degrees))]
    assert len(boxes()) == 60
    assert Counter(found) == wanted()


@pytest.mark.parametrize("sheet", ["small stickers", "as small as can be"])
def test_small_ones_read_too_when_they_are_sharp(files: dict[str, Path], sheet: str) -> None:
    """A module is three pixels there, or two: a blur of one pixel is as wide as half a module."""
    found = [code.bytes for page in pages(files[sheet]) for code in decoded(worsened(page, 0.5))]
    assert Counter(found) == wanted()


def test_the_check_itself_fails_when_nothing_can_be_read(files: dict[str, Path]) -> None:
    page = pages(files["plain A4"])[0]
    assert len(decoded(page)) == 20
    assert decoded(worsened(page, 8)) == []


def corners(code: Any) -> tuple[int, int, int, int]:
    """Left, top, right, bottom of the dark part, in pixels."""
    at = code.position
    xs = [p.x for p in (at.top_left, at.top_right, at.bottom_left, at.bottom_right)]
    ys = [p.y for p in (at.top_left, at.top_right, at.bottom_left, at.bottom_right)]
    return min(xs), min(ys), max(xs), max(ys)


@pytest.mark.parametrize("sheet", GRIDS)
def test_modules_quiet_zone_and_correction_are_what_the_standard_asks(
    files: dict[str, Path], sheet: str
) -> None:
    for page in pages(files[sheet], 2 * DPI):
        for code in decoded(page):
            left, top, right, bottom = corners(code)
            assert code.ec_level in ("M", "Q", "H")
            module = (right - left + 1) / 21  # these codes fit version 1
            assert module >= 0.39 * 2 * MM
            assert math.isclose(module, (bottom - top + 1) / 21, rel_tol=0.03)
            quiet = round(4 * module) - 2  # two pixels for what the renderer smooths
            around = (left - quiet, top - quiet, right + quiet + 1, bottom + quiet + 1)
            zone = page.crop(around)
            ImageDraw.Draw(zone).rectangle(
                (quiet - 2, quiet - 2, zone.width - quiet + 2, zone.height - quiet + 2), fill=255
            )
            darkest = zone.getextrema()[0]
            # Beyond the paper's edge Pillow fills with black: that is the paper's end, not print.
            if around[0] >= 0 and around[1] >= 0 and around[2] <= page.width and around[3] <= page.height:
                assert darkest > 250, (code.text, darkest)


def test_without_its_quiet_zone_a_code_cannot_be_read(files: dict[str, Path]) -> None:
    page = pages(files["label printer"])[0].copy()  # other tests look at it, too
    (code,) = decoded(page)
    left, top, right, bottom = corners(code)
    draw = ImageDraw.Draw(page)
    for box in (
        (0, 0, left - 1, page.height),
        (right + 1, 0, page.width, page.height),
        (0, 0, page.width, top - 1),
        (0, bottom + 1, page.width, page.height),
    ):
        draw.rectangle(box, fill=0)
    assert decoded(page) == []


def test_a_drop_of_dirt_does_no_harm(files: dict[str, Path]) -> None:
    """Level M restores about 15% of the codewords: here a spot of four modules on the data area."""
    for drawn in pages(files["label printer"])[:20]:
        page = drawn.copy()
        (code,) = decoded(page)
        left, top, right, _ = corners(code)
        module = (right - left + 1) / 21
        x, y = left + 13 * module, top + 14 * module
        ImageDraw.Draw(page).ellipse((x, y, x + 2 * module, y + 2 * module), fill=0)
        assert [c.bytes for c in decoded(worsened(page, 1))] == [code.bytes]


def texts(path: Path, columns: int, width: float, height: float, left: float, top: float) -> dict[str, str]:
    """What stands on each label by its code, read from the place the measures give."""
    out = {}
    with pypdfium2.PdfDocument(path) as document:
        for page in document:
            high = page.get_height()
            text = page.get_textpage()
            for n in range(round((high / 72 * 25.4 - 2 * top) / height) * columns):
                row, column = divmod(n, columns)
                x, y = left + column * width, top + row * height
                box = (
                    x * 72 / 25.4,
                    high - (y + height) * 72 / 25.4,
                    (x + width) * 72 / 25.4,
                    high - y * 72 / 25.4,
                )
                said = text.get_text_bounded(*box).strip()
                if said:
                    out[said.split()[0]] = said
    return out


@pytest.mark.parametrize(
    ("sheet", "measures"),
    [
        ("plain A4", (2, 92, 27, 13, 13.5)),
        ("stickers", (3, 70, 36, 0, 4.5)),
        ("label printer", (1, 62, 29, 0, 0)),
    ],
)
def test_each_label_says_code_number_species_stage_and_who_is_inside(
    files: dict[str, Path], sheet: str, measures: tuple[int, float, float, float, float]
) -> None:
    said = texts(files[sheet], *measures)
    assert set(said) == set(boxes())
    for code, box in boxes().items():
        lines = said[code].splitlines()
        assert 2 <= len(lines) <= 3
        assert lines[0].split() == [code, "no.", box.number]
        genus, rest = box.species.split(" ", 1)
        assert re.match(rf"({genus}|{genus[0]}\.) {re.escape(rest)}, {box.stage} ", lines[1]), lines
        assert re.search(r"\b202[56]\b", lines[1]), "a date"
        for number in box.inside:
            assert re.search(rf"[/ ]{re.escape(number)}( [mf])?(?![\w-])", lines[2]), lines
        if box.stage == "pairing":
            assert re.search(r" m × .* f$", lines[2])
    assert sum(box.stage == "pairing" for box in boxes().values()) >= 5


def test_pages_have_the_size_that_was_asked_for(files: dict[str, Path]) -> None:
    sizes = {
        "plain A4": (210, 297, 3),
        "plain Letter": (215.9, 279.4, 4),
        "stickers": (210, 297, 3),
        "label printer": (62, 29, 60),
    }
    for sheet, (width, height, many) in sizes.items():
        with pypdfium2.PdfDocument(files[sheet]) as document:
            assert len(document) == many
            for page in document:
                assert page.get_width() == pytest.approx(width / 25.4 * 72, abs=0.1)
                assert page.get_height() == pytest.approx(height / 25.4 * 72, abs=0.1)


def test_a_sheet_used_in_part_begins_where_it_is_told(files: dict[str, Path]) -> None:
    page = pages(files["stickers"])[0]
    used = page.crop((0, 0, page.width, round((4.5 + 36) * MM)))
    assert used.getextrema() == (255, 255), "the first row was used"
    fourth = page.crop((0, round((4.5 + 36) * MM), round(70 * MM), round((4.5 + 72) * MM)))
    assert fourth.getextrema() == (255, 255)
    fifth = page.crop((round(70 * MM), round((4.5 + 36) * MM), round(140 * MM), round((4.5 + 72) * MM)))
    assert len(decoded(fifth)) == 1
