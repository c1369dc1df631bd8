"""A stand-in looks, feeds and notes. Acts, and readings that are acts, are refused, and whom to call is said."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.keys.commands import COMMANDS
from rounds.presenters import walk_lines
from rounds.walk.core import Walk
from tests.endtoend import rack


@pytest.fixture
def book(demo_book: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_book, tmp_path / "book.sqlite"))


@pytest.fixture
def walk(book: Path) -> Iterator[Walk]:
    opened = rack.opened(book, rack.config(), keeper="Brigg", stand_in=True)
    yield opened
    opened.close(5.0)


def acts(book: Path) -> int:
    with sqlite3.connect(book) as db:
        return int(db.execute("SELECT count(*) FROM act").fetchone()[0])


def shown(walk: Walk) -> str:
    return "\n".join("".join(run[0] for run in line) for line in walk_lines.lines(walk, 80, 24))


REFUSED = [command.id for command in COMMANDS.values() if not command.stand_in]


def test_what_is_refused_is_what_a_stand_in_must_not_do() -> None:
    assert set(REFUSED) == {"other", "deeper", "record", "correct", "done", "put_off"}


@pytest.mark.parametrize("command", REFUSED)
@pytest.mark.parametrize("on_page", [False, True], ids=["at the box", "on a page"])
def test_a_refusal_names_the_keeper_and_changes_nothing(walk: Walk, command: str, on_page: bool) -> None:
    keys = {c: key for key, c in walk.desk.commands.items()}
    if on_page:
        walk.press(keys["pages"])
    before = walk.state
    walk.press(keys[command])
    assert "Call Ferrow" in walk.state.message
    assert walk.state._replace(message=before.message) == before


def test_looking_feeding_and_noting_are_kept(book: Path, walk: Walk) -> None:
    had = acts(book)
    for key in ("1", "4", "n", *"odd", "space", *"smell", "enter"):
        walk.press(key)
    assert walk.drain(30.0)
    cells = rack.cells_today(book)
    code = walk.route.label(0)
    assert cells[code, "jelly_gone"] == 1
    assert cells[code, "note"] == "odd smell"
    assert acts(book) == had


def test_no_key_of_a_whole_round_records_an_act(book: Path, walk: Walk) -> None:
    had = acts(book)
    letters = [key for key in "abcdefghijklmoprstuvwxyz.+-*=" if walk.desk.commands.get(key) != "quit"]
    for stop in (0, 2, 11, 20, 29):
        while walk.state.at != stop:
            for key in ("g", *walk.route.label(stop).lower(), "enter"):
                walk.press(key)
        for key in letters:
            if walk.desk.commands.get(key) in ("go", "skip", "find", "summary"):
                continue
            walk.press(key)
            walk.press("1")
            walk.press("enter")
            walk.press("backspace")
            if walk.state.at != stop or walk.state.pages:
                break
    assert walk.drain(30.0)
    assert acts(book) == had


def test_readings_that_are_acts_are_not_asked(walk: Walk) -> None:
    for stop in range(walk.route.count()):
        asked = walk.desk.asks(stop, walk.desk.starts_at(stop))
        assert not [a.kind.id for a in asked if a.kind.act]
    stated = [k for k in walk.desk.kinds.values() if k.act and k.ask_key]
    assert stated
    for kind in stated:
        walk.press(kind.ask_key)
        assert "Call Ferrow" in walk.state.message


def test_the_foot_offers_only_what_may_be_done_and_the_start_says_whom_to_call(walk: Walk) -> None:
    assert "call Ferrow" in walk.state.message
    screen = shown(walk)
    assert "record an act" not in screen
    assert "n note" in screen


def test_a_keeper_is_refused_nothing(book: Path) -> None:
    walk = rack.opened(book, rack.config())
    walk.press("y")
    assert walk.state.mode.name == "acts"
    walk.close(5.0)
