"""Flags and actions as keys are typed: born, withdrawn, gone, and never raised twice."""

from __future__ import annotations

from itertools import count

import pytest

from rounds.config import read
from rounds.husbandry.locks import ActiveLock
from rounds.records.entries import SetActionEntry, SetFlag
from rounds.records.observations import NOTHING, Action, EnclosureState, Visit
from rounds.rules.scene import Scene
from rounds.settings.layers import layers
from rounds.values.spans import Span
from rounds.walk.rule_monitor import Watch

DAY = 739_000
VISIT = b"v" * 16
BOX = EnclosureState(1, "TL-001", 1, "laying", Span(DAY - 10, DAY - 10), None, 0, "Mecynorhina torquata")
RULES = read(layers(None)[:1]).rules


def watch(*open_: Action) -> Watch:
    numbers = count(1)
    return Watch(RULES, DAY, "print", lambda box, rule: next(numbers).to_bytes(16, "big"), {1: list(open_)})


def judge(
    w: Watch,
    read_=None,
    *,
    visit: bytes = VISIT,
    past=(),
    locks: tuple[ActiveLock, ...] = (),
    confirmed=NOTHING,
):
    now = Visit(visit, 1, DAY, DAY * 86_400_000, read_ or {}, confirmed, depth=1, keeper="Ferrow")
    return w.judge(Scene(BOX, [*past, now], DAY, DAY * 86_400_000, (), True), locks, visit, 1, "Ferrow")


def flags(entries) -> list[tuple[str, bool]]:
    return [(e.flag.rule, e.stands) for e in entries if isinstance(e, SetFlag)]


def actions(entries) -> list[tuple[str, str]]:
    return [(e.action.rule, e.action.state) for e in entries if isinstance(e, SetActionEntry)]


def test_a_flag_and_its_action_are_born_with_the_key_and_withdrawn_with_undo() -> None:
    w = watch()
    entries = judge(w, {"moisture": "water"})
    assert flags(entries) == [("standing-water", True)]
    assert actions(entries) == [("standing-water", "open")]
    assert [a.todo for a in w.open_at(1)] == [w.flags_at(1)[0].todo]
    assert judge(w, {"moisture": "water"}) == [], "nothing changed, nothing is written"
    entries = judge(w, {})
    assert flags(entries) == [("standing-water", False)]
    assert actions(entries) == [("standing-water", "withdrawn")]
    assert (w.flags_at(1), w.open_at(1)) == ((), ())


def test_what_was_withdrawn_and_seen_again_is_the_same_action() -> None:
    w = watch()
    [first] = [e for e in judge(w, {"moisture": "water"}) if isinstance(e, SetActionEntry)]
    judge(w, {})
    [again] = [e for e in judge(w, {"moisture": "water"}) if isinstance(e, SetActionEntry)]
    assert again.action.uid == first.action.uid
    assert again.action.state == "open"


@pytest.mark.parametrize("state", ["open", "off"])
def test_no_second_action_while_one_is_open_or_put_off(state: str) -> None:
    old = Action(b"o" * 16, 1, "standing-water", "now", "why", "what", DAY - 2, state=state, until=DAY + 2)
    entries = judge(watch(old), {"moisture": "water"})
    assert flags(entries) == [("standing-water", True)], "the flag is stored with the visit all the same"
    assert actions(entries) == []


def test_none_again_at_the_look_at_which_it_was_done_and_one_again_another_day() -> None:
    done = Action(b"o" * 16, 1, "standing-water", "now", "why", "what", DAY - 2, state="done", closed=DAY)
    assert actions(judge(watch(done), {"moisture": "water"})) == []
    assert actions(judge(watch(done._replace(closed=DAY - 1)), {"moisture": "water"})) == [
        ("standing-water", "open")
    ]


def test_a_done_action_is_not_taken_back_when_its_flag_falls() -> None:
    w = watch()
    judge(w, {"moisture": "water"})
    [action] = w.open_at(1)
    w.set(action._replace(state="done", closed=DAY))
    assert actions(judge(w, {})) == []


def test_an_action_from_before_stays_when_its_cause_is_gone_and_says_so() -> None:
    old = Action(b"o" * 16, 1, "standing-water", "now", "why", "what", DAY - 2)
    w = watch(old)
    entries = judge(w, {"moisture": "right"})
    assert [(e.action.state, e.action.cause_gone) for e in entries if isinstance(e, SetActionEntry)] == [
        ("open", True)
    ]
    entries = judge(w, {"moisture": "water"})
    assert [(e.action.state, e.action.cause_gone) for e in entries if isinstance(e, SetActionEntry)] == [
        ("open", False)
    ]


def test_not_looking_is_not_a_cause_that_is_gone() -> None:
    old = Action(b"o" * 16, 1, "standing-water", "now", "why", "what", DAY - 2)
    w = watch(old)
    assert actions(judge(w, {"smell": "earthy"})) == []
    assert not w.open_at(1)[0].cause_gone


def test_the_worst_comes_first() -> None:
    w = watch()
    judge(w, {"moisture": "water", "dead": 1, "surfaced": 3})
    assert [f.level for f in w.flags_at(1)] == sorted(
        (f.level for f in w.flags_at(1)), key=["now", "today", "look"].index
    )
    assert w.open_at(1)[0].level == "now"


def test_open_actions_press_their_readings_and_foul_ones_set_locks_aside() -> None:
    w = watch()
    assert not w.overrides(1)
    judge(w, {"smell": "sour"})
    assert "smell" in w.pressing(1)
    assert w.overrides(1)
    assert w.pressing(2) == frozenset()


def test_what_a_lock_forbids_is_withheld_and_says_so() -> None:
    locked = (ActiveLock(("open",), None, "leave her be"),)
    w = watch()
    judge(w, {"mould": "many"}, locks=locked)
    [flag] = [f for f in w.flags_at(1) if f.rule == "mould"]
    assert "leave her be" in flag.withheld


def test_an_interrupted_round_takes_up_its_flags_and_does_not_raise_again() -> None:
    before = watch()
    judge(before, {"moisture": "water"})
    after = watch(*before.open_at(1))
    after.recall(1, VISIT, before.flags_at(1))
    assert judge(after, {"moisture": "water"}) == []
    assert actions(judge(after, {})) == [("standing-water", "withdrawn")]


def test_an_action_is_restored_only_when_it_is_known_here() -> None:
    w = watch(Action(b"o" * 16, 1, "standing-water", "now", "why", "what", DAY - 2))
    assert w.restored(b"o" * 16, {"state": "off", "until": DAY}) == w.open_at(1)[0]._replace(
        state="off", until=DAY
    )
    assert w.restored(b"x" * 16, {"state": "off"}) is None
    assert w.restored(b"o" * 16, "not a mapping") is None


def test_carry_rules_raise_no_flag() -> None:
    w = watch()
    judge(w, {"moisture": "dry"})
    assert "bring-water" not in {f.rule for f in w.flags_at(1)}
    now = Visit(VISIT, 1, DAY, 0, {"moisture": "dry"}, {})
    [water] = w.bring(Scene(BOX, [now], DAY, 0, (), True), ())
    assert (water.what, water.low) == ("water", water.high)
    assert water.low > 0
    assert "water for a dry box" in water.how
    assert water.why == "It is dry"


def test_that_nobody_looked_ends_with_the_look_and_comes_back_when_it_is_undone() -> None:
    """An action to look closely is not one to be ticked off by hand: the look does it."""
    past = [Visit(b"p" * 16, 1, DAY - 5, (DAY - 5) * 86_400_000, {"moisture": "right"}, {}, depth=1)]
    w = watch()
    assert actions(judge(w, {"moisture": "right"}, past=past)) == [("long-unseen", "open")]
    assert actions(judge(w, {"moisture": "right"}, past=past, confirmed={"smell": "earthy"})) == [
        ("long-unseen", "withdrawn")
    ]
    assert w.open_at(1) == ()
    assert [f.rule for f in w.flags_at(1)] == ["long-unseen"], "it stays with the visit"
    assert actions(judge(w, {"moisture": "right"}, past=past)) == [("long-unseen", "open")]


def test_an_old_action_to_look_is_over_once_somebody_has_looked_in_between() -> None:
    old = Action(b"o" * 16, 1, "long-unseen", "look", "why", "what", DAY - 2)
    past = [Visit(b"p" * 16, 1, DAY - 1, (DAY - 1) * 86_400_000, {"moisture": "right"}, {}, depth=1)]
    assert actions(judge(watch(old), {"moisture": "right"}, past=past)) == [("long-unseen", "withdrawn")]
    wet = old._replace(rule="standing-water")
    assert actions(judge(watch(wet), {"moisture": "right"}, past=past)) == [("standing-water", "open")], (
        "what was seen stays the keeper's to tick off"
    )
