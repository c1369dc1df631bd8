"""Due work of a house worked out beside the keys: the newest asking is answered, a failure is said."""

from __future__ import annotations

import shutil
import sys
import threading
from pathlib import Path

import pytest

from rounds.config import Config
from rounds.records.round_summary import Need
from rounds.store.book import open_book
from rounds.store.ledger_store import load
from rounds.walk import due_background
from rounds.walk.due_background import DueWorkFinder, Found, added, find
from tests.endtoend import rack

CONFIG = rack.config()


def work(book: Path, config: Config = CONFIG) -> tuple[DueWorkFinder, threading.Event]:
    told = threading.Event()
    return DueWorkFinder(book, config, rack.TODAY, rack.TODAY + 7, told.set), told


def test_what_is_found_is_what_the_books_give(demo_book: Path) -> None:
    with open_book(demo_book, readonly=True) as book:
        expected = find(load(book), CONFIG, rack.TODAY, rack.TODAY + 7)
    assert expected.dues
    due, told = work(demo_book)
    due.ask(None)
    assert due.wait(30)
    assert told.wait(30)
    found = due.take()
    assert found is not None
    assert (found.dues, found.carry, found.said) == (expected.dues, expected.carry, "")
    assert due.take() is None, "an answer is taken once"


def test_books_that_the_walk_has_are_used_instead(demo_book: Path, tmp_path: Path) -> None:
    with open_book(demo_book, readonly=True) as book:
        ledger = load(book)
    due, _ = work(tmp_path / "nowhere.sqlite")
    due.ask(ledger)
    assert due.wait(30)
    found = due.take()
    assert found is not None
    assert found.ledger is ledger
    assert found.dues


def test_only_the_newest_asking_is_answered(demo_book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    began, go = threading.Event(), threading.Event()
    given: list[object] = []

    def slow(ledger: object, *_: object) -> Found:
        given.append(ledger)
        began.set()
        assert go.wait(30)
        return Found(ledger)  # type: ignore[arg-type]

    monkeypatch.setattr(due_background, "find", slow)
    due, told = work(demo_book)
    due.ask("first")  # type: ignore[arg-type]
    assert began.wait(30)
    due.ask("second")  # type: ignore[arg-type]
    due.ask("third")  # type: ignore[arg-type]
    assert due.take() is None
    assert not told.is_set()
    go.set()
    assert due.wait(30)
    found = due.take()
    assert found is not None
    assert found.ledger == "third"
    assert given == ["first", "third"]


def test_after_stopping_nobody_is_told(demo_book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    began, go = threading.Event(), threading.Event()

    def slow(ledger: object, *_: object) -> Found:
        began.set()
        assert go.wait(30)
        return Found(ledger)  # type: ignore[arg-type]

    monkeypatch.setattr(due_background, "find", slow)
    due, told = work(demo_book)
    due.ask("books")  # type: ignore[arg-type]
    assert began.wait(30)
    due.stop()
    go.set()
    for thread in threading.enumerate():
        if thread.name == "rounds-due":
            thread.join(30)
    assert not told.is_set()
    assert due.take() is None


def test_a_failure_is_said_in_one_line_and_the_interpreter_is_left_as_it_was(
    demo_book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = sys.getswitchinterval()
    due, _ = work(tmp_path / "nowhere.sqlite")
    due.ask(None)
    assert due.wait(30)
    found = due.take()
    assert found is not None
    assert found.ledger is None
    assert "there is no book here" in found.said
    assert "What the book holds is shown" in found.said

    def broken(*_: object) -> Found:
        raise ValueError("no such thing")

    monkeypatch.setattr(due_background, "find", broken)
    other, _ = work(Path(shutil.copy(demo_book, tmp_path / "b.sqlite")))
    other.ask(None)
    assert other.wait(30)
    found = other.take()
    assert found is not None
    assert "no such thing" in found.said
    assert sys.getswitchinterval() == usual


def test_things_to_bring_are_added_up() -> None:
    cups, cup, tub = Need("cups", 2, 2), Need("cups", 1, 1), Need("tubs", 1, 1)
    assert added({1: [cups]}, {1: [cup, tub], 2: []}, {}) == {1: (cups, cup, tub), 2: ()}
