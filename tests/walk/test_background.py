"""Work beside the keys: the newest asking under a name counts, answers are kept, nothing waits."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from rounds.records.observations import House
from rounds.store.book import create
from rounds.views.sources import Archive, Tell
from rounds.walk import background
from rounds.walk.background import Behind, Work


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "book.sqlite"
    create(path, House("", "UTC")).close()
    return path


@pytest.fixture
def told() -> list[str]:
    return []


@pytest.fixture
def beside(path: Path, told: list[str]) -> Iterator[Behind]:
    made = Behind(path, lambda: told.append("!"))
    yield made
    made.stop()
    assert made.wait(30)


def test_an_answer_is_worked_out_once_and_kept(beside: Behind, told: list[str]) -> None:
    times = []

    def work(archive: Archive, tell: Tell) -> int:
        times.append(1)
        return 7

    assert beside.ask("a", "1", work).value is None
    assert beside.wait(30)
    assert (beside.ask("a", "1", work).value, beside.ask("a", "1", work).words) == (7, "")
    assert len(times) == 1
    assert told


def test_an_older_asking_under_a_name_is_given_up_and_a_done_one_kept(beside: Behind) -> None:
    began, go, wanted = threading.Event(), threading.Event(), []

    def slow(archive: Archive, tell: Tell) -> str:
        began.set()
        assert go.wait(30)
        wanted.append(tell("halfway"))
        return "slow"

    beside.ask("find", "done", lambda archive, tell: "done")
    assert beside.wait(30)
    beside.ask("find", "old", slow)
    assert began.wait(30)
    beside.ask("find", "new", lambda archive, tell: "new")
    go.set()
    assert beside.wait(30)
    assert wanted == [False]
    assert beside.ask("find", "new", slow).value == "new"
    assert beside.ask("find", "done", slow).value == "done"
    assert beside.ask("find", "old", lambda archive, tell: "again").value is None, "it was never done"


def test_what_it_has_come_to_so_far_is_shown(beside: Behind) -> None:
    there, go = threading.Event(), threading.Event()

    def work(archive: Archive, tell: Tell) -> list[int]:
        assert tell("one of two", [1])
        there.set()
        assert go.wait(30)
        return [1, 2]

    beside.ask("a", "", work)
    assert there.wait(30)
    so_far = beside.ask("a", "", work)
    assert (so_far.value, so_far.words) == ([1], "one of two")
    go.set()
    assert beside.wait(30)
    assert beside.ask("a", "", work).value == [1, 2]


def test_two_askings_of_one_name_in_turn_come_to_rest(beside: Behind) -> None:
    """A page and the one shown beside it may ask under the same name: both are answered in the end.

    Whether the first is begun before the second overtakes it is the thread's affair: if it was, it is
    worked out a second time. After that, nothing is.
    """
    times: list[str] = []

    def work(key: str) -> Work:
        def made(archive: Archive, tell: Tell) -> str:
            times.append(key)
            return key

        return made

    def ask_both() -> list[object]:
        said = [beside.ask("same", key, work(key)).value for key in ("one", "two")]
        assert beside.wait(30)
        return said

    for _ in range(3):
        ask_both()
    worked_out = list(times)
    assert set(worked_out) == {"one", "two"}
    assert len(worked_out) <= 3
    assert ask_both() == ["one", "two"]
    assert times == worked_out


def test_a_mistake_is_said_and_the_next_work_goes_on(beside: Behind) -> None:
    def broken(archive: Archive, tell: Tell) -> int:
        raise ZeroDivisionError("nobody is there")

    beside.ask("a", "", broken)
    assert beside.wait(30)
    assert beside.ask("a", "", broken).words == "could not be worked out: nobody is there"
    beside.ask("b", "", lambda archive, tell: 1)
    assert beside.wait(30)
    assert beside.ask("b", "", broken).value == 1


def test_what_fails_by_a_damaged_row_is_said_to_be_the_books(beside: Behind, path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("UPDATE house SET name = 'another'")
        db.commit()

    def broken(archive: Archive, tell: Tell) -> int:
        raise LookupError("7")

    beside.ask("a", "", broken)
    assert beside.wait(30)
    assert "the book is damaged (1 row is not what was written: house 1)" in beside.ask("a", "", broken).words


def test_saved_visits_forget_only_what_follows_from_them(beside: Behind) -> None:
    beside.ask("find", "x", lambda archive, tell: 1, of_visits=True)
    beside.ask("kin", "x", lambda archive, tell: 2)
    assert beside.wait(30)
    beside.forget_visits()
    assert beside.ask("kin", "x", lambda archive, tell: 3).value == 2
    assert beside.ask("find", "x", lambda archive, tell: 3, of_visits=True).value is None
    assert beside.wait(30)
    beside.forget()
    assert beside.ask("kin", "x", lambda archive, tell: 4).value is None


def test_answers_kept_do_not_pile_up(beside: Behind, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(background, "KEPT", 3)
    for n in range(6):
        beside.ask("a", str(n), lambda archive, tell, n=n: n)  # type: ignore[misc]
        assert beside.wait(30)
    assert beside.ask("a", "5", lambda archive, tell: None).value == 5
    assert beside.ask("a", "0", lambda archive, tell: None).value is None


def test_words_of_progress_do_not_each_wake_the_screen(beside: Behind, told: list[str]) -> None:
    def chatty(archive: Archive, tell: Tell) -> None:
        for n in range(10_000):
            assert tell(f"{n} of 10,000")

    beside.ask("a", "", chatty)
    assert beside.wait(30)
    assert 1 <= len(told) < 1_000
