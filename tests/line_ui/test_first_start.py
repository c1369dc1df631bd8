"""The first start: its questions as a pure machine, and the book that comes of the answers, whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.acts.act import BadAct
from rounds.commands import first_start as command
from rounds.line_ui import first_start_sentences as sentences
from rounds.line_ui.first_start import QUESTIONS, FirstStart
from rounds.line_ui.new_rack import MOST_IN_ALL, NewRack, is_code
from rounds.store import read
from rounds.store.book import open_book

TODAY = 739_000
USUAL = NewRack("My house", "keeper", 1, 4, 5, 10, "T-01", filled=True)


def after(*lines: str) -> FirstStart:
    state = FirstStart()
    for line in lines:
        assert not state.outcome, "nothing is asked any more"
        state = state.take(line)
    return state


def test_enter_alone_shows_the_invented_house() -> None:
    assert after("").outcome == "demo"
    assert after("3").outcome == "leave"


def test_enter_alone_is_an_answer_to_every_question_of_a_book_of_ones_own() -> None:
    state = after("2", *[""] * (len(QUESTIONS) - 1))
    assert state.outcome == "make"
    assert state.rack == USUAL


def test_digits_and_enter_are_enough_for_any_rack() -> None:
    state = after("2", "", "", "3", "2", "6", "36", "", "2", "1")
    assert state.outcome == "make"
    assert state.rack == NewRack("My house", "keeper", 3, 2, 6, 36, "T-01", filled=False)


@pytest.mark.parametrize(
    ("before", "line", "said"),
    [
        ((), "4", sentences.one_of_these(3)),
        ((), "demo", sentences.one_of_these(3)),
        (("2",), "a, b", sentences.NO_WORD),
        (("2",), "x" * 61, sentences.NO_WORD),
        (("2", "", ""), "0", sentences.one_of_these(26)),
        (("2", "", ""), "two", sentences.one_of_these(26)),
        (("2", "", "", "26"), "77", sentences.and_why(sentences.one_of_these(76), MOST_IN_ALL)),
        (("2", "", "", "20", "10"), "11", sentences.and_why(sentences.one_of_these(10), MOST_IN_ALL)),
        (("2", "", "", "1"), "100", sentences.one_of_these(99)),
        (("2", "", "", "", "2", "2"), "5", sentences.one_of_these(4)),
        (("2", "", "", "", "", "", ""), "box", sentences.NO_CODE),
        (("2", "", "", "", "", "", ""), "17", sentences.NO_CODE),
        (("2", "", "", "", "", "", ""), "T-00", sentences.NO_CODE),
    ],
)
def test_an_answer_that_cannot_be_used_is_told_and_asked_again(
    before: tuple[str, ...], line: str, said: str
) -> None:
    state = after(*before)
    refused = state.take(line)
    assert refused.message == said
    assert refused._replace(message="") == state


def test_back_keeps_the_answers_and_a_smaller_rack_asks_for_fewer_boxes() -> None:
    state = after("2", "Kiln", "Wren", "1", "2", "5", "10", "back")
    assert state.prompt.endswith("[10]")
    state = state.take("back").take("3")
    assert state.prompt == sentences.asked(sentences.boxes(6), "6"), "10 do not fit any more"
    changed = after("2", "Kiln", "Wren", "", "", "", "", "", "", "2")
    assert changed.prompt == sentences.asked(sentences.HOUSE, "Kiln")
    assert after("back").prompt == FirstStart().prompt


def test_what_will_be_made_is_said_before_it_is() -> None:
    prompt = after("2", "Kiln", "Wren", "2", "2", "3", "8", "K-098", "1").prompt
    assert "Kiln, kept by Wren" in prompt
    assert "A1-1 to B2-3" in prompt
    assert "8 boxes, prepared: K-098 to K-105" in prompt


@given(st.lists(st.text(max_size=8), max_size=30))
def test_no_line_breaks_it_and_only_a_choice_ends_it(lines: list[str]) -> None:
    state = FirstStart()
    for line in lines:
        if state.outcome:
            break
        state = state.take(line)
        assert state.prompt
    assert state.outcome != "make" or {q.id for q in QUESTIONS[1:-1]} <= set(state.answers)


@given(st.integers(1, 26), st.integers(1, 9), st.integers(1, 8), st.integers(1, MOST_IN_ALL))
def test_every_box_has_a_slot_a_code_and_a_number_of_its_own(
    bays: int, shelves: int, slots: int, boxes: int
) -> None:
    rack = USUAL._replace(
        bays=bays, shelves=shelves, slots=slots, boxes=min(boxes, bays * shelves * slots), first_code="T-9"
    )
    put_up = {(t["bay"], t["shelf"]): int(t["slots"]) for act, t in rack.acts() if act == "shelf"}
    assert len(put_up) == bays * shelves
    made = [t for act, t in rack.acts() if act == "box"]
    assert len(made) == rack.boxes
    for name in ("code", "number", "place"):
        assert len({t[name] for t in made}) == rack.boxes
    assert {t["place"] for t in made} <= set(rack.places())


def test_a_rack_of_three_hundred_boxes_is_told_by_digits_and_enter() -> None:
    state = after("2", "", "", "5", "6", "10", "300", "T-001", "1", "1")
    assert state.outcome == "make"
    assert (len(list(state.rack.places())), state.rack.codes()[-1]) == (300, "T-300")


def test_codes_need_a_letter_and_a_number_at_their_end() -> None:
    assert all(map(is_code, ("T-01", "B1-007", "Käfer 3", "x9")))
    assert not any(map(is_code, ("", "12", "A-", "-1", "T-0", "T-999999")))


def test_the_book_has_the_rack_and_the_boxes_as_described(tmp_path: Path) -> None:
    path = tmp_path / "new" / "book.sqlite"
    rack = USUAL._replace(house="Kiln", keeper="Wren", bays=2, shelves=1, slots=2, boxes=3, first_code="K-07")
    command.make(path, rack, TODAY)
    with open_book(path, readonly=True) as book:
        assert read.house(book).name == "Kiln"
        assert next(iter(read.keepers(book))) == "Wren"
        boxes = {e.code: e for e in read.enclosures(book)}
    assert {code: (e.number, e.place and e.place.address, e.stage) for code, e in sorted(boxes.items())} == {
        "K-07": (7, "A1-1", "prepared"),
        "K-08": (8, "A1-2", "prepared"),
        "K-09": (9, "B1-1", "prepared"),
    }
    assert all(e.stage_since and e.stage_since.earliest == TODAY for e in boxes.values())


def test_a_rack_that_is_refused_leaves_nothing_behind(tmp_path: Path) -> None:
    path = tmp_path / "book.sqlite"
    with pytest.raises(BadAct):
        command.make(path, USUAL._replace(boxes=3, first_code="T" * 70 + "1"), TODAY)
    assert list(tmp_path.iterdir()) == []


def test_nobody_is_asked_where_nobody_can_answer(tmp_path: Path) -> None:
    """Under pytest the streams are no terminal: as in a pipe, the missing book is told of instead."""
    assert not command.offered(tmp_path / "none.sqlite")
