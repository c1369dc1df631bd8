"""The card of an act on the pure machine: its six commands, its answers, with letters and with a number pad."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from rounds.acts.card_answers import REST_OF_THEM
from rounds.keys.card_commands import CARD_COMMANDS, STANDARD
from rounds.walk.machine.card_shown import key_that_ends_a_text
from rounds.walk.machine.press import press
from rounds.walk.machine.prompts import CardShown, prompt
from rounds.walk.machine.state import (
    DueHere,
    Effect,
    OlderAct,
    PromisedStep,
    RecordAct,
    State,
    UndoOlderAct,
)
from rounds.walk.machine.steps import start
from tests.walk.machine.desk import CARD_KEYS, PAD, SmallDesk

LAYOUTS = ("letters", "numbers")


def desk_of(layout: str) -> SmallDesk:
    desk = SmallDesk()
    desk.card_keys = dict(CARD_KEYS[layout])
    if layout == "numbers":
        desk.commands = dict(PAD)
    return desk


def typed(desk: SmallDesk, keys: Iterable[str], state: State | None = None) -> tuple[State, list[Effect]]:
    """A step that names a command of a card, or ``act``, is its key in the layout; others are keys."""
    state, effects = start(State(), desk) if state is None else state, list[Effect]()
    by_command = {c: k for k, c in reversed(desk.card_keys.items())}
    by_command["end_text"] = key_that_ends_a_text(desk)
    opens = next(k for k, c in desk.commands.items() if c == "record")
    for step in keys:
        state, more = press(state, opens if step == "act" else by_command.get(step, step), desk)
        effects += more
    return state, effects


def told(effects: list[Effect]) -> dict[str, str]:
    [record] = [e for e in effects if isinstance(e, RecordAct)]
    return dict(record.typed)


def shown(state: State, desk: SmallDesk) -> CardShown:
    card = prompt(state, desk).card
    assert card is not None
    return card


TO_MARK = ("act", "2", "1", "1")
"""The act of two animals: whom, how, and then its mark."""
FILLED = (*TO_MARK, *"7", "end_text")


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_card_is_filled_in_and_recorded_without_arrow_or_backspace(layout: str) -> None:
    desk = desk_of(layout)
    state, effects = typed(desk, (*FILLED, "1", "4", "at_least", "record"))
    assert told(effects) == {"how": "by spot", "mark": "7", "many": "14+"}
    assert state.mode.name == "walk"
    keys = {k for k, c in desk.card_keys.items() if c in CARD_COMMANDS}
    for command in CARD_COMMANDS:
        mine = {k for k in keys if desk.card_keys[k] == command}
        assert mine - {"up", "down", "left", "right", "backspace"}, command


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_cursor_goes_to_the_next_field_and_the_one_before_and_round_again(layout: str) -> None:
    desk = desk_of(layout)
    state, _ = typed(desk, FILLED)
    assert state.mode.at == "many"
    for command, at in (
        ("next_field", "note"),
        ("next_field", "on"),
        ("next_field", "whom"),
        ("previous_field", "on"),
        ("previous_field", "note"),
        ("previous_field", "many"),
    ):
        state, _ = typed(desk, (command,), state)
        assert state.mode.at == at


def test_at_least_is_said_of_a_count_and_taken_back_by_the_same_key() -> None:
    desk = desk_of("letters")
    state, _ = typed(desk, (*FILLED, "3", "at_least", "previous_field"))
    assert dict(state.mode.draft.answers)["many"] == "3+"
    state, _ = typed(desk, ("at_least", "previous_field"), state)
    assert dict(state.mode.draft.answers)["many"] == "3"
    state, _ = typed(desk, (*TO_MARK, "at_least"))
    assert "is no count" in state.message


def test_at_least_may_be_said_before_the_number() -> None:
    desk = desk_of("letters")
    state, _ = typed(desk, (*FILLED, "at_least", "at_least", "at_least", "3"))
    assert shown(state, desk).rows  # it stands there as it is typed
    state, effects = typed(desk, ("record",), state)
    assert told(effects)["many"] == "≥3"


def test_what_is_listed_can_be_typed_and_what_has_no_list_says_so() -> None:
    desk = desk_of("numbers")
    state, _ = typed(desk, (*FILLED, "next_field", "next_field"))
    assert prompt(state, desk).answers
    state, _ = typed(desk, ("choose", "1", "2"), state)
    assert prompt(state, desk).typed == "12"
    state, _ = typed(desk, ("end_text",), state)
    assert dict(state.mode.draft.answers)["on"] == "12"
    state, _ = typed(desk, (*TO_MARK, "choose"))
    assert "nothing is listed" in state.message
    state, _ = typed(desk, ("act", "2", "1", "choose"))
    assert "press one of the numbers" in state.message


def test_list_or_type_is_offered_only_where_both_can_be_done() -> None:
    desk = desk_of("letters")
    many, _ = typed(desk, FILLED)  # a number: its digits are typed
    day, _ = typed(desk, (*FILLED, "next_field", "next_field"))
    offered = [[a.text for a in prompt(state, desk).others] for state in (many, day)]
    assert ["another day" in texts for texts in offered] == [False, True]


def test_a_wrong_answer_is_told_when_it_is_given_and_the_others_stand() -> None:
    desk = desk_of("letters")
    state, effects = typed(desk, (*TO_MARK, *"unreadable", "record"))
    assert (effects, state.message) == ([], "mark: that cannot be read")
    assert (state.mode.at, state.mode.buffer) == ("mark", "unreadable")
    assert dict(state.mode.draft.answers) == {"how": "by spot"}
    _, effects = typed(desk, ("leave", *"red", "record"), state)
    assert told(effects) == {"how": "by spot", "mark": "red"}


def test_nothing_is_recorded_while_something_has_to_be_told() -> None:
    desk = desk_of("letters")
    state, effects = typed(desk, ("act", "2", "1", "next_field", "record"))
    assert (effects, state.mode.at) == ([], "how")
    assert state.message == "still needed: How?"
    assert shown(state, desk).lacking == ("how", "mark")


def test_leaving_rubs_out_takes_an_answer_away_and_says_what_would_be_lost_before_it_leaves() -> None:
    desk = desk_of("letters")
    state, effects = typed(desk, (*FILLED, "2", "leave"))
    assert (state.mode.buffer, state.mode.at) == ("", "many")
    state, _ = typed(desk, ("previous_field", "leave"), state)
    assert "mark" not in dict(state.mode.draft.answers)
    asked, effects = typed(desk, ("leave",), state)
    assert (asked.mode.name, effects) == ("card", [])
    assert asked.message == "2 answers would be lost: * again leaves the card, any other key goes on"
    goes_on, _ = typed(desk, ("next_field", "leave"), asked)
    assert goes_on.mode.name == "card", "another key in between: it is asked again"
    state, effects = typed(desk, ("leave",), asked)
    assert (state.mode.name, state.message, effects) == ("walk", "nothing recorded", [])


def test_rubbing_out_never_leaves_a_card_with_something_filled_in() -> None:
    desk = desk_of("letters")
    state, effects = typed(desk, (*FILLED, "2", *["backspace"] * 5))
    assert (state.mode.name, effects) == ("card", [])
    assert dict(state.mode.draft.answers)["mark"] == "7"
    assert state.message == "nothing to rub out here; * leaves the card"
    empty, _ = typed(desk, ("act", "2", "backspace"))
    assert empty.mode.name == "walk", "with nothing filled in there is nothing to lose"


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("keys", [(), ("a",), ("previous_field",), ("1", "2"), ("previous_field", "leave")])
def test_line_mode_knows_how_often_the_key_that_leaves_is_pressed(layout: str, keys: tuple[str, ...]) -> None:
    desk = desk_of(layout)
    state, _ = typed(desk, (*FILLED, *keys))
    presses = shown(state, desk).presses_to_leave
    for _ in range(presses):
        assert state.mode.name == "card"
        state, _ = typed(desk, ("leave",), state)
    assert state.mode.name == "walk"


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("last", [("7",), (*"7", "end_text", "4"), (*"7", "end_text", "next_field", *"wet")])
def test_the_key_that_records_does_so_in_every_kind_of_field(layout: str, last: tuple[str, ...]) -> None:
    """Mark is a text, how many a count, and a note is a text as well."""
    desk = desk_of(layout)
    state, _ = typed(desk, (*TO_MARK, *last))
    assert prompt(state, desk).hint.startswith("enter records"), "and it is said while something is typed"
    state, effects = typed(desk, ("record",), state)
    assert told(effects)["mark"] == "7"
    assert state.mode.name == "walk"


def test_on_a_pad_a_plus_behind_a_count_says_that_it_has_gone_on_with_exactly_so_many() -> None:
    desk = desk_of("numbers")
    state, _ = typed(desk, (*FILLED, "3", "next_field"))
    assert dict(state.mode.draft.answers)["many"] == "3"
    assert state.message == "how many: 3 exactly; / says at least so many"


def test_what_is_chosen_by_digits_alone_takes_no_letters() -> None:
    """Typed behind a chosen digit a text would have been added to the answer."""
    desk = desk_of("letters")
    state, effects = typed(desk, ("act", "2", "1", "r"))
    assert (state.mode.at, state.mode.buffer, effects) == ("how", "", [])
    assert state.message == "how: press one of the numbers"


def test_a_proposal_stands_unless_another_answer_is_given() -> None:
    desk = desk_of("letters")
    desk.proposed = "5"
    _, effects = typed(desk, (*FILLED, "record"))
    assert told(effects) == {"how": "by spot", "mark": "7", "many": "5"}
    [row] = [r for r in shown(typed(desk, TO_MARK)[0], desk).rows if r.label == "how many"]
    assert (row.said, row.how) == ("5", "proposed")
    _, effects = typed(desk, (*TO_MARK, "7", "end_text", "previous_field", "next_field", "8", "record"))
    assert told(effects)["many"] == "8"


def test_what_recording_does_is_said_with_what_is_being_typed() -> None:
    desk = desk_of("letters")
    state, _ = typed(desk, FILLED)
    assert prompt(state, desk).hint.startswith(
        "enter records sexed UMBER/3: how by spot, mark 7; not said: how many"
    )
    state, _ = typed(desk, ("1", "2"), state)
    assert "how many 12" in prompt(state, desk).hint


def test_none_of_all_that_is_open_is_one_answer() -> None:
    class Counting(SmallDesk):
        def card(self, *args, **more):  # type: ignore[no-untyped-def]
            card = super().card(*args, **more)
            ready = tuple(a._replace(typed=REST_OF_THEM) for a in card.fields[0].answers)
            fields = tuple(f._replace(answers=ready) if f.kind == "count" else f for f in card.fields)
            return card._replace(fields=fields)

    desk = Counting()
    _, effects = typed(desk, (*FILLED, "choose", "1", "record"))
    assert told(effects)["many"] == "0"


def test_an_act_that_does_not_fit_today_is_listed_and_not_recorded() -> None:
    desk = desk_of("numbers")
    state, effects = typed(desk, ("act", "3"))
    assert (state.mode.name, effects) == ("acts", [])
    assert state.message == "has lost its mark: not today, nobody here has a mark"
    assert prompt(typed(desk, ("act",))[0], desk).answers[2].unfit


def test_a_card_is_opened_even_where_nothing_is_needed_when_more_is_to_be_told() -> None:
    desk = desk_of("numbers")
    state, effects = typed(desk, ("act", "/", "1"))
    assert (state.mode.name, effects) == ("card", [])
    _, effects = typed(desk, ("1", "record"), state)
    assert told(effects) == {"on": "2025-05-11"}


def test_a_caution_opens_the_card_and_an_act_without_is_two_keys() -> None:
    desk = desk_of("letters")
    assert isinstance(typed(desk, ("act", "1"))[1][0], RecordAct)
    desk.caution = "Gloves."
    assert shown(typed(desk, ("act", "2"))[0], desk).caution == "Gloves."


def test_due_work_opens_the_act_that_does_it_and_ticks_off_only_what_has_none() -> None:
    desk = desk_of("letters")
    desk.due = (DueHere("marking", "sexed"), DueHere("look again"))
    state, _ = typed(desk, ("d", "1"))
    assert state.mode.draft.act == "sexed"
    _, effects = typed(desk, ("d", "2"))
    assert [(e.act, e.typed) for e in effects if isinstance(e, RecordAct)] == [
        ("due-done", (("work", "look again"),))
    ]
    desk.due = desk.due[:1]
    state, _ = typed(desk, ("d",))
    assert state.mode.name == "card"


def test_an_older_act_is_corrected_in_its_place_or_taken_back_unless_others_rest_on_it() -> None:
    desk = desk_of("letters")
    old = OlderAct(b"o" * 16, "sexed", "UMBER/3", (("how", "by spot"), ("mark", "7")), "1 Mar: sexed")
    desk.older = (old,)
    _, effects = typed(desk, ("c", "1", "1", "1", "2", "record"))
    [record] = [e for e in effects if isinstance(e, RecordAct)]
    assert (record.whom, record.instead) == ("UMBER/3", old.uid)
    assert dict(record.typed)["many"] == "12"
    _, effects = typed(desk, ("c", "1", "2"))
    assert effects == [UndoOlderAct(0, old.uid)]
    desk.resting = {old.uid}
    for key in "12":
        state, effects = typed(desk, ("c", "1", key))
        assert (effects, state.message) == ([], "other acts rest on it")


def test_in_a_series_the_next_box_is_asked_for_or_scanned_and_its_card_opens() -> None:
    desk = desk_of("numbers")
    desk.weighs = True
    state, effects = typed(desk, ("act", "4", "3", "1", "choose", "5", "next_field", "1", "record"))
    assert told(effects) == {"grams": "31.5"}
    assert state.mode.name == "series"
    by_number, _ = typed(desk, ("2", "enter"), state)
    by_scan, _ = typed(desk, ("tab", *"TL-002", "enter"), state)
    for after in (by_number, by_scan._replace(scanned=False)):
        assert (after.at, after.mode.name, after.mode.at) == (1, "card", "grams")
        after, effects = typed(desk, ("7", "record"), after)
        assert told(effects) == {"grams": "7"}
        assert after.mode.name == "series"
    state, _ = typed(desk, ("leave",), state)
    assert state.mode.name == "walk"


def test_typed_ahead_a_card_ends_as_slowly_typed_wherever_it_is_cut() -> None:
    """The machine holds no time: the same keys in two bursts give the same state and effects."""
    desk = desk_of("letters")
    keys = (*FILLED, "1", "4", "at_least", "record")
    whole = typed(desk, keys)
    for at in range(len(keys)):
        state, first = typed(desk, keys[:at])
        state, rest = typed(desk, keys[at:], state)
        assert (state, [*first, *rest]) == whole


def test_a_layout_that_says_nothing_of_cards_has_every_command() -> None:
    assert set(STANDARD.values()) == set(CARD_COMMANDS)
    assert not [k for k in STANDARD if len(k) == 1 and k.isalnum()]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_within_a_text_the_foot_names_only_the_keys_that_end_it(layout: str) -> None:
    """A blank is part of a text, so that `space next` would not be true there."""
    desk = desk_of(layout)
    state, _ = typed(desk, (*FILLED, "next_field"))
    assert state.mode.at == "note"
    assert len(prompt(state, desk).others) == len(CARD_COMMANDS) - 2, "nothing to list, nothing to count"
    state, _ = typed(desk, ("a", "space", "b"), state)
    assert [(a.key, a.text) for a in prompt(state, desk).others] == [
        (key_that_ends_a_text(desk), "next"),
        ("enter", "record"),
        ("*", "rub it out"),
    ]


# Steps that an open action's instruction names

SOONER = PromisedStep("sexed", (("how", "by spot"),), "bring the next search forward", "Standing water")
AGAIN = PromisedStep("fed", (), "look again tomorrow", "Too dry")


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_step_that_a_flag_names_is_one_key_behind_the_record_key_and_fills_its_card(layout: str) -> None:
    desk = desk_of(layout)
    desk.steps_named = (SOONER,)
    state, _ = typed(desk, ("act",))
    asked = prompt(state, desk)
    [offered] = [a for a in asked.others if a.key == "enter"]
    assert offered.text == "bring the next search forward (Standing water)"
    state, effects = typed(desk, ("act", "enter"))
    assert state.mode.name == "card"
    assert effects == [], "nothing is recorded before the card says so"
    _, effects = typed(desk, ("act", "enter", "1", *"7", "record"))
    assert told(effects) == {"how": "by spot", "mark": "7"}


@pytest.mark.parametrize("layout", LAYOUTS)
def test_of_several_steps_a_digit_chooses(layout: str) -> None:
    desk = desk_of(layout)
    desk.steps_named = (SOONER, AGAIN)
    state, _ = typed(desk, ("act", "enter"))
    assert [a.text for a in prompt(state, desk).in_sight()] == [
        "bring the next search forward (Standing water)",
        "look again tomorrow (Too dry)",
    ]
    state, _ = typed(desk, ("act", "enter", "2"))
    assert shown(state, desk).title == "fed"
    state, effects = typed(desk, ("act", "enter", "enter"))
    assert (state.mode.name, effects) == ("walk", [])
    assert "only closed the list" in state.message


def test_where_no_flag_names_a_step_enter_only_closes_the_list() -> None:
    desk = desk_of("letters")
    state, effects = typed(desk, ("act", "enter"))
    assert (state.mode.name, effects) == ("walk", [])
    assert "enter only closed the list" in state.message


@pytest.mark.parametrize(
    ("doubt", "said", "question"),
    [
        (
            "T-04 is locked, do not dig: eggs. Is that right?",
            "T-04 is locked, do not dig: eggs.",
            "Is that right?",
        ),
        ("UMBER/5 belongs to Rosa. Lend it on?", "UMBER/5 belongs to Rosa.", "Lend it on?"),
        ("Weights overlap.", "Weights overlap.", "Record it all the same?"),
        ("an odd mark?", "", "an odd mark?"),
    ],
)
def test_a_doubt_is_asked_about_once(doubt: str, said: str, question: str) -> None:
    desk = desk_of("letters")
    desk.doubt = doubt
    state, _ = typed(desk, (*TO_MARK, *"odd", "record"))
    assert (state.message, prompt(state, desk).question) == (said, question)
    assert [a.key for a in prompt(state, desk).in_sight()] == ["1", "2"]


# All that is said of the act


def test_a_key_shows_all_that_is_said_of_the_act_and_any_key_leads_back_to_the_card() -> None:
    desk = desk_of("letters")
    card, _ = typed(desk, FILLED)
    over, effects = typed(desk, ("all",), card)
    assert (over.mode.name, effects) == ("help", [])
    back, effects = typed(desk, ("all",), over)
    assert (back.mode, back.message, effects) == (card.mode, "", [])
    eaten, effects = typed(desk, ("4",), over)
    assert (eaten.mode, effects) == (card.mode, [])
    assert eaten.message == "4 only closed the help", "a key that did nothing else says so"


def test_on_a_pad_the_key_for_at_least_shows_it_where_nothing_is_counted() -> None:
    desk = desk_of("numbers")
    first, _ = typed(desk, ("act", "2"))
    over, effects = typed(desk, ("at_least",), first)
    assert (over.mode.name, effects) == ("help", [])
    turned, _ = typed(desk, (next(k for k, c in desk.commands.items() if c == "reading_down"),), over)
    assert turned.mode.name == "help"
    back, _ = typed(desk, ("leave",), turned)
    assert back.mode == first.mode
    counting, _ = typed(desk, (*FILLED, "3", "at_least"))
    assert counting.mode.name == "card", "a count is at least so many"


def test_in_a_text_its_sign_is_a_sign() -> None:
    desk = desk_of("letters")
    state, effects = typed(desk, (*TO_MARK, *"7?", "record"))
    assert told(effects)["mark"] == "7?"
    assert state.mode.name == "walk"
