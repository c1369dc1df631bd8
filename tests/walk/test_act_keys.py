"""The key budgets of acts at the box, letters and number pad alike: three cases of each act that differ."""

from __future__ import annotations

from pathlib import Path

import pytest

from rounds.config import Config, read
from rounds.settings.layers import layers
from rounds.walk.core import Walk
from rounds.walk.machine.steps import key_for
from tests.bench.act_keys import (
    BUDGETS,
    LAYOUTS,
    NEXT_OF_SERIES,
    SERIES,
    ActBudget,
    KeyCase,
    acts_of,
    as_meant,
    book,
    pressed,
    walking,
)


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return book(tmp_path_factory.mktemp("house") / "house.sqlite")


@pytest.fixture(scope="module")
def shipped() -> Config:
    return read(layers(None)[:1])


def undone(walk: Walk, since: int) -> None:
    """Take back what a case has recorded, so that the next one finds the house as it was."""
    while acts_of(walk) > since:
        walk.press(key_for(walk.desk, "undo"))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_an_act_takes_no_more_keys_than_its_budget_and_is_told_what_they_say(
    house: Path, shipped: Config, layout: str
) -> None:
    with walking(house, layout, shipped) as walk:
        for budget in BUDGETS:
            for case in budget.cases:
                keys, acts = pressed(walk, case)
                assert acts == case.steps.count("act:"), (case, walk.state.message)
                assert as_meant(walk, case), (case, walk.acts.books.recorded[-1])
                assert len(keys) <= budget.most, (budget.name, keys)
                undone(walk, 0)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_of_a_series_each_animal_takes_one_key_beside_its_weight(
    house: Path, shipped: Config, layout: str
) -> None:
    with walking(house, layout, shipped) as walk:
        pressed(walk, SERIES)
        assert walk.state.mode.name == "card"
        for case in NEXT_OF_SERIES:
            before = acts_of(walk)
            keys, acts = pressed(walk, case)
            assert (acts, walk.state.mode.name) == (1, "card"), (before, walk.state.message)
            assert sum(not k.isdigit() and k != "." for k in keys) <= 4
        walk.press("backspace")
        assert walk.state.mode.name == "walk"
        undone(walk, 0)


def test_a_budget_that_is_too_small_is_noticed(house: Path, shipped: Config) -> None:
    """The control: the same comparison with one key less."""
    tight = ActBudget("search", 7, (KeyCase("LA-1", "act:search 1 3 at_least 1 4 record", ""),))
    with walking(house, "letters", shipped) as walk:
        keys, acts = pressed(walk, tight.cases[0])
        assert acts == 1
        assert len(keys) > tight.most
        assert not as_meant(walk, KeyCase("", "", "", "eggs=4"))
        undone(walk, 0)
