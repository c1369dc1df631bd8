"""The walk against a plain model of its keys (tests/walk/model.py), on 10,000 random rounds.

9,600 of them drive the pure machine in a small house, 400 the whole walk on a book, whose
content must then be what the model holds. ``SEQUENCES`` in the environment scales both.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest

from rounds.config import Config
from rounds.husbandry.stages import Depth
from rounds.records.observations import Action
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.press import press
from rounds.walk.machine.questions import Ask
from rounds.walk.machine.state import Earlier, LastCup, OlderAct, Put, SetAction, State
from rounds.walk.machine.steps import start
from tests.endtoend import rack
from tests.endtoend.keys import pad_keys, some_keys
from tests.sampled import sampled
from tests.walk.machine.desk import PAD, SmallDesk, half_typed
from tests.walk.model import NOTE, Model

SEQUENCES = int(os.environ.get("SEQUENCES", sampled(800, 10000)))
WALKS = SEQUENCES // 25
LENGTH = 50
PARTS = 4
LEFT_OUT = ("record", "pages", "find")
"""Commands the model knows nothing of: acts have tests/walk/test_acts.py, pages tests/views/test_page_keys.py."""
# The model knows readings and actions; acts have their own tests (tests/walk/test_acts.py).
PAD_WITHOUT_ACTS = {k: "other" if c in ("record", "pages", "find") else c for k, c in PAD.items()}


class House(SmallDesk):
    """Three enclosures with a past and open actions, which follow what the machine does to them."""

    def __init__(self, random: Random, pad: bool = False) -> None:
        past = (
            Earlier(b"v3", 738_999, {"jelly_gone": 2, "moisture": "right", NOTE: "calm"}),
            Earlier(b"v2", 738_998, {"jelly_gone": 9, "smell": "sour"}),
            Earlier(b"v1", 738_997, {}),
        )
        super().__init__(
            first=random.choice((0, 0, 1)),
            locked=random.choice(("", "", "do not open")),
            past=past[: random.randint(0, 3)],
            shelf_first=random.random() < 0.7,
        )
        commands = PAD_WITHOUT_ACTS if pad else self.commands
        self.commands = {k: c for k, c in commands.items() if c not in LEFT_OUT}
        self.cup = random.choice((None, LastCup(4, self.day, "Wren"), LastCup(8, self.day - 3, "Wren")))
        self.older = tuple(
            OlderAct(bytes([i]), "fed", "", (), f"act {i}") for i in range(random.choice((0, 0, 1, 8)))
        )
        self.resting = {a.uid for a in self.older[::2]}
        self.undo = next(k for k, c in commands.items() if c == "undo")
        levels = random.choices(("now", "today", "look"), k=random.randint(0, 3))
        self.all = {
            bytes([i]): Action(bytes([i]), 1, f"rule{i}", level, "because", "do it", 738_990)
            for i, level in enumerate(levels)
        }

    def do(self, action: Action) -> None:
        self.all[action.uid] = action

    def actions(self, stop: int) -> tuple[Action, ...]:
        return tuple(a for a in self.all.values() if a.state == "open") if stop == 0 else ()

    def listed(self) -> tuple[tuple[int, Action | None], ...]:
        return (*((0, a) for a in self.actions(0)), (1, None), (2, None))

    def asks(self, stop: int, depth: Depth) -> tuple[Ask, ...]:
        return super().asks(stop, depth)

    def older_acts(self, stop: int) -> tuple[OlderAct, ...]:
        return self.older if stop == 0 else ()


Pressed = Callable[[State, str, Any], Any]


def same(state: State, model: Model) -> None:
    assert (state.at, state.mode.name) == (model.at, model.mode)
    assert state.earlier == model.correcting
    if state.mode.name == "walk":
        assert state.cursor == model.row
    if state.mode.name in ("walk", "go", "note", "days", "why", "scan"):
        assert half_typed(state) == model.typing


def same_records(state: State, model: Model, house: Any) -> None:
    """What was recorded and not taken back."""
    mine = {
        (stop, k): v for stop, look in state.looks.items() for k, v in look.cells.items() if v is not None
    }
    theirs = {(stop, k): v for stop, cells in model.cells.items() for k, v in cells.items() if v is not None}
    assert mine == theirs
    past = {e.uid: e.cells for stop in range(house.count()) for e in house.earlier(stop)}
    put = {(uid, k): v for uid, cells in model.corrected.items() for k, v in cells.items()}
    for uid, kind in {*state.corrected, *put}:
        stood = past.get(uid, {}).get(kind)
        assert state.corrected.get((uid, kind), stood) == put.get((uid, kind), stood)
    assert len({s.seq for s in state.steps}) == len(model.before)


def run(house: House, keys: list[str], pressed: Pressed) -> None:
    """One round with each key compared, then everything taken back."""
    state = start(State(), house)
    model = Model(house)
    begun = dict(house.all)
    written: dict[tuple[int, bytes | None, str], Any] = {}  # what the effects alone would leave in a book
    for key in [*keys, *["backspace"] * 10]:
        if model.acts(key):
            continue
        model.press(key)
        state, effects = pressed(state, key, house)
        follow(effects, house, written)
        same(state, model)
        for uid, left in model.acted.items():
            a = house.all[uid]
            assert (a.state, a.until, a.why, a.closed) == left
    same_records(state, model, house)
    by_effects = {(stop, k): v for (stop, visit, k), v in written.items() if visit is None and v is not None}
    assert by_effects == {
        (s, k): v for s, look in state.looks.items() for k, v in look.cells.items() if v is not None
    }
    if state.mode.name == "left":
        return
    for key in ("enter", *["backspace"] * 300):  # out of every mode, whatever is half typed
        if state.mode.name != "walk" or state.half_typed:
            state, effects = pressed(state, key if state.mode.name != "note" else "enter", house)
            follow(effects, house, written)
    for _ in range(len(state.steps) + 1):
        state, effects = pressed(state, house.undo, house)
        follow(effects, house, written)
    assert state.steps == ()
    assert not [v for look in state.looks.values() for v in look.cells.values() if v is not None]
    assert house.all == begun
    assert not [v for (_, visit, _), v in written.items() if visit is None and v is not None]
    past = {e.uid: e.cells for e in house.past}
    assert all(v == past[visit].get(k) for (_, visit, k), v in written.items() if visit is not None)


def follow(effects: Any, house: House, written: dict[tuple[int, bytes | None, str], Any]) -> None:
    for effect in effects:
        if isinstance(effect, SetAction):
            house.do(effect.after)
        elif isinstance(effect, Put):
            place = (effect.stop, effect.visit, effect.kind)
            past = next((e.cells for e in house.past if e.uid == effect.visit), {})
            assert effect.before == written.get(place, past.get(effect.kind)), (
                "an entry knows what it replaces"
            )
            written[place] = effect.after


def keys_of(seed: int, numbers: int = 3, pad: bool = False) -> list[str]:
    random = Random(seed)
    made = pad_keys if pad else some_keys
    return made(random, random.randint(5, LENGTH), numbers, leave=random.random() < 0.1)


@pytest.mark.long
@pytest.mark.parametrize("pad", [False, True], ids=["letters", "pad"])
@pytest.mark.parametrize("part", range(PARTS))
def test_the_machine_does_what_the_model_does(part: int, pad: bool) -> None:
    for seed in range(part, (SEQUENCES - WALKS) // (2 if pad else 1), PARTS):
        keys = keys_of(seed, pad=pad)
        try:
            run(House(Random(seed), pad), keys, press)
        except AssertionError as error:
            raise AssertionError(f"seed {seed}: {' '.join(keys)}") from error


def test_the_model_finds_a_key_that_is_lost() -> None:
    """The control: a machine that drops every twentieth key, undoes into the wrong enclosure or scans in one mode only, is found out."""
    pressed = [0]

    def forgetful(state: State, key: str, house: Any) -> Any:
        pressed[0] += 1
        return (state, ()) if pressed[0] % 20 == 0 else press(state, key, house)

    def deaf(state: State, key: str, house: Any) -> Any:
        """A scan is begun on the walk alone: in a note, it is typed."""
        if key == "tab" and state.mode.name != "walk":
            return state, ()
        return press(state, key, house)

    def confused(state: State, key: str, house: Any) -> Any:
        after, effects = press(state, key, house)
        if key == "u" and effects:
            after = start(after._replace(at=min(2, after.at + 1)), house)
        return after, effects

    for wrong in (forgetful, confused, deaf):
        found = 0
        for seed in range(120):
            try:
                run(House(Random(seed)), keys_of(seed), wrong)
            except AssertionError:
                found += 1
        assert found > 10


# The whole walk, on a book


@pytest.fixture(scope="module")
def config() -> Iterator[Config]:
    # The model knows readings and actions; acts have their own tests (tests/walk/test_acts.py).
    found = rack.config()
    return found._replace(commands={k: c for k, c in found.commands.items() if c not in LEFT_OUT})


@pytest.mark.long
@pytest.mark.parametrize("part", range(PARTS))
def test_the_walk_on_a_book_does_what_the_model_does(
    part: int, demo_book: Path, config: Config, tmp_path: Path
) -> None:
    """One book per twenty rounds; each round is taken back whole before the next, and the last one is compared."""
    walk: Any = None
    book = tmp_path / "none"
    for turn, seed in enumerate(range(part, WALKS, PARTS)):
        if turn % 20 == 0:
            if walk is not None:
                walk.close(30.0)
            book = Path(shutil.copy(demo_book, tmp_path / f"book{turn}.sqlite"))
            walk = rack.opened(book, config)
            at_first = picture(walk)
        walk.state = start(
            walk.state._replace(at=0, mode=Walking(), looks={}, corrected={}, earlier=None, came_from=0),
            walk.desk,
        )
        model = Model(walk.desk)
        keys = keys_of(seed, numbers=60)
        for i, key in enumerate(keys):
            if model.acts(key):
                continue
            model.press(key)
            books = walk.acts.ledger
            walk.press(key)
            if walk.acts.ledger is not books:  # a reading that states an act: what waits now is asked
                model.first_row()
            try:
                same(walk.state, model)
            except AssertionError as error:
                raise AssertionError(f"seed {seed}: {' '.join(keys[: i + 1])}") from error
        same_records(walk.state, model, walk.desk)
        assert walk.drain(30.0)
        assert in_book(book) == in_model(model, walk), f"seed {seed}: {' '.join(keys)}"
        undo_all(walk)
        assert walk.drain(30.0)
        assert in_book(book) == {}
        assert picture(walk) == at_first, f"seed {seed}: {' '.join(keys)}"
    walk.close(30.0)


def undo_all(walk: Any) -> None:
    walk.state = walk.state._replace(mode=Walking())
    while walk.state.steps:
        walk.press("u")


def picture(walk: Any) -> Any:
    """Open actions, flags that stand, and the past, as a keeper would see them."""
    actions = sorted(
        (i, a.rule, a.state, a.until, a.why, a.closed)
        for i in range(walk.route.count())
        for a in walk.desk.actions(i)
    )
    flags = [(i, f.rule) for i in range(walk.route.count()) for f in walk.round.flags(i)]
    past = [(e.uid, dict(e.cells)) for i in range(walk.route.count()) for e in walk.past.earlier(i)]
    return actions, flags, past


def in_book(book: Path) -> dict[tuple[str, str], Any]:
    found = rack.cells_today(book)
    return {key: json.loads(v) if key[1] == "as_expected" else v for key, v in found.items()}


def in_model(model: Model, walk: Any) -> dict[tuple[str, str], Any]:
    """Ticks are 0 and 1 in a book."""
    return {
        (walk.route.label(stop), kind): float(v) if isinstance(v, bool) else v
        for stop, cells in model.cells.items()
        for kind, v in cells.items()
        if v is not None
    }
