"""A round interrupted at any point is taken up as it stood: the same readings, flags, actions and undo."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.husbandry.stages import Depth
from rounds.walk.core import Walk
from rounds.walk.machine.state import State
from tests.conftest import demo_of
from tests.sampled import sampled
from tests.screens import house

KEYS = st.lists(
    st.sampled_from(
        [
            *"01234",
            "space",
            "space",
            "space",
            "enter",
            "b",
            "m",
            "n",
            "x",
            "u",
            "s",
            "l",
            "d",
            "c",
            "down",
            "v",
            "g",
            "7",
            "k",
            ".",
        ]
    ),
    min_size=1,
    max_size=30,
)


@pytest.fixture(scope="module")
def houses(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_of(house.DAY, tmp_path_factory)


def recorded(walk: Walk) -> tuple[object, ...]:
    """All that matters of a round, however it was reached."""
    stops = range(walk.route.count())
    looks = {
        i: {k: v for k, v in look.cells.items() if v is not None} for i, look in walk.state.looks.items()
    }
    return (
        {i: c for i, c in looks.items() if c},
        {i: walk.round.visits[i] for i in stops if i in walk.round.visits},
        {i: walk.round.flags(i) for i in stops if i in walk.round.visits},
        {i: walk.desk.actions(i) for i in stops},
        [(s.seq, s.stop, s.visit, s.kind, s.before, s.action) for s in walk.state.steps],
        walk.state.at,
        walk.round.unseen(),
        walk.round.listed(),
    )


def interrupted_everywhere(book: Path, keys: list[str]) -> None:
    """Type the keys; after each one that records something, start again beside it and compare."""
    with house.walking(book) as walk:
        for key in keys:
            walk.press(key)
            assert walk.drain(10)
            if not walk.round.opened:
                continue
            with house.walking(book) as again:
                assert recorded(again) == recorded(walk), key


@settings(max_examples=sampled(8, 25))
@given(keys=KEYS)
def test_a_start_at_any_point_finds_the_round_as_it_stood(
    houses: Path, tmp_path_factory: pytest.TempPathFactory, keys: list[str]
) -> None:
    interrupted_everywhere(house.copied(houses, tmp_path_factory.mktemp("book")), keys)


def test_two_flags_of_a_visit_keep_their_order(houses: Path, tmp_path: Path) -> None:
    """No degrees on the shelf: unlikely, and a jump; both are raised at once."""
    book = house.copied(houses, tmp_path)
    interrupted_everywhere(book, [*["down"] * 20, "up", "0", "space"])
    with house.walking(book) as walk:
        assert len(walk.round.flags(0)) > 1


def test_undo_reaches_back_over_a_restart(houses: Path, tmp_path: Path) -> None:
    book = house.copied(houses, tmp_path)
    with house.walking(book) as walk:
        house.press(walk, "2", "space", "space", "m", "4", "d", "1", "n", "x", "enter")
        assert len(walk.state.steps) > 3
    with house.walking(book) as again:
        while again.state.steps:
            house.press(again, "u")
        looks = again.state.looks.values()
        assert not [v for look in looks for v in look.cells.values() if v is not None]
        assert again.round.unseen() != ()
    with house.walking(book) as third:
        assert third.state.steps == ()


def test_how_closely_was_looked_and_what_else_was_read_is_asked_for_again(
    houses: Path, tmp_path: Path
) -> None:
    book = house.copied(houses, tmp_path)
    with house.walking(book) as walk:
        house.press(walk, ".", "1", "1", "enter")
        [added] = walk.state.looks[0].extra
        assert walk.state.looks[0].depth is None, "no closer than usual"

        def asked(stop: int, closer: int) -> list[str]:
            depth = Depth(walk.questions.starts_at(stop) + closer)
            return [] if walk.desk.withheld(stop, depth) else [a.kind.id for a in walk.desk.asks(stop, depth)]

        stop = next(i for i in range(1, walk.route.count()) if set(asked(i, 1)) > set(asked(i, 0)))
        house.press(walk, "g", *str(walk.route.stops[stop].enclosure.number), "enter", "l")
        at = next(i for i, kind in enumerate(asked(stop, 1)) if kind not in asked(stop, 0))
        house.press(walk, *["up"] * 20, *["down"] * at, "1", "enter")
        look = walk.state.looks[stop]
        assert asked(stop, 1)[at] in look.cells
        assert look.depth is not None
    with house.walking(book) as again:
        assert (again.state.looks[0].depth, again.state.looks[0].extra) == (None, (added,))
        assert (again.state.looks[stop].depth, again.state.looks[stop].extra) == (look.depth, ())


def test_looking_about_writes_nothing(houses: Path, tmp_path: Path) -> None:
    book = house.copied(houses, tmp_path)
    with house.walking(book) as walk:
        house.press(walk, "down", "g", "7", "enter", "?", "x", "v", "v", "l")
        assert not walk.round.opened
    with house.walking(book) as again:
        assert not again.round.opened
        assert again.state == State()._replace(cursor=again.state.cursor)


def test_a_second_round_of_the_day_and_another_day_begin_afresh(houses: Path, tmp_path: Path) -> None:
    book = house.copied(houses, tmp_path)
    with house.walking(book) as walk:
        house.press(walk, "2", "space", "space")
        assert walk.state.at == 1
    with house.walking(book, name="evening") as evening:
        assert evening.state.at == 0
        assert evening.state.looks == {}
        house.press(evening, "3")
    with house.walking(book, day=house.DAY + 1) as tomorrow:
        assert (tomorrow.state.at, tomorrow.state.looks) == (0, {})
        house.press(tomorrow, "1")
    with house.walking(book) as walk:
        assert walk.state.at == 1


def test_a_comparison_that_forgot_the_cells_would_be_noticed(houses: Path, tmp_path: Path) -> None:
    """The control: a round that lost one reading compares as different."""
    book = house.copied(houses, tmp_path)
    with house.walking(book) as walk:
        house.press(walk, "2", "space", "space")
        whole = recorded(walk)
        walk.state = walk.state._replace(looks={})
        assert recorded(walk) != whole
