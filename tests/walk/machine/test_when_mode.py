"""The day of an act that was not today's: one key where acts are listed, none where it was today."""

from __future__ import annotations

from datetime import date

import pytest

from rounds.walk.machine.press import press
from rounds.walk.machine.state import Desk, Effect, RecordAct, State
from rounds.walk.machine.steps import start
from rounds.walk.machine.when_mode import day_typed
from tests.walk.machine.desk import PAD, SmallDesk, half_typed

TODAY = SmallDesk().day


def iso(ago: int) -> str:
    return date.fromordinal(TODAY - ago).isoformat()


def typed(keys: object, desk: Desk | None = None) -> tuple[State, list[Effect]]:
    desk = desk or SmallDesk()
    state, effects = start(State(), desk), []
    for key in keys:
        state, more = press(state, key, desk)
        effects += more
    return state, effects


def recorded(effects: list[Effect]) -> list[tuple[str, dict[str, str]]]:
    return [(e.act, dict(e.typed)) for e in effects if isinstance(e, RecordAct)]


def test_an_act_of_today_costs_no_key_more() -> None:
    state, effects = typed(["y", "1"])
    assert recorded(effects) == [("fed", {})]
    assert state.message == "recorded: fed"


@pytest.mark.parametrize(
    ("keys", "on"),
    [
        ("1", iso(1)),
        ("12", iso(12)),
        ("yesterday", iso(1)),
        ("2023-11-02", "2023-11-02"),
        ("about 2023-11", "about 2023-11"),
        ("2023", "2023"),
        ("0", ""),
        ("today", ""),
        ("", ""),
    ],
)
def test_a_day_is_told_once_and_goes_with_the_act(keys: str, on: str) -> None:
    keys_ = ["space" if k == " " else k for k in keys]
    state, effects = typed(["y", "/", *keys_, "enter", "1"])
    assert recorded(effects) == [("fed", {"on": on} if on else {})]
    assert state.message == (f"recorded on {on}: fed" if on else "recorded: fed")
    _, later = typed(["y", "/", *keys_, "enter", "1", "y", "1"])
    assert recorded(later)[1] == ("fed", {}), "the next act is today's again"


def test_it_is_kept_while_more_is_asked_and_given_up_with_the_act() -> None:
    _, effects = typed(["y", "/", "3", "enter", "2", "1", "1", *"blue", "enter"])
    assert recorded(effects) == [("sexed", {"on": iso(3), "how": "by spot", "mark": "blue"})]
    _, effects = typed(["y", "/", "3", "enter", "n", "y", "1"])
    assert recorded(effects) == [("fed", {})]
    state, effects = typed(["y", "/", "backspace", "1"])
    assert recorded(effects) == [("fed", {})], state


@pytest.mark.parametrize(
    ("text", "said"),
    [("-1", "-1"), ("2023-13-01", "There is no month 13"), ("soon", "soon"), ("2999-01-01", "2999-01-01")],
)
def test_what_is_no_day_of_the_past_is_asked_again_with_the_reason(text: str, said: str) -> None:
    state, effects = typed(["y", "/", *text, "enter"])
    assert (state.mode.name, half_typed(state), recorded(effects)) == ("when", "", [])
    assert said in state.message
    _, effects = typed(["y", "/", *text, "enter", "1", "enter", "1"])
    assert recorded(effects) == [("fed", {"on": iso(1)})]


def test_an_act_that_is_told_no_day_says_so_and_is_not_recorded() -> None:
    class Undated(SmallDesk):
        def offers(self, stop: int):  # type: ignore[no-untyped-def]
            return tuple(o._replace(dated=False) for o in super().offers(stop))

    state, effects = typed(["y", "/", "1", "enter", "1"], Undated())
    assert recorded(effects) == []
    assert state.mode.name == "acts"
    assert "is told no day" in state.message
    _, effects = typed(["y", "/", "1", "enter", "1", "/", "enter", "1"], Undated())
    assert recorded(effects) == [("fed", {})]


def test_a_number_pad_is_enough() -> None:
    desk = SmallDesk()
    desk.commands = dict(PAD)
    _, effects = typed(["/", "3", "/", "1", "2", "*", "enter", "1"], desk)
    assert recorded(effects) == [("fed", {"on": iso(1)})], "* takes the 2 back"


def test_days_ago_are_digits_and_a_year_is_none() -> None:
    assert day_typed("999", TODAY) == (iso(999), "")
    assert day_typed("1999", TODAY) == ("1999", "")
    assert day_typed("٣", TODAY)[0] == "", "digits of the pad only"
