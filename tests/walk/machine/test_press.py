"""The walk's keys: what each does, and that how fast they come changes nothing."""

from __future__ import annotations

import pytest

from rounds.husbandry.stages import Depth
from rounds.records.entries import AS_EXPECTED, NOTE, SKIPPED
from rounds.records.observations import Action
from rounds.text.cleaning import day_words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.walk.machine import fresh_cup, recording_sentences, steps, walking_sentences
from rounds.walk.machine.press import press
from rounds.walk.machine.state import (
    Earlier,
    LastCup,
    Leave,
    Move,
    Put,
    RecordAct,
    SetAction,
    State,
    UndoAct,
    VisitDraft,
)
from rounds.walk.machine.steps import start
from tests.walk.machine.desk import LETTERS, PAD, SmallDesk, half_typed


def typed(keys: list[str] | str, desk: SmallDesk | None = None, state: State | None = None):
    desk = desk or SmallDesk()
    state = start(state or State(), desk)
    effects = []
    for key in keys:
        state, more = press(state, key, desk)
        effects += more
    return state, effects


class Doubted(SmallDesk):
    """Moisture and lid have to be read again, beside the jelly that is read each time."""

    def __init__(self):
        super().__init__(shelf_first=True)

    def asks(self, stop, depth):
        asked = super().asks(stop, depth)
        return tuple(a._replace(must="open action") if a.kind.id in ("moisture", "lid") else a for a in asked)


def cells(state: State, stop: int = 0):
    return {k: v for k, v in state.looks.get(stop, VisitDraft()).cells.items() if v is not None}


def test_one_key_confirms_an_unremarkable_enclosure_and_goes_on():
    state, effects = typed(["space"], SmallDesk(first=1))
    assert state.at == 1
    [put, move] = effects
    assert put.kind == AS_EXPECTED
    assert put.after == {"moisture": "right", "surfaced": [0.0, 0.0], "lid": True}
    assert move == Move(1)


def test_a_feeding_adult_takes_the_amount_and_one_more_key():
    state, _ = typed(["2", "space"])
    assert state.at == 1
    assert cells(state)["jelly_gone"] == 2
    assert "jelly_gone" not in cells(state)[AS_EXPECTED]
    assert cells(state)[AS_EXPECTED] == {"moisture": "right", "lid": True}


def test_going_on_without_the_amount_asks_once_and_then_leaves_it_unread():
    state, effects = typed(["space"])
    assert state.at == 0
    assert effects == []
    assert "jelly eaten" in state.message
    state, _ = press(state, "space", SmallDesk())
    assert state.at == 1
    assert "jelly_gone" not in cells(state)
    assert "jelly_gone" not in cells(state)[AS_EXPECTED]


def test_going_on_names_every_row_that_has_to_be_read_and_then_what_was_left_unread():
    desk = Doubted()
    state, effects = typed(["down", "space"], desk)
    assert (state.at, state.cursor, effects) == (0, 0, [])
    assert (
        state.message
        == "still to be read: jelly eaten, moisture, lid fastened; space again leaves them unread"
    )
    state, _ = press(state, "1", desk)
    state, _ = typed(["space"], desk, state)
    assert state.message == "still to be read: moisture, lid fastened; space again leaves them unread"
    state, _ = press(state, "space", desk)
    assert state.at == 1
    assert state.message == (
        "left unread at TL-001: moisture, lid fastened; shelf °C can be typed at the next box of the shelf"
    )


def test_nothing_is_called_left_unread_where_all_was_read_or_the_box_was_skipped():
    state, _ = typed(["2", "space"])
    assert (state.at, state.message) == (1, "")
    state, _ = typed(["s", "1"])
    assert (state.at, "unread" in state.message) == (1, False)


def test_another_key_between_takes_the_warning_back():
    state, _ = typed(["space", "down", "space"])
    assert state.at == 0


def test_each_answer_moves_to_the_next_question():
    desk = SmallDesk()
    state, effects = typed(["2", "0", "enter"], desk)
    kinds = [e.kind for e in effects if isinstance(e, Put)]
    assert kinds == ["jelly_gone", "jelly_in"]
    assert steps.rows(state, desk)[state.cursor].kind.id == "moisture"


def test_a_choice_is_answered_by_its_digit_and_refuses_others():
    state, effects = typed(["m", "4"])
    assert [(e.kind, e.after) for e in effects] == [("moisture", "water")]
    state, effects = typed(["m", "7"])
    assert effects == []
    assert "1 dry" in state.message


def test_a_tick_is_one_or_nought():
    _, effects = typed([".", "4", "1"], SmallDesk(first=1))
    assert [(e.kind, e.after) for e in effects] == [("on_back", True)]


@pytest.mark.parametrize(("keys", "value"), [("24.5", 24.5), ("24,5", 24.5), ("7", 7.0)])
def test_a_number_of_several_digits_ends_with_the_next_key(keys, value):
    desk = SmallDesk(shelf_first=True)
    _, effects = typed(["down"] * 4 + list(keys) + ["enter"], desk)
    assert [(e.kind, e.after) for e in effects if isinstance(e, Put)] == [("shelf_temp", value)]


def test_backspace_mends_a_half_typed_number():
    desk = SmallDesk(shelf_first=True)
    _, effects = typed(["down"] * 4 + list("53") + ["backspace", "backspace", "2", "6", "enter"], desk)
    assert [e.after for e in effects if isinstance(e, Put)] == [26.0]


def test_a_number_outside_its_limits_is_refused_and_kept_for_mending():
    desk = SmallDesk(shelf_first=True)
    state, effects = typed(["down"] * 4 + list("99") + ["enter"], desk)
    assert effects == []
    assert half_typed(state) == "99"
    assert "above 45" in state.message


def test_a_command_ends_a_half_typed_number_and_then_runs():
    desk = SmallDesk(shelf_first=True)
    state, effects = typed(["down"] * 4 + list("26") + ["b"], desk)
    assert [e.after for e in effects if isinstance(e, Put)] == [26.0]
    assert "first box" in state.message


def test_back_and_forth_writes_nothing_twice():
    desk = SmallDesk()
    state, effects = typed(["2", "space", "b", "space"], desk)
    puts = [e for e in effects if isinstance(e, Put)]
    assert [p.kind for p in puts] == ["jelly_gone", AS_EXPECTED]
    assert state.at == 1


def test_a_skip_needs_a_reason_and_is_no_look():
    state, effects = typed(["s", "1"])
    assert [(e.kind, e.after) for e in effects if isinstance(e, Put)] == [(SKIPPED, "leave")]
    assert state.at == 1
    state, effects = typed(["s", "x"])
    assert effects == []
    assert state.at == 0


def test_reading_a_skipped_enclosure_after_all_takes_the_skip_back_in_the_same_step():
    desk = SmallDesk()
    state, effects = typed(["s", "1", "b", "2"], desk)
    assert cells(state) == {"jelly_gone": 2}
    assert {e.seq for e in effects if isinstance(e, Put) and e.kind != SKIPPED} == {2}
    state, _ = press(state, "u", desk)
    assert cells(state) == {SKIPPED: "leave"}


def test_what_was_read_cannot_be_skipped_over():
    state, _ = typed(["2", "s"])
    assert "already read" in state.message
    assert state.mode.name == "walk"


@pytest.mark.parametrize("name", ["2", "TL-002", "tl-002"])
def test_go_finds_a_number_or_a_code(name):
    state, effects = typed(["g", *name, "enter"])
    assert state.at == 1
    assert effects == [Move(1)]


def test_go_to_nowhere_records_nothing_and_says_so():
    state, effects = typed(["g", *"77", "enter"])
    assert (state.at, effects) == (0, [])
    assert "77" in state.message


def test_a_note_is_put_as_it_is_typed_under_one_step():
    desk = SmallDesk()
    state, effects = typed(["n", "h", "i", "space", "7", "backspace", "enter"], desk)
    puts = [e for e in effects if isinstance(e, Put)]
    assert [p.after for p in puts] == ["h", "hi", "hi ", "hi 7", "hi "]
    assert len({p.seq for p in puts}) == 1
    state, _ = press(state, "u", desk)
    assert NOTE not in cells(state)


def test_undo_takes_back_whole_steps_newest_first_and_shows_where():
    desk = SmallDesk()
    state, _ = typed(["2", "space", "1", "1"], desk)
    state, _ = press(state, "u", desk)
    assert cells(state, 1) == {"moisture": "dry"}
    state, _ = press(state, "u", desk)
    assert cells(state, 1) == {}
    state, _ = press(state, "u", desk)
    assert state.at == 0
    assert AS_EXPECTED not in cells(state)
    state, _ = press(state, "u", desk)
    assert cells(state) == {}
    state, effects = press(state, "u", desk)
    assert effects == ()
    assert "nothing" in state.message


def test_undo_of_everything_gives_back_the_start():
    desk = SmallDesk()
    keys = ["2", "space", "m", "3", "space", "s", "2", "n", "x", "enter", "b", "4"]
    state, _ = typed(keys, desk)
    while state.steps:
        state, _ = press(state, "u", desk)
    assert all(v is None for look in state.looks.values() for v in look.cells.values())


def test_looking_closer_is_withheld_by_a_lock():
    desk = SmallDesk(first=1, locked="locked: do not open until 3 Mar (cell)")
    state, _ = typed(["l"], desk)
    assert state.message == "locked: do not open until 3 Mar (cell)"
    assert steps.depth_of(state, desk, 0) == Depth.WALL
    state, _ = typed(["e"], desk)
    assert "do not open" in state.message


def test_a_closer_look_is_asked_more():
    desk = SmallDesk(first=1)
    state, _ = typed(["l"], desk)
    assert [a.kind.id for a in steps.rows(state, desk)] == ["smell", "moisture", "surfaced", "lid"]


def test_a_closer_look_that_is_asked_nothing_more_is_not_taken():
    """Else a look at a box in quarantine would be headed "dug" though nobody digs there."""
    for first, back in ((0, 0), (1, 1)):
        desk = SmallDesk(first=first)
        usual = desk.starts_at(0)
        state, _ = typed(["l"] * (back + 1), desk)
        assert steps.depth_of(state, desk, 0) == usual, "there is no third one"
    state, _ = typed(["l"], SmallDesk())
    assert state.message == walking_sentences.NOTHING_CLOSER


def test_an_earlier_visit_is_corrected_beside_what_stood_there():
    uid = bytes(16)
    desk = SmallDesk(past=(Earlier(uid, 700_000, {"moisture": "dry"}),))
    state, effects = typed(["c", "1", "m", "2", "space"], desk)
    [put] = [e for e in effects if isinstance(e, Put)]
    assert (put.visit, put.kind, put.before, put.after, put.why) == (
        uid,
        "moisture",
        "dry",
        "right",
        "corrected",
    )
    assert (state.at, state.earlier) == (0, None)
    state, effects = press(state, "u", desk)
    assert [e.after for e in effects if isinstance(e, Put)] == ["dry"]


def test_done_now_ticks_the_only_action_off():
    action = Action(b"a" * 16, 1, "unused-food", "today", "why", "take it out", 700_000)
    desk = SmallDesk(open_=(action,))
    state, effects = typed(["d"], desk)
    [act] = effects
    assert isinstance(act, SetAction)
    assert (act.after.state, act.after.closed) == ("done", desk.day)
    _, effects = press(state, "u", desk)
    assert effects[0].after == action


def test_put_off_takes_days_and_a_reason():
    action = Action(b"a" * 16, 1, "unused-food", "today", "why", "take it out", 700_000)
    desk = SmallDesk(open_=(action,))
    _, effects = typed(["p", "3", "enter", "enter", *"late", "enter"], desk)
    [act] = effects
    assert (act.after.state, act.after.until, act.after.why) == ("off", desk.day + 3, "late")
    _, effects = typed(["p", "backspace"], desk)
    assert effects == []
    state, effects = typed(["p", "x"], desk)
    assert (state.message, effects) == (recording_sentences.HOW_MANY_DAYS, [])
    assert press(state, "backspace", desk)[0].message == recording_sentences.NOT_PUT_OFF
    state, _ = typed(["p", "3", "backspace", "enter", "enter", *"late"], desk)
    [act] = press(state, "enter", desk)[1]
    assert act.after.until == desk.day + 1, "a day that was rubbed out counts for nothing"


def test_which_action_is_asked_when_there_are_several():
    first = Action(b"a" * 16, 1, "one", "today", "why", "this", 700_000)
    desk = SmallDesk(open_=(first, first._replace(uid=b"b" * 16, rule="two", todo="that")))
    _, effects = typed(["d", "2"], desk)
    assert effects[0].after.rule == "two"


def test_quit_is_a_key_like_any_other_and_nothing_follows_it():
    state, effects = typed(["2", "q", "4", "space"])
    assert isinstance(effects[-1], Leave)
    assert cells(state) == {"jelly_gone": 2}


def test_the_summary_is_past_the_last_stop_and_leads_back():
    desk = SmallDesk()
    state, _ = typed(["2", "space", "space", "space"], desk)
    assert state.at == desk.count()
    state, _ = press(state, "b", desk)
    assert state.at == desk.count() - 1
    state, _ = press(state, "v", desk)
    state, _ = press(state, "enter", desk)
    assert state.at == desk.listed()[0][0]


def test_no_key_at_all_is_unknown_to_every_mode():
    """Any key in any mode gives a state and never an error."""
    desk = SmallDesk(open_=(Action(b"a" * 16, 1, "one", "today", "why", "this", 700_000),))
    keys = [
        *"0123456789abcdefghijklmnopqrstuvwxyz.,?%é",
        "enter",
        "space",
        "backspace",
        "up",
        "down",
        "left",
        "tab",
    ]
    for opening in (*"gnscdp.?v", "l"):
        for key in keys:
            typed([opening, key, key], desk)


def test_an_act_that_needs_nothing_is_two_keys():
    state, effects = typed(["y", "1"])
    assert effects == [RecordAct(1, 0, "fed", "UMBER/3", (), False)]
    assert state.mode.name == "walk"
    state, effects = press(state, "u", SmallDesk())
    assert effects[0] == UndoAct(1, 0)
    assert state.steps == ()


def test_an_act_asks_whom_and_what_it_must_be_told():
    state, effects = typed(["y", "2", "2", "1", *"red", "enter"])
    assert effects == [RecordAct(1, 0, "sexed", "UMBER/5", (("how", "by spot"), ("mark", "red")), False)]
    assert (state.mode.name, half_typed(state)) == ("walk", "")


def test_a_doubtful_act_is_asked_about_and_a_refused_one_says_why():
    _, effects = typed(["y", "2", "2", "1", *"odd", "enter", "1"])
    assert [e.sure for e in effects] == [True]
    state, effects = typed(["y", "2", "2", "1", *"odd", "enter", "2"])
    assert effects == []
    assert (state.mode.name, state.message) == ("card", "nothing recorded yet"), "what was told stands"
    state, effects = typed(["y", "2", "2", "1", *"bad", "enter"])
    assert effects == []
    assert "cannot be `bad`" in state.message


def test_an_act_is_asked_again_for_what_was_typed_wrong_and_keeps_the_rest():
    wrong = ["y", "2", "2", "1", *"bad", "enter"]
    state, _ = typed(wrong)
    assert (state.mode.name, half_typed(state), state.mode.at) == ("card", "", "mark")
    state, effects = typed([*wrong, *"red", "enter"])
    assert effects == [RecordAct(1, 0, "sexed", "UMBER/5", (("how", "by spot"), ("mark", "red")), False)]
    state, effects = typed([*wrong, "*", "*", "*"])
    assert (state.mode.name, effects) == ("walk", [])


@pytest.mark.parametrize(
    "keys",
    [
        ["y", "x"],
        ["y", "2", "*"],
        ["y", "2", "backspace"],
        ["y", "2", "2", "*", "*"],
        ["y", "2", "1", "1", "a", "backspace", "*", "*"],
    ],
)
def test_an_act_can_be_left_at_any_point(keys):
    state, effects = typed(keys)
    assert effects == []
    assert state.mode.name == "walk"


def test_an_act_that_others_rest_on_is_kept():
    desk = SmallDesk()
    state, _ = typed(["y", "1"], desk)
    desk.kept.add(1)
    after, effects = press(state, "u", desk)
    assert effects == ()
    assert after.steps == state.steps
    assert "rest on it" in after.message


@pytest.mark.parametrize("keys", [("s",), ("c",), ("?",), (".",), ("y",)], ids=str)
def test_escape_leaves_what_any_other_key_leaves(keys: tuple[str, ...]) -> None:
    desk = SmallDesk(past=(Earlier(b"v1", 738_999, {"moisture": "wet"}),))
    state, _ = typed(list(keys), desk)
    assert state.mode.name != "walk"
    state, effects = press(state, "escape", desk)
    assert (state.mode.name, effects) == ("walk", ())


@pytest.mark.parametrize("keys", [(), ("g", "1"), ("n", "x"), ("right",), ("/", "x"), ("2",)], ids=str)
def test_elsewhere_escape_records_nothing_and_names_what_leads_back(keys: tuple[str, ...]) -> None:
    """A terminal sends Escape and the next key as one when they come fast: nothing may rest on it."""
    desk = SmallDesk()
    state, _ = typed(list(keys), desk)
    after, effects = press(state, "escape", desk)
    assert effects == ()
    assert "Escape does nothing here" in after.message
    assert after._replace(message="") == state._replace(message="")


def test_a_shelf_whose_first_enclosure_is_skipped_is_read_at_the_next_that_is_not():
    desk = SmallDesk(shelf_first=True)

    def asked(state: State) -> bool:
        return "shelf_temp" in [a.kind.id for a in steps.rows(state, desk)]

    state, _ = typed(["s", "1"], desk)
    assert (state.at, asked(state)) == (1, True)
    state, _ = typed(["s", "1"], desk, state)
    assert (state.at, asked(state)) == (2, True)
    state, effects = typed([*["down"] * 3, *"24.5", "enter"], desk, state)
    assert [(e.stop, e.kind, e.after) for e in effects if isinstance(e, Put)] == [(2, "shelf_temp", 24.5)]
    state, _ = typed(["b", "m", "2"], desk, state)  # looked at after all: the second is not asked for it then
    assert (state.at, cells(state, 1)["moisture"], asked(state)) == (1, "right", True)
    state, _ = typed(["b", "j", "2", "space"], desk, state)
    assert (state.at, asked(state)) == (1, True), "nobody read it there, so it can still be typed here"
    state, _ = typed(["space"], desk, state)
    assert (state.at, asked(state)) == (2, True), "what was read here stays in sight"


def test_a_page_that_is_typed_on_is_left_by_a_key_that_cannot_be_typed():
    desk = SmallDesk()
    for keys, leaves in ((("b", "-"), "-"), (("b", "left"), "left"), (("4", "b"), "left")):
        desk.commands = dict.fromkeys(keys, "back")
        assert steps.leaving_key(desk) == leaves, keys


class DeskOfActions(SmallDesk):
    """Its pages list one open action, and the enclosure it is of in a row without it."""

    def page(self, opened: OpenPage) -> Page:
        rows = [
            ListRow(("swap the pellet",), enclosure=100, action=b"a" * 16),
            ListRow(("TL-001",), enclosure=100),
        ]
        return Page("", parts=(PageSection("all", (ListColumn("", 8),), rows),))


@pytest.mark.parametrize(("row", "key", "done"), [(0, "d", True), (1, "d", False), (0, "n", False)])
def test_only_done_and_put_off_of_a_row_that_has_an_action_are_about_it(row: int, key: str, done: bool):
    action = Action(b"a" * 16, 100, "unused-food", "today", "why", "swap the pellet", 700_000)
    other = action._replace(uid=b"b" * 16, todo="look again")
    desk = DeskOfActions(open_=(other, action))
    on_page = State(pages=(OpenPage(Link("actions"), row),))
    state, effects = press(start(on_page, desk), key, desk)
    closed = [e.after.uid for e in effects if isinstance(e, SetAction)]
    assert closed == ([action.uid] if done else [])
    assert state.mode.name == ("walk" if done else {"d": "pick", "n": "note"}[key])


def test_an_empty_box_is_no_stop_though_one_can_go_there():
    desk = SmallDesk(first=1)
    desk.empty = {1}
    state, effects = typed(["space"], desk)
    assert (state.at, effects[-1]) == (2, Move(2))
    assert all(e.stop != 1 for e in effects)
    state, _ = press(state, "b", desk)
    assert state.at == 0
    state, _ = typed(["s", "1"], desk)
    assert state.at == 2
    state, _ = typed(["g", *"TL-002", "enter"], desk)
    assert state.at == 1
    assert press(state, "space", desk)[0].at == 2
    desk.empty = {0, 2}
    assert press(state, "space", desk)[0].at == 3, "the summary"
    after, _ = press(state, "b", desk)
    assert (after.at, "first box" in after.message) == (1, True)
    state, _ = typed(["v", "b"], desk)
    assert state.at == 1


@pytest.mark.parametrize("keys", [("s",), ("c",), ("?",), (".",), ("y",), ("/pad",)], ids=str)
def test_a_list_that_a_key_closes_says_that_the_key_did_nothing_else(keys: tuple[str, ...]) -> None:
    desk = SmallDesk(past=(Earlier(b"v1", 738_999, {"moisture": "wet"}),))
    if keys == ("/pad",):
        desk.commands, keys = dict(PAD), ("/",)
    open_, _ = typed(list(keys), desk)
    assert open_.mode.name != "walk"
    state, effects = press(open_, "enter", desk)
    assert (state.mode.name, effects) == ("walk", ())
    assert state.message.endswith(f"enter only closed the {'help' if keys == ('?',) else 'list'}")
    for out in ("backspace", "escape"):
        assert "only closed" not in press(open_, out, desk)[0].message


@pytest.mark.parametrize("gives_up", [("y", "backspace"), ("y", "x"), ("y", "2", "backspace")], ids=str)
def test_undo_after_an_act_that_was_not_recorded_says_so_before_it_takes_back_another(gives_up) -> None:
    desk = SmallDesk()
    state, _ = typed(["2", *gives_up], desk)
    state, effects = press(state, "u", desk)
    assert (effects, cells(state)) == ((), {"jelly_gone": 2})
    assert state.message == "nothing was recorded just now; u again takes back jelly eaten at TL-001"
    state, _ = press(state, "u", desk)
    assert cells(state) == {}
    state, _ = typed(["2", *gives_up, "m", "2", "u"], desk)
    assert cells(state) == {"jelly_gone": 2}, "what was read since is taken back at once"


def test_a_shelf_reading_never_catches_the_digit_of_the_next_box():
    """Two boxes done without a look at the screen: amount and next, amount and next."""
    desk = SmallDesk(shelf_first=True)
    state, effects = typed(["2", "space"], desk)
    assert (state.at, "shelf °C not read at TL-001" in state.message) == (1, True)
    assert "shelf_temp" in [a.kind.id for a in steps.rows(state, desk)], "it can be typed at the next box"
    state, more = typed(["3", "space"], desk, state)
    assert state.at == 2
    assert "shelf_temp" not in {e.kind for e in (*effects, *more) if isinstance(e, Put)}
    state, _ = typed([*["down"] * 3, *"24.5", "enter"], desk, state)
    assert cells(state, 2)["shelf_temp"] == 24.5
    for key in ("up", *"23", "enter"):
        state, _ = press(state, key, desk)
    assert cells(state, 2)["shelf_temp"] == 23, "typed wrong, it is typed again"


def test_a_number_out_of_range_swallows_no_key_that_is_typed_after_it():
    desk = SmallDesk(shelf_first=True)
    state, effects = typed([*["down"] * 4, *"99", "n", *"dry", "enter"], desk)
    assert [e.after for e in effects if isinstance(e, Put)][-1] == "dry"
    assert "shelf_temp" not in cells(state)
    state, effects = typed([*["down"] * 4, *"99", "u"], desk)
    assert (half_typed(state), effects) == ("", [])
    assert state.message.startswith("shelf °C 99 cannot be right and was not saved; nothing of this round")


def cup(amount=8, ago=2, keeper="Wren"):
    desk = SmallDesk()
    desk.cup = LastCup(amount, desk.day - ago, keeper)
    return desk


@pytest.mark.parametrize("keys", ["=", ["/", "9"]], ids=["letters", "pad"])
def test_a_fresh_cup_like_last_time_is_one_command(keys):
    desk = cup()
    desk.commands = dict(LETTERS if keys == "=" else PAD)
    state, effects = typed(["2", *keys], desk)
    assert [(e.kind, e.after) for e in effects] == [("jelly_gone", 2), ("jelly_in", 8)]
    assert "8 quarter cups" in state.message
    assert day_words(desk.day - 2) in state.message
    assert steps.rows(state, desk)[state.cursor].kind.id == "moisture", "on to the next question"
    state, _ = press(state, steps.key_for(desk, "undo"), desk)
    assert cells(state) == {"jelly_gone": 2}, "taken back as one step"


def test_given_before_its_row_a_fresh_cup_leaves_the_cursor_where_it_is():
    state, _ = typed(["=", "2"], cup())
    assert cells(state) == {"jelly_gone": 2, "jelly_in": 8}


@pytest.mark.parametrize(
    ("last", "said"),
    [
        (None, "no jelly was given to those here before"),
        (LastCup(8, 739_000, "Wren"), "Wren gave 8 quarter cups here today already"),
    ],
    ids=["never", "today, by another hand"],
)
def test_a_fresh_cup_that_is_not_known_or_was_given_is_no_record(last, said):
    desk = SmallDesk()
    desk.cup = last
    state, effects = typed(["="], desk)
    assert effects == []
    assert said in state.message
    assert fresh_cup.offered(state, desk) == state.message


def test_a_fresh_cup_never_writes_over_what_was_typed():
    state, effects = typed(["2", "4", "enter", "="], cup())
    assert [(e.kind, e.after) for e in effects] == [("jelly_gone", 2), ("jelly_in", 4)]
    assert "4 quarter cups already" in state.message


def test_at_a_stage_that_is_not_asked_of_jelly_the_fresh_cup_is_seen_behind_what_is_asked():
    desk = SmallDesk(first=1)
    desk.cup = LastCup(1, desk.day - 1, "Wren")
    state, _ = typed(["="], desk)
    assert cells(state) == {"jelly_in": 1}
    assert steps.rows(state, desk)[-1].kind.id == "jelly_in"
    assert "1 quarter cup," in state.message


def test_in_a_skipped_box_a_fresh_cup_ends_the_skip():
    state, _ = typed(["s", "1", "b", "="], cup())
    assert cells(state) == {"jelly_in": 8}
