"""A whole generation at the boxes, by letters and on a number pad, is the one that commands record.

The real program is typed at through terminals of 80 by 24; the same table of acts goes through
``rounds record``. What ``rounds write`` makes of the three books must be the same.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from rounds.config import Config, read
from rounds.settings.layers import layers
from tests.endtoend.generation import (
    TABLE,
    KeysOf,
    Written,
    by_day,
    first_difference,
    rack,
    record,
    steps_of,
    written,
)
from tests.endtoend.terminal import PROGRAM, Terminal, typed

pytestmark = [pytest.mark.pty, pytest.mark.long]

LAYOUTS = ("letters", "numbers")
GENERATION = steps_of(TABLE)


@pytest.fixture(scope="module")
def shipped() -> Config:
    return read(layers(None)[:1])


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return rack(tmp_path_factory.mktemp("house") / "house.sqlite")


@pytest.fixture(scope="module")
def by_commands(house: Path, tmp_path_factory: pytest.TempPathFactory) -> Written:
    """The book of the generation recorded by commands."""
    folder = tmp_path_factory.mktemp("commands")
    book = Path(shutil.copy(house, folder / "book.sqlite"))
    record(book, GENERATION)
    return written(book, folder / "written", acts_alone=True)


def test_letters_pad_and_commands_record_the_same_generation(
    house: Path, by_commands: Written, shipped: Config, tmp_path: Path, begin: Callable[..., Terminal]
) -> None:
    books = {layout: Path(shutil.copy(house, tmp_path / f"{layout}.sqlite")) for layout in LAYOUTS}
    tried = {layout: Path(shutil.copy(house, tmp_path / f"tried {layout}.sqlite")) for layout in LAYOUTS}
    for day, some in by_day(GENERATION):
        keys = {x: KeysOf(tried[x], shipped.with_keys(x), day).day(some) for x in LAYOUTS}
        started = {}
        for layout in LAYOUTS:
            of_day = ("--book", str(books[layout]), "--today", day, "walk", "--keys", layout)
            started[layout] = begin([*PROGRAM, *of_day])
        for layout, terminal in started.items():
            terminal.wait_for(r"\d+ of \d+")
            terminal.send(typed(keys[layout]))
        for layout, terminal in started.items():
            assert terminal.ended() == 0, (layout, day, terminal.words)

    found = {x: written(book, tmp_path / f"acts {x}", acts_alone=True) for x, book in books.items()}
    assert {x: first_difference(by_commands, acts) for x, acts in found.items()} == dict.fromkeys(LAYOUTS, "")
    both = [written(book, tmp_path / f"all {x}") for x, book in books.items()]
    assert first_difference(*both) == ""


@pytest.mark.parametrize(
    ("line", "other", "where"),
    [
        ("l1=6+", "l1=6", "contents, row 8, at_least: 'yes', ''"),
        ("cause=old age", "cause=too dry", "animals, row 2, cause: 'old age', 'too dry'"),
    ],
)
def test_one_act_that_differs_is_found(
    line: str, other: str, where: str, house: Path, by_commands: Written, tmp_path: Path
) -> None:
    """The control: the same comparison of a generation in which one field of one act is told otherwise."""
    assert TABLE.count(line) == 1
    book = Path(shutil.copy(house, tmp_path / "book.sqlite"))
    record(book, steps_of(TABLE.replace(line, other)))
    difference = first_difference(by_commands, written(book, tmp_path / "written", acts_alone=True))
    assert difference == where
