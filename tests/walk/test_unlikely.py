"""An unlikely value: recorded as it was typed, asked about at once, and no key waits for it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.records.observations import Action
from rounds.store import read
from rounds.store.book import open_book
from rounds.walk.core import Walk
from tests.endtoend import rack

CONFIG = rack.config()
RULE = "shelf-unlikely"
DAY_MS = 86_400_000


@pytest.fixture
def walk(demo_book: Path, tmp_path: Path) -> Iterator[Walk]:
    opened = rack.opened(Path(shutil.copy(demo_book, tmp_path / "unlikely.sqlite")), CONFIG)
    yield opened
    opened.close(10)


def to_the_thermometer(walk: Walk) -> int:
    """Put the cursor at the shelf's temperature, at the first box of the walk."""
    kinds = [a.kind.id for a in walk.questions.asks(0, walk.questions.starts_at(0))]
    walk.state = walk.state._replace(at=0, cursor=kinds.index("shelf_temp"))
    return 0


def type_(walk: Walk, *keys: str) -> None:
    for key in keys:
        walk.press(key)


def mine(walk: Walk, stop: int) -> list[Action]:
    return [a for a in walk.desk.actions(stop) if a.rule == RULE]


def test_a_slip_is_asked_about_at_once_and_gone_when_it_is_typed_again(walk: Walk) -> None:
    stop = to_the_thermometer(walk)
    type_(walk, "2", ".", "4", "enter")
    assert walk.state.looks[stop].cells["shelf_temp"] == 2.4, "nobody is kept from recording it"
    (flag,) = [f for f in walk.round.flags(stop) if f.rule == RULE]
    assert (flag.level, flag.reason) == ("now", "2.4 °C on this shelf is unlikely. Was it typed right?")
    assert [a.state for a in mine(walk, stop)] == ["open"]
    to_the_thermometer(walk)
    type_(walk, "2", "4", "enter")
    assert walk.state.looks[stop].cells["shelf_temp"] == 24
    assert not [f for f in walk.round.flags(stop) if f.rule == RULE]
    assert mine(walk, stop) == []


def test_what_was_not_mended_is_asked_again_at_the_next_visit(walk: Walk) -> None:
    stop = to_the_thermometer(walk)
    type_(walk, "2", ".", "4", "enter")
    box = walk.route.stops[stop].enclosure.id
    assert "shelf_temp" in walk.watch.pressing(box)
    assert walk.close(10) is None
    with open_book(walk.path, readonly=True) as book:
        assert RULE in {a.rule for a in read.open_actions(book, rack.TODAY + 1).get(box, ())}
    tomorrow = Walk(walk.path, CONFIG, day=rack.TODAY + 1, clock=lambda: rack.MORNING + DAY_MS)
    try:
        assert RULE in {a.rule for a in tomorrow.desk.actions(stop)}
        (ask,) = [
            a
            for a in tomorrow.questions.asks(stop, tomorrow.questions.starts_at(stop))
            if a.kind.id == "shelf_temp"
        ]
        assert ask.must
    finally:
        assert tomorrow.close(10) is None


def test_keys_typed_ahead_end_as_slowly_typed_ones(demo_book: Path, tmp_path: Path) -> None:
    """A whole visit with the slip in it, in one burst and key by key: the same is in both books."""
    found = []
    for slowly in (True, False):
        walk = rack.opened(Path(shutil.copy(demo_book, tmp_path / f"{slowly}.sqlite")), CONFIG)
        to_the_thermometer(walk)
        for key in (*"2.4", "enter", *"g2", "enter", "space", "space", "u"):
            walk.press(key)
            assert not slowly or walk.drain(30)
        found.append((walk.state.at, walk.state.mode.name))
        assert walk.close(30) is None
        found.append(rack.cells_today(walk.path))
    assert found[:2] == found[2:]
    assert 2.4 in found[1].values()


@pytest.mark.parametrize("typed", ["24", "8", "38", "17.5"])
def test_an_ordinary_temperature_is_not_asked_about(walk: Walk, typed: str) -> None:
    stop = to_the_thermometer(walk)
    type_(walk, *typed, "enter")
    assert walk.state.looks[stop].cells["shelf_temp"] == float(typed)
    assert not [f for f in walk.round.flags(stop) if f.rule == RULE]
