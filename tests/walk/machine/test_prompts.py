"""What a mode says it asks is what its keys do: every mode, each answer, and each way out that it names."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from rounds.walk.machine.press import press
from rounds.walk.machine.prompts import Prompt, prompt
from rounds.walk.machine.state import Leave, Move, State
from tests.walk.machine.test_scan_mode import INTO, Desk, typed

ASKING = [name for name in INTO if prompt(typed(INTO[name], Desk())[0], Desk()).asks]
TYPING = [name for name in ASKING if prompt(typed(INTO[name], Desk())[0], Desk()).limit]
CHOOSING = [name for name in ASKING if name not in TYPING and name != "help"]


def begun(name: str) -> tuple[State, Prompt, Desk]:
    desk = Desk()
    state, _ = typed(INTO[name], desk)
    return state, prompt(state, desk), desk


def recording(effects: list[object]) -> list[object]:
    return [e for e in effects if not isinstance(e, Move | Leave)]


def all_answers() -> Iterator[tuple[str, str]]:
    for name in CHOOSING:
        _, found, _ = begun(name)
        yield from ((name, a.key) for a in (*found.in_sight(), *found.others))


def test_there_is_something_to_check() -> None:
    assert {"go", "note", "days", "why", "scan", "card, typed"} <= set(TYPING)
    assert {"skip", "earlier", "other", "acts", "card", "older", "sure"} <= {*CHOOSING, *TYPING}


@pytest.mark.parametrize("name", ASKING)
def test_a_question_can_be_read(name: str) -> None:
    _, found, _ = begun(name)
    assert found.question or found.kind == "help"
    assert found.hint or found.leaves
    keys = [a.key for a in found.in_sight()] + [a.key for a in found.others]
    assert len(keys) == len(set(keys))
    assert len(found.in_sight()) <= 9


@pytest.mark.parametrize(("name", "key"), list(all_answers()))
def test_a_key_offered_is_taken(name: str, key: str) -> None:
    state, _, desk = begun(name)
    after, _ = press(state, key, desk)
    assert after != state
    assert f"under {key}" not in after.message
    left = after.message.startswith(("not ", "nothing"))
    leave = (name, key) == ("sure", "2") or desk.card_keys.get(key) == "leave"
    assert not left or leave, "no is the one answer that leaves, and a card has a key for it"


@pytest.mark.parametrize("name", CHOOSING)
def test_a_key_that_is_not_offered_leaves_with_nothing_recorded(name: str) -> None:
    state, _, desk = begun(name)
    after, effects = press(state, "%", desk)
    if not state.mode.way_back(state, desk):
        assert after.mode.name == ("card" if name == "sure" else "walk"), (
            "a doubted act's card is in sight again"
        )
    assert recording(list(effects)) == []


@pytest.mark.parametrize("name", TYPING)
def test_no_more_than_fits_is_taken(name: str) -> None:
    state, found, desk = begun(name)
    after, _ = typed(["1"] * (found.limit + 10), desk, state)
    assert len(prompt(after, desk).typed) <= found.limit + (found.kind == "scan")


@pytest.mark.parametrize("name", [n for n in TYPING if n != "scan" and not n.startswith("card")])
def test_enter_alone_is_an_answer_where_it_is_said_to_be_one(name: str) -> None:
    state, _, desk = begun(name)
    state = state._replace(mode=replace(state.mode, buffer=""))
    found = prompt(state, desk)
    after, effects = press(state, "enter", desk)
    assert (after.mode.name != state.mode.name) is bool(found.enter_alone), after.message
    assert recording(list(effects)) == []
