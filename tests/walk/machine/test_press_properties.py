"""Any keys in any order: the walk's machine stays valid, undo gives back the start, bursts change nothing."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from rounds.records.entries import AS_EXPECTED, NOTE, SKIPPED
from rounds.records.observations import Action
from rounds.walk.machine import steps
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.press import press
from rounds.walk.machine.state import MAX_TEXT, Earlier, Move, Put, SetAction, State, Undone
from rounds.walk.machine.steps import start
from tests.walk.machine.desk import KINDS, SmallDesk, half_typed
from tests.walk.machine.every_mode import every_mode

UID = b"e" * 16
OPEN = (
    Action(b"a" * 16, 1, "one", "today", "why", "this", 700_000),
    Action(b"b" * 16, 1, "two", "now", "why", "that", 700_000),
)
KEYS = st.lists(
    st.sampled_from(
        [
            *"0123456789",
            "space",
            "space",
            "space",
            "enter",
            "backspace",
            "up",
            "down",
            "left",
            "tab",
            "b",
            "b",
            "s",
            "g",
            "n",
            "u",
            "l",
            ".",
            "c",
            "d",
            "p",
            "v",
            "?",
            "m",
            "e",
            "j",
            ",",
            "%",
            "é",
        ]
    ),
    max_size=80,
)


class Desk(SmallDesk):
    """The small house, whose actions follow what the machine did to them, as in a walk."""

    def __init__(self, **given: object) -> None:
        super().__init__(past=(Earlier(UID, 700_000, {"moisture": "dry", NOTE: "old"}),), open_=OPEN, **given)
        self.actions_ = {a.uid: a for a in OPEN}

    def see(self, effects) -> None:
        for e in effects:
            if isinstance(e, SetAction):
                self.actions_[e.after.uid] = e.after
        self.open_ = tuple(a for a in self.actions_.values() if a.state == "open")


def type_(keys: list[str], desk: Desk, state: State | None = None):
    state = start(State(), desk) if state is None else state
    effects = []
    for key in keys:
        state, more = press(state, key, desk)
        desk.see(more)
        effects += more
    return state, effects


def cells(state: State):
    """What is recorded, by stop and by corrected visit, without what was taken back."""
    here = {
        (stop, k): v for stop, look in state.looks.items() for k, v in look.cells.items() if v is not None
    }
    base = {(UID, "moisture"): "dry", (UID, NOTE): "old"}
    earlier = {k: v for k, v in {**base, **state.corrected}.items() if v is not None}
    return here, earlier


@given(KEYS, st.sampled_from(["", "locked: do not open"]), st.integers(0, 1))
def test_any_keys_give_a_valid_state(keys: list[str], locked: str, first: int) -> None:
    desk = Desk(first=first, locked=locked, shelf_first=True)
    state, _ = type_(keys, desk)
    assert state.mode.name in every_mode()
    assert 0 <= state.at <= desk.count()
    assert 0 <= state.cursor <= max(len(steps.rows(state, desk)), len(desk.listed()))
    assert len(half_typed(state)) <= MAX_TEXT
    assert all(0 <= s.stop < desk.count() for s in state.steps)
    assert [s.seq for s in state.steps] == sorted(s.seq for s in state.steps)
    assert (state.steps[-1].seq if state.steps else 0) <= state.seq
    kinds = {k.id: k for k in KINDS}
    for look in state.looks.values():
        for id_, value in look.cells.items():
            if value is None or id_ in (AS_EXPECTED, NOTE, SKIPPED):
                continue
            kind = kinds[id_]
            if kind.type == "count":
                assert kind.low <= value <= kind.high
            elif kind.type == "choice":
                assert kind.choice(value)
            else:
                assert isinstance(value, bool)


@given(KEYS)
def test_effects_tell_all_that_changed(keys: list[str]) -> None:
    """Replaying the effects alone, from nothing, gives the cells the state holds: the book cannot differ."""
    desk = Desk(shelf_first=True)
    state, effects = type_(keys, desk)
    here: dict[object, object] = {}
    earlier: dict[object, object] = {(UID, "moisture"): "dry", (UID, NOTE): "old"}
    for e in effects:
        if isinstance(e, Put):
            into, key = (here, (e.stop, e.kind)) if e.visit is None else (earlier, (e.visit, e.kind))
            assert into.get(key) == e.before
            into[key] = e.after
    assert cells(state) == (
        {k: v for k, v in here.items() if v is not None},
        {k: v for k, v in earlier.items() if v is not None},
    )


@given(KEYS)
def test_undo_of_everything_gives_back_the_start(keys: list[str]) -> None:
    desk = Desk(shelf_first=True)
    state, _ = type_([k for k in keys if k != "q"], desk)
    state = state._replace(mode=Walking(), earlier=None)
    if state.at >= desk.count():
        state, _ = press(state, "b", desk)
    for _ in range(len(state.steps)):
        state, more = press(state, "u", desk)
        desk.see(more)
        assert any(isinstance(e, Undone) for e in more)
        if not state.steps:
            break
    assert state.steps == ()
    assert cells(state) == cells(State())
    assert {a.uid: a for a in OPEN} == desk.actions_


@given(KEYS, st.integers(0, 80))
def test_a_burst_is_the_same_as_the_keys_one_by_one(keys: list[str], cut: int) -> None:
    """The machine has no clock and no memory but its state: where the stream is cut changes nothing."""
    whole, parts = Desk(), Desk()
    state, effects = type_(keys, whole)
    first, before = type_(keys[:cut], parts)
    second, after = type_(keys[cut:], parts, first)
    assert (state, effects) == (second, [*before, *after])


@given(KEYS)
def test_nothing_follows_a_quit(keys: list[str]) -> None:
    state, effects = type_(["q", *keys], Desk())
    assert state.mode.name == "left"
    assert len(effects) == 1


@given(KEYS)
def test_where_the_walk_stands_is_told_whenever_it_moves(keys: list[str]) -> None:
    desk = Desk()
    state = start(State(), desk)
    stands = 0
    for key in keys:
        state, effects = press(state, key, desk)
        desk.see(effects)
        for e in effects:
            if isinstance(e, Move):
                stands = e.stop
        assert stands == state.at


def test_a_model_without_the_step_of_a_skip_would_be_noticed() -> None:
    """The control: undo that forgets one cell leaves a difference these tests see."""
    desk = Desk()
    state, _ = type_(["2", "space"], desk)
    forgetful = state._replace(steps=state.steps[:-1])
    for _ in range(len(forgetful.steps)):
        forgetful, _ = press(forgetful, "u", desk)
    assert cells(forgetful) != cells(State())
