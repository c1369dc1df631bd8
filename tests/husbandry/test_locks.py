"""What must not be done: what holds on a day, what it forbids, and how that is said."""

from __future__ import annotations

from datetime import date

import pytest

from rounds.husbandry import locks
from rounds.husbandry.records import Lock
from rounds.husbandry.spans import Span
from rounds.husbandry.stages import STAGES, Depth

DAY = date(2026, 3, 1).toordinal()


def until(earliest: int, latest: int) -> Span:
    return Span(DAY + earliest, DAY + latest)


@pytest.mark.parametrize(("end", "holds"), [(until(0, 0), True), (until(-9, -1), False), (until(-9, 1), True), (None, True)])
def test_a_lock_holds_until_the_latest_day_of_its_span(end: Span | None, holds: bool) -> None:
    lock = Lock(("dig",), end, "eggs")
    assert (lock in locks.in_force("laying", [lock], DAY)) is holds


def test_stages_bring_their_own_locks_along() -> None:
    assert locks.in_force("cell", [], DAY)[0].forbids == ("dig", "open", "move", "wet")
    assert "dig" in locks.in_force("eggs", [], DAY)[0].forbids
    for stage in set(STAGES) - set(locks.BY_STAGE):
        assert locks.in_force(stage, [], DAY) == ()


def test_the_lock_that_holds_longest_is_the_one_named() -> None:
    short, long, forever = (Lock(("open",), e, "x") for e in (until(1, 2), until(1, 9), None))
    assert locks.forbidding([long, short], "open") is long
    assert locks.forbidding([long, forever, short], "open") is forever
    assert locks.forbidding([long, short], "wet") is None


@pytest.mark.parametrize(
    ("depth", "forbids", "said"),
    [
        (Depth.WALL, ("dig", "open", "move", "wet"), ""),
        (Depth.LID, ("dig",), ""),
        (Depth.LID, ("open",), "locked: do not open until 3 Mar (in its cell)"),
        (Depth.DUG, ("dig",), "locked: do not dig until 3 Mar (in its cell)"),
    ],
)
def test_how_closely_one_may_look(depth: Depth, forbids: tuple[str, ...], said: str) -> None:
    held = [Lock(forbids, until(1, 2), "in its cell")]
    assert locks.withheld(held, depth, False) == said
    assert locks.withheld(held, depth, True) == "", "foul, hot or flooded outweighs it"


def test_a_lock_in_words_names_the_animal_it_is_for() -> None:
    assert locks.words(Lock(("move",), None, "resting", "UMBER/2")) == "do not move (UMBER/2): resting"
    assert locks.words(Lock(("dig", "open"), until(1, 2), "eggs")) == "do not dig, open until 3 Mar: eggs"
