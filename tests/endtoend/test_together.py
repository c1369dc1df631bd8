"""Two walks in two terminals and `rounds record` beside them: nothing is lost, all is seen, no box is visited twice.

How soon is printed by ``python -m tests.bench.together``; no test asserts it.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.endtoend import rack, together
from tests.endtoend.terminal import Terminal
from tests.sampled import sampled

SECONDS = sampled(3, 60)
pytestmark = pytest.mark.pty


def walks(book: Path, begin: Callable[..., Terminal], **how: object) -> Callable[[str], Terminal]:
    argv = rack.worse if how else rack.walk_of
    return lambda keeper: begin(
        argv(book, "--keeper", keeper, **how), columns=together.WIDE, lines=together.HIGH
    )


@pytest.mark.parametrize("keepers", [("Ferrow", "Wren"), ("Ferrow", "Ferrow")], ids=["two keepers", "one"])
def test_everybody_sees_all_of_it_and_nothing_is_there_twice(
    book: Path, begin: Callable[..., Terminal], keepers: tuple[str, str]
) -> None:
    found, marks, reasons = together.run(book, walks(book, begin), keepers, SECONDS)
    assert [s for s in found if s.seconds is None] == []
    assert {s.own for s in found} == {True, False}
    notes, kept, twice, rounds = together.totals(book)
    assert (notes, kept) == (sorted(marks), sorted(reasons))
    assert reasons
    assert twice == 0
    assert rounds == len(set(keepers))


def test_control_without_looking_nothing_is_seen(book: Path, begin: Callable[..., Terminal]) -> None:
    found, marks, _ = together.run(
        book, walks(book, begin, alone=True), ("Ferrow", "Wren"), 2.0, acts=False, patience=4.0
    )
    assert {s.seconds is None for s in found if not s.own} == {True}
    assert {s.seconds is None for s in found if s.own} == {False}
    assert marks


def test_the_second_terminal_of_a_keeper_says_that_it_joined(
    book: Path, begin: Callable[..., Terminal]
) -> None:
    first = begin(rack.walk_of(book))
    first.wait_for(r"1 of \d+")
    first.press("n", "o", "k", "enter")
    first.wait_for("note: ok ✓")
    second = begin(rack.walk_of(book))
    second.wait_for("joined your round of today, 1 of")
    second.press("n", "!", "enter")
    first.wait_for("you walk this round at another terminal too|your other terminal at")
