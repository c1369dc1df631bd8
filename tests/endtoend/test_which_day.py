"""A clock behind the book's last round: the program asks which day it is before anything is recorded."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from rounds.commands.book_commands import load_demo
from rounds.husbandry.round_day import round_day
from rounds.store.ids import now_ms
from tests.endtoend.terminal import PROGRAM, Terminal

pytestmark = pytest.mark.pty


@pytest.fixture
def ahead(tmp_path: Path, own: Path) -> Path:
    """A book whose last round is some days after today."""
    path = tmp_path / "ahead.sqlite"
    load_demo(path, str(own), today() + 9)
    return path


def today() -> int:
    """The round day of the invented house by this machine's clock."""
    return round_day(now_ms(), "Europe/Berlin", 240)


def rounds_of(book: Path) -> list[int]:
    with sqlite3.connect(book) as db:
        return [day for (day,) in db.execute("SELECT day FROM round ORDER BY id")]


@pytest.mark.parametrize("answer", ["1", "2", "3"])
def test_it_asks_and_does_as_it_is_told(answer: str, ahead: Path, begin: Callable[..., Terminal]) -> None:
    before = rounds_of(ahead)
    terminal = begin([*PROGRAM, "--book", str(ahead)])
    terminal.wait_for("before the last round in the book")
    terminal.press("x", "enter")
    terminal.wait_for("Type 1, 2 or 3")
    terminal.press(answer, "enter")
    if answer == "3":
        assert terminal.ended() == 0
        assert "Nothing was recorded" in terminal.words
        assert rounds_of(ahead) == before
        return
    terminal.wait_for("1 of ")
    terminal.press("space", "space")  # the first box has a reading that is asked for twice
    terminal.wait_for("2 of ")
    terminal.press("q")
    assert terminal.ended() == 0
    begun = rounds_of(ahead)[len(before) :]
    assert begun == [today() if answer == "1" else before[-1]]
    # the clock was right: no question any more
    again = begin([*PROGRAM, "--book", str(ahead), *(() if answer == "1" else ("walk",))])
    again.wait_for("2 of " if answer == "1" else "before the last round in the book")


def test_who_cannot_be_asked_is_told(ahead: Path, own: Path) -> None:
    import subprocess

    ran = subprocess.run(
        [*PROGRAM, "--book", str(ahead), "walk", "--plain"],
        input="q\n",
        capture_output=True,
        text=True,
        env={"ROUNDS_CONFIG": str(own), "PATH": "/usr/bin:/bin"},
        check=False,
    )
    assert ran.returncode == 2
    assert "This machine's clock says" in ran.stderr
    assert "--today" in ran.stderr
