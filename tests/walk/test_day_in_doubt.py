"""A clock that is wrong: the round's day is asked about, and what was recorded keeps its order."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rounds.problems import DayInDoubt
from rounds.store import read
from rounds.store.book import open_book
from rounds.walk.core import Walk
from tests.endtoend import rack

CONFIG = rack.config()
WAIT = 20.0


def at(text: str) -> Callable[[], int]:
    """A clock that stands at an instant of UTC."""
    ms = int(datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp() * 1000)
    return lambda: ms


@pytest.fixture
def book(demo_book: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_book, tmp_path / "book.sqlite"))


@pytest.fixture
def last(book: Path) -> int:
    with open_book(book) as opened:
        found = read.last_round_day(opened)
    assert found is not None
    return found


def noon(day: int) -> Callable[[], int]:
    return at(f"{datetime.fromordinal(day):%Y-%m-%d}T11:00")


@pytest.mark.parametrize("off", [-1, -20_000, 61, 365])
def test_a_round_on_an_unlikely_day_is_not_begun_unasked(book: Path, last: int, off: int) -> None:
    before = book.read_bytes()
    with pytest.raises(DayInDoubt) as told:
        Walk(book, CONFIG, clock=noon(last + off))
    assert (told.value.day, told.value.last) == (last + off, last)
    assert "--today" in str(told.value)
    assert book.read_bytes() == before


@pytest.mark.parametrize("off", [0, 1, 60])
def test_the_next_days_are_not_asked_about(book: Path, last: int, off: int) -> None:
    walk = Walk(book, CONFIG, clock=noon(last + off))
    assert walk.day == last + off
    assert walk.close(WAIT) is None


def test_who_says_the_day_is_believed_and_is_not_asked_again(book: Path, last: int) -> None:
    """A year ahead by mistake: the next mornings follow the round that was begun last, not the latest day."""
    for day in (last + 365, last + 1):
        walk = Walk(book, CONFIG, day=day, clock=noon(day))
        walk.press("space")
        assert walk.drain(WAIT)
        assert walk.close(WAIT) is None
    walk = Walk(book, CONFIG, clock=noon(last + 2))
    assert walk.day == last + 2
    assert walk.close(WAIT) is None


def test_keys_keep_their_order_when_the_clock_is_set_back_between_them(book: Path, last: int) -> None:
    now = noon(last + 1)()
    times = iter([now, now + 5_000])

    def clock() -> int:
        return next(times, now - 86_400_000)  # back by a day, in the middle of a round

    walk = Walk(book, CONFIG, day=last + 1, clock=clock)
    for _ in range(8):  # some boxes have a reading that the first press asks for
        walk.press("space")
    assert walk.drain(WAIT)
    uid = walk.round.uid
    assert walk.close(WAIT) is None
    with open_book(book) as opened:
        visits = read.visits_of_round(opened, uid)
        newest = [read.last_visits(opened, v.enclosure, 1)[0].uid for v in visits]
    assert [v.uid for v in visits] == newest
    assert len(visits) >= 4
