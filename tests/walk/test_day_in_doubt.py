"""A clock that is wrong: the round's day is asked about, and what was recorded keeps its order."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from rounds.husbandry.round_day import round_day
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


HOUR = 3_600_000
JUMPS = {
    "back a day": -24 * HOUR,
    "back to 1971": -20_000 * 24 * HOUR,
    "forward a year": 365 * 24 * HOUR,
    "an hour back, as in autumn on a machine that keeps local time": -HOUR,
    "an hour forward, as in spring": HOUR,
}


@pytest.mark.parametrize("jump", JUMPS)
def test_keys_keep_their_order_when_the_clock_is_set_between_them(
    jump: str, book: Path, last: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And their day is that of the round, also when the machine is taken to another zone meanwhile."""
    now = noon(last + 1)()
    times = iter([now, now + 5_000])

    def clock() -> int:
        return next(times, now + JUMPS[jump])

    walk = Walk(book, CONFIG, day=last + 1, clock=clock)
    for at in range(8):  # some boxes have a reading that the first press asks for
        if at == 3:
            monkeypatch.setenv("TZ", "Pacific/Kiritimati")
            time.tzset()
        walk.press("space")
    assert walk.drain(WAIT)
    uid = walk.round.uid
    assert walk.day == last + 1
    assert walk.close(WAIT) is None
    monkeypatch.undo()
    time.tzset()
    with open_book(book) as opened:
        visits = read.visits_of_round(opened, uid)
        newest = [read.last_visits(opened, v.enclosure, 1)[0].uid for v in visits]
        assert read.last_round_day(opened) == last + 1
    assert [v.uid for v in visits] == newest
    assert len(visits) >= 4


@pytest.mark.parametrize(
    ("begun", "ended", "day"),
    [
        ("2028-02-29T02:30", "2028-02-29T03:30", "2028-02-28"),  # over 04:00, when the leap day begins
        ("2026-03-28T23:30", "2026-03-29T02:30", "2026-03-28"),  # over the hour that is left out
        ("2026-10-25T00:30", "2026-10-25T01:30", "2026-10-24"),  # twice at half past two
    ],
)
def test_a_round_keeps_the_day_it_was_begun_on(begun: str, ended: str, day: str, book: Path) -> None:
    """The house is in Europe/Berlin; its clock changes are those of the IANA time zone database."""
    ordinal = date.fromisoformat(day).toordinal()
    assert round_day(at(begun)(), "Europe/Berlin", 240) == ordinal
    times = iter([at(begun)()] * 3)
    walk = Walk(book, CONFIG, day=ordinal, clock=lambda: next(times, at(ended)()))
    for _ in range(6):
        walk.press("space")
    assert walk.drain(WAIT)
    uid = walk.round.uid
    assert walk.close(WAIT) is None
    with open_book(book) as opened:
        assert read.last_round_day(opened) == ordinal
        visits = read.visits_of_round(opened, uid)
        assert [read.last_visits(opened, v.enclosure, 1)[0].uid for v in visits] == [v.uid for v in visits]
        assert len(visits) >= 3
