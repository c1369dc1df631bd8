"""A stand-in looks, feeds and notes. Acts, and readings that are acts, are refused, and whom to call is said."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.keys.commands import COMMANDS
from rounds.presenters import walk_lines
from rounds.records.observations import CALL
from rounds.walk import walk_sentences
from rounds.walk.core import Walk
from rounds.walk.daily_summary import of_day
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
    if command == "record" and not on_page:
        pytest.skip("calls for help")
    if on_page:
        walk.press(keys["pages"])
    before = walk.state
    walk.press(keys[command])
    assert "Call Ferrow" in walk.state.message
    assert walk.state._replace(message=before.message) == before


def test_a_call_for_help_is_an_open_action_until_the_keeper_has_taken_it(book: Path, walk: Walk) -> None:
    had, code = acts(book), walk.route.label(2)
    for key in ("g", *code.lower(), "enter", "y", *"torn", "space", *"lid", "enter"):
        walk.press(key)
    assert next((a.rule, a.level) for a in walk.desk.actions(2)) == (CALL, "now")
    walk.press("y")  # said once: more of it goes into the note
    walk.press("enter")
    assert len([a for a in walk.desk.actions(2) if a.rule == CALL]) == 1
    walk.press("d")
    assert "Call Ferrow" in walk.state.message
    assert walk.drain(30.0)
    walk.close(5.0)
    assert acts(book) == had
    assert rack.cells_today(book)[code, "note"] == "torn lid"

    keeper = rack.opened(book, rack.config())
    assert walk_sentences.called_to((code,)) in keeper.state.message
    stop, action = keeper.desk.listed()[0]
    assert (stop, action and action.reason) == (2, "Brigg calls for Ferrow")
    first = of_day(keeper.book, keeper.config, keeper.day).rows[0]
    assert (first.enclosure.code, first.action.rule) == (code, CALL)
    for key in ("g", *code.lower(), "enter", "d"):
        keeper.press(key)
    if keeper.state.mode.name == "pick":
        keeper.press("1")
    assert CALL not in [a.rule for a in keeper.desk.actions(2)]
    assert keeper.drain(30.0)
    keeper.close(5.0)
    again = rack.opened(book, rack.config())
    assert "calls for you" not in again.state.message
    again.close(5.0)


def test_a_call_for_help_can_be_taken_back(book: Path, walk: Walk) -> None:
    for key in ("y", "enter", "u"):
        walk.press(key)
    assert CALL not in [a.rule for a in walk.desk.actions(0)]
    assert walk.drain(30.0)
    walk.close(5.0)
    keeper = rack.opened(book, rack.config())
    assert "calls for you" not in keeper.state.message
    keeper.close(5.0)


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
    assert "y call for help" in screen


def test_a_keeper_is_refused_nothing(book: Path) -> None:
    walk = rack.opened(book, rack.config())
    walk.press("y")
    assert walk.state.mode.name == "acts"
    walk.close(5.0)
