"""Names of wide signs, combining marks and a picture sign: columns stand where they stand for plain names as wide.

Two houses that differ in names only, of the same number of cells each. A cell that shows no part of a
name must show the same in both. Widths are counted by wcwidth, which the screens do not use.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from rich.cells import cell_len
from wcwidth import wcswidth, wcwidth

from rounds.files.load import load_folder
from rounds.records.observations import House
from rounds.store.book import create
from tests.screens import house

TABLES = Path(__file__).parents[2] / "demo_data" / "first_tables"
DAY = 739_955  # 2026-12-01, after the first tables begin
WIDE = {"AMBER": "黒い🪲q\u0301d", "T-0": "虫-0"}
PLAIN = {"AMBER": "AMBERs##", "T-0": "##-0"}
NAMES = "".join(WIDE.values()).replace("-0", "")
SIZE = (80, 24)
PLACES = {
    "walk": ("at:3",),
    "wide walk": ("at:3",),
    "acts": ("at:3", "y"),
    "summary": ("v",),
    "rack": ("right", "1"),
    "enclosure": ("right",),
    "animals": ("right", "4"),
    "animal": ("right", "4", "right"),
    "lines": ("right", "5"),
    "line": ("right", "5", "down", "right"),
    "find": ("right", "/"),
}


def made(folder: Path, names: dict[str, str]) -> Path:
    tables = folder / "tables"
    tables.mkdir()
    for path in TABLES.glob("*.csv"):
        text = path.read_text(encoding="utf-8")
        for plain, other in names.items():
            text = text.replace(plain, other)
        (tables / path.name).write_text(text, encoding="utf-8")
    book = folder / "book.sqlite"
    with create(book, House("", "UTC")) as opened:
        load_folder(tables, opened, house.shipped().vocabulary)
    return book


def cells(line: str) -> list[str]:
    """What stands in each cell of a terminal: a wide sign in two, a mark in that of its letter."""
    out: list[str] = []
    for sign in line:
        wide = wcwidth(sign)
        assert wide >= 0, repr(sign)
        if wide == 0:
            out[-1] += sign
        else:
            out += [sign] * wide
    return out


def shown(book: Path, folder: Path, keys: tuple[str, ...], size: tuple[int, int]) -> list[str]:
    with house.walking(house.copied(book, folder), day=DAY) as walk:
        house.press(walk, *keys)
        walk.look_up_dues()
        if walk.dues.finder is not None:
            walk.dues.finder.wait(30)
        walk.take_dues()
        return house.screen(walk, *size)


def unlike(wide: list[str], plain: list[str]) -> list[str]:
    """Lines in which a cell differs that holds no name, or whose number of cells does."""
    out = []
    for a, b in zip(wide, plain, strict=True):
        left, right = cells(a), cells(b)
        same = len(left) == len(right) and all(
            x == y or x[0] in NAMES or y in "#AMBERs…" for x, y in zip(left, right, strict=True)
        )
        if not same:
            out.append(f"{a}\n{b}")
    return out


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    return made(tmp_path_factory.mktemp("wide"), WIDE), made(tmp_path_factory.mktemp("plain"), PLAIN)


def test_the_names_are_as_wide_as_each_other_by_both_tables() -> None:
    for name, wide in WIDE.items():
        assert cell_len(wide) == wcswidth(wide) == len(PLAIN[name])


@pytest.mark.parametrize("place", PLACES)
def test_columns_stand_where_they_stand_for_plain_names(
    books: tuple[Path, Path], tmp_path: Path, place: str
) -> None:
    size = (120, 40) if place == "wide walk" else SIZE
    wide, plain = (shown(book, tmp_path, PLACES[place], size) for book in books)
    assert all(wcswidth(line) == size[0] for line in wide)
    assert any(set(line) & set(NAMES) for line in wide), "a name is in sight"
    assert unlike(wide, plain) == []


def test_control_a_column_that_moved_is_found() -> None:
    assert unlike(["黒い  9 g"], ["####  9 g"]) == []
    assert unlike(["黒い 9 g "], ["####  9 g"]) != []
