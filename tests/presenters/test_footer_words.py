"""What the foot says of a question, of the end of the questions and of a note, as a new keeper reads it."""

from __future__ import annotations

from pathlib import Path

import pytest

from rounds.presenters import footer
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from tests.screens import house

NUMBERS = house.shipped().with_keys("numbers")


def foot(walk: Walk, width: int = 80, height: int = 24) -> list[str]:
    return [line.rstrip() for line in house.text(footer.foot(walk, width, height))]


def to_row(walk: Walk, kind: str) -> None:
    at = next(i for i, a in enumerate(steps.rows(walk.state, walk.desk)) if a.kind.id == kind)
    while walk.state.cursor < at:
        walk.press("down")


@pytest.mark.parametrize("size", house.SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
def test_a_note_being_typed_names_its_enclosure(book: Path, size: tuple[int, int]) -> None:
    with house.walking(book) as walk:
        for number in (7, 12):
            house.go(walk, number)
            code = walk.route.stops[walk.state.at].enclosure.code
            house.press(walk, "n")
            assert f" {code}, note: _" in foot(walk, *size)
            house.press(walk, *"dry", "enter")


def test_a_number_says_what_enter_does_before_its_first_digit_and_after_it(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, 7)
        house.press(walk, "1")  # what is gone is asked each time, and the shelf once
        to_row(walk, "shelf_temp")
        house.press(walk, "2", "4", "enter")
        walk.state = walk.state._replace(cursor=0)
        to_row(walk, "jelly_in")
        assert " jelly given: 0 to 40 (¼ cup); enter or space: all else as usual, next box" in foot(walk)
        assert "enter takes it" not in "".join(foot(walk))
        house.press(walk, "2")
        assert " jelly given: 0 to 40 (¼ cup), enter takes it" in foot(walk)
        house.press(walk, "enter")  # and it does: the number stands, and the walk is still here
        assert steps.cells_here(walk.state, walk.desk)["jelly_in"] == 2
        at = walk.state.at
        walk.state = walk.state._replace(cursor=0)
        to_row(walk, "jelly_in")
        house.press(walk, "enter")  # with nothing typed: the rest, and on
        assert walk.state.at == at + 1


def test_a_number_of_an_earlier_visit_says_that_enter_goes_back_to_today(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, 7)
        house.press(walk, "c", "1")
        to_row(walk, "jelly_in")
        assert " jelly given: 0 to 40 (¼ cup); enter or space: back to today's visit" in foot(walk)
        house.press(walk, "enter")
        assert walk.state.earlier is None


def test_a_number_on_the_pad_names_no_key_that_it_has_not(book: Path) -> None:
    with house.walking(book, NUMBERS) as walk:
        house.go(walk, 7)
        while steps.rows(walk.state, walk.desk)[walk.state.cursor].kind.id != "jelly_in":
            walk.press("+")
        assert " jelly given: 0 to 40 (¼ cup); enter: all else as usual, next box" in foot(walk)


def test_the_end_of_the_questions_says_what_is_still_without_an_answer(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, 7)
        for _ in steps.rows(walk.state, walk.desk):
            walk.press("down")
        assert walk.state.cursor == len(steps.rows(walk.state, walk.desk))
        assert " still to be read: jelly eaten" in foot(walk)  # a shelf's reading stops nobody
        answers = {"jelly_in": "2\r", "shelf_temp": "24\r"}
        kinds = [a.kind.id for a in steps.rows(walk.state, walk.desk)]
        for kind in ("jelly_gone", "shelf_temp", *kinds):
            walk.state = walk.state._replace(cursor=0)
            to_row(walk, kind)
            house.press(walk, *("enter" if k == "\r" else k for k in answers.get(kind, "1")))
            if kind == "shelf_temp" and "mites" not in steps.cells_here(walk.state, walk.desk):
                walk.state = walk.state._replace(cursor=len(kinds))
                assert " nothing more has to be typed here" in foot(walk)
        walk.state = walk.state._replace(cursor=len(kinds))
        assert " all is read here" in foot(walk)


def test_the_end_of_the_questions_names_what_has_to_be_read(book: Path) -> None:
    """At an enclosure that was too dry last time moisture is asked again: going past it leaves it open."""
    with house.walking(book) as walk:
        house.go(walk, 23)
        for _ in steps.rows(walk.state, walk.desk):
            walk.press("down")
        assert any(line.startswith(" still to be read: moisture") for line in foot(walk))


def test_on_the_rack_a_pad_goes_box_by_box_and_its_foot_says_so(book: Path) -> None:
    with house.walking(book, NUMBERS) as walk:
        house.press(walk, "/", "0", "3", "1")
        assert walk.pages.page(walk.state.pages[-1]).shelves
        shown = "\n".join(foot(walk, 120, 40))
        assert "+ next box" in shown
        assert "box before" in shown
    with house.walking(book) as walk:
        house.press(walk, "right", "1")
        assert walk.pages.page(walk.state.pages[-1]).shelves
        assert "box before" not in "\n".join(foot(walk, 120, 40))
