"""The invented house of the screens' tests, and a walk in it whose due work is there."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.walk.core import Walk
from tests.screens import house
from tests.screens.conftest import book, demo, plain  # noqa: F401  # fixtures


@pytest.fixture
def walk(book: Path) -> Iterator[Walk]:  # noqa: F811
    with house.walking(book) as found:
        ready(found)
        yield found


def ready(walk: Walk) -> None:
    """Wait for the due work, as a keeper does within the first second."""
    walk.look_up_dues()
    assert walk.dues.finder is not None
    assert walk.dues.finder.wait(30)
    walk.take_dues()


def settled(walk: Walk) -> None:
    """Wait for everything that is worked out beside the keys, and show it."""
    for _ in range(4):  # whatever is in sight has been asked for; what is found may lead to more
        for size in house.SIZES:
            house.screen(walk, *size)
        assert walk.pages.lookup.behind.wait(30)
        walk.take_found()
