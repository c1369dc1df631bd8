"""The first boxes of the invented house: each teaches one thing, in a line that goes away once it is done."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.presenters import walk_lines
from rounds.walk.core import Walk
from rounds.walk.lessons import LESSONS
from tests.endtoend import rack


@pytest.fixture
def walk(demo_book: Path, tmp_path: Path) -> Iterator[Walk]:
    opened = rack.opened(Path(shutil.copy(demo_book, tmp_path / "book.sqlite")), rack.config())
    opened.teach()
    yield opened
    opened.close(5.0)


def shown(walk: Walk) -> str:
    return "\n".join("".join(run[0] for run in line) for line in walk_lines.lines(walk, 80, 24))


def press(walk: Walk, *keys: str) -> None:
    for key in keys:
        walk.press(key)


def go_on(walk: Walk) -> None:
    at = walk.state.at
    while walk.state.at == at:
        walk.press("space")


def test_a_look_is_taught_at_the_first_box_until_there_is_one(walk: Walk) -> None:
    assert walk.state.at == 0
    assert "Try a reading" in shown(walk)
    press(walk, "1")
    assert walk.lesson == ""
    assert "Try a reading" not in shown(walk)


def test_a_flag_is_taught_until_one_rises(walk: Walk) -> None:
    go_on(walk)
    assert "Try a flag" in shown(walk)
    press(walk, "1")
    assert "Try a flag" in shown(walk), "a look that raises nothing new does not teach it"
    while (row := walk.state.cursor) < 20 and "> moisture" not in shown(walk):
        press(walk, "down")
        assert walk.state.cursor > row
    press(walk, "4")  # as the line says
    assert "Water stands" in shown(walk)
    assert walk.lesson == ""


def test_an_act_is_taught_where_a_pair_sits(walk: Walk) -> None:
    go_on(walk)
    go_on(walk)
    assert walk.route.stops[walk.state.at].enclosure.stage == "pairing"
    assert "y asks what happened here" in shown(walk)
    acts = [offer.act for offer in walk.desk.offers(walk.state.at)]
    press(walk, "y", str(acts.index("mating-seen") + 1), "enter")
    assert walk.lesson == ""


def test_a_search_is_taught_where_one_may_dig_and_one_is_led_there(walk: Walk) -> None:
    lessons = walk.lessons
    assert lessons is not None
    last = max(lessons.open)
    stop = walk.route.stops[last]
    assert stop.enclosure.stage == "laying"
    assert not any("dig" in lock.forbids for lock in stop.locks)
    for at in [i for i in lessons.open if i != last]:
        del lessons.open[at]
    assert f"g, {stop.enclosure.number} and enter go to {stop.enclosure.code}" in walk.lesson
    press(walk, "g", *str(stop.enclosure.number), "enter")
    assert walk.state.at == last
    assert "Try a search" in shown(walk)


def test_every_lesson_has_a_box_and_each_its_own_line_that_fits(walk: Walk) -> None:
    assert walk.lessons is not None
    assert [lesson.id for lesson in walk.lessons.open.values()] == [lesson.id for lesson in LESSONS]
    for lesson in LESSONS:
        assert len(lesson.say(walk.desk)) < 80


def test_a_book_of_ones_own_teaches_nothing(demo_book: Path, tmp_path: Path) -> None:
    walk = rack.opened(Path(shutil.copy(demo_book, tmp_path / "book.sqlite")), rack.config())
    assert walk.lesson == ""
    assert "Try" not in shown(walk)
    walk.close(5.0)
