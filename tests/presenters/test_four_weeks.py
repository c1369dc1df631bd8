"""Four weeks in pictures: every day has its own cell, and what is in it is what was read that day."""

from __future__ import annotations

from pathlib import Path

import pytest

from rounds.presenters import four_weeks
from rounds.presenters.lines import size
from rounds.walk.core import Walk
from tests.screens import house

WORST = 14


def pictures(walk: Walk) -> dict[str, str]:
    """By reading's title, the 28 cells of its picture."""
    lines = house.text(four_weeks.lines(walk, 38))[1:-3]
    return {
        title.split("  ")[0]: picture[: four_weeks.DAYS]
        for title, picture in zip(lines[::2], lines[1::2], strict=True)
    }


def test_every_cell_is_what_was_read_that_day(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        shown = pictures(walk)
        first = walk.day - four_weeks.DAYS + 1
        visits = {v.day: v for v in walk.past.of(walk.state.at)}
        keys = {c.id: c.key for c in walk.config.vocabulary.kinds["moisture"].choices}
        odd = {
            day: v.read["moisture"] for day, v in visits.items() if v.read.get("moisture", "right") != "right"
        }
        assert len(odd) > 3
        for i, sign in enumerate(shown["moisture"][:-1]):
            day = first + i
            expected = keys[str(odd[day])] if day in odd else four_weeks.FINE
            assert sign == expected, day
        assert shown["moisture"][-1] == four_weeks.UNSEEN, "today nobody has looked"
        assert shown["larvae surfaced"][-2] == four_weeks.BARS[-1]


def test_a_key_shows_in_todays_cell_and_a_day_without_a_look_is_a_gap(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        at = walk.state.at
        gone = walk.past.of(at).pop(-3)
        house.press(walk, "m", "1")
        shown = pictures(walk)
        assert shown["moisture"][-1] == "1"
        assert shown["jelly eaten"][-1] == four_weeks.NOT_READ
        for picture in shown.values():
            assert picture[gone.day - walk.day - 1] == four_weeks.UNSEEN


@pytest.mark.parametrize("number", [7, 14, 33, 47])
def test_they_fit_their_column(book: Path, number: int) -> None:
    with house.walking(book) as walk:
        house.go(walk, number)
        assert all(size(line) == 38 for line in four_weeks.lines(walk, 38))


def test_where_all_was_ordinary_there_is_no_picture(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, 33)
        assert four_weeks.lines(walk, 38) == []
