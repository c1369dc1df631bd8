"""The first start of all, typed at the real program: no book, and two minutes later a round in one's own."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.endtoend.terminal import PROGRAM, Terminal

pytestmark = pytest.mark.pty

ANSWERS = ("2", "Kiln", "Wren", "1", "2", "3", "4", "K-01", "1")
"""A book of one's own: house, name, a bay of two shelves with three slots, four boxes from K-01, prepared."""


def typed(terminal: Terminal, *lines: str) -> None:
    for line in lines:
        terminal.press(*line, "enter")
        terminal.quiet(0.05)


@pytest.fixture
def home(tmp_path: Path) -> dict[str, str]:
    """Nothing of this machine's keeper is seen or touched."""
    return {"XDG_DATA_HOME": str(tmp_path / "data")}


@pytest.fixture
def first(tmp_path: Path) -> Path:
    """Where the book of a first start goes."""
    return tmp_path / "data" / "rounds" / "book.sqlite"


def test_a_first_start_makes_the_rack_and_walks_it(
    home: dict[str, str], first: Path, begin: Callable[..., Terminal]
) -> None:
    terminal = begin(list(PROGRAM), env=home)
    terminal.wait_for("There is no book yet")
    typed(terminal, *ANSWERS)
    terminal.wait_for("Kiln, kept by Wren")
    assert not first.exists(), "nothing is made before the last answer"
    typed(terminal, "1")
    terminal.wait_for("Enter begins the first round")
    typed(terminal, "")
    screen = terminal.wait_for("1 of 4")
    assert "Wren" in screen
    assert "A1-1" in screen
    terminal.press("space")  # the shelf's temperature is left unread, and stops nobody
    terminal.wait_for("2 of 4")
    terminal.press("q")
    assert terminal.ended() == 0

    again = begin(list(PROGRAM), env=home)  # from now on it is the round at once
    again.wait_for("2 of 4")
    again.press("q")
    assert again.ended() == 0
    with sqlite3.connect(first) as db:
        assert db.execute("SELECT count(*) FROM enclosure").fetchone() == (4,)
        assert db.execute("SELECT count(*) FROM place").fetchone() == (6,)


@pytest.mark.parametrize("broken_off", ["leave", "ctrl+c", "kill"])
def test_broken_off_nothing_is_there(
    broken_off: str, home: dict[str, str], first: Path, begin: Callable[..., Terminal]
) -> None:
    terminal = begin(list(PROGRAM), env=home)
    terminal.wait_for("There is no book yet")
    typed(terminal, *ANSWERS)
    terminal.wait_for("Kiln, kept by Wren")
    if broken_off == "leave":
        typed(terminal, "3")
        assert terminal.ended() == 0
        assert "Nothing was made" in terminal.words
    elif broken_off == "ctrl+c":
        terminal.press("ctrl+c")
        assert terminal.ended() == 130
    else:
        terminal.kill()
    assert not first.parent.exists() or not list(first.parent.iterdir())


def test_in_lines_it_asks_the_same_and_goes_on_in_lines(
    home: dict[str, str], begin: Callable[..., Terminal]
) -> None:
    terminal = begin([*PROGRAM, "--plain"], env=home)
    terminal.wait_for("There is no book yet")
    typed(terminal, *ANSWERS, "1", "")
    terminal.wait_for("Round of .*walked by Wren: 0 of 4 seen")
    typed(terminal, "quit")
    assert terminal.ended() == 0


def test_the_invented_house_is_one_key_away(
    home: dict[str, str], first: Path, begin: Callable[..., Terminal]
) -> None:
    terminal = begin(list(PROGRAM), env=home)
    terminal.wait_for("There is no book yet")
    typed(terminal, "1")
    terminal.wait_for("1 of 60")
    terminal.press("q")
    assert terminal.ended() == 0
    assert not first.exists()
