"""Every command of the table is carried out, on the walk, on its summary and on a page; none is left to a KeyError."""

from __future__ import annotations

import pytest

from rounds.keys.commands import COMMANDS
from rounds.views.page import Link, OpenPage
from rounds.walk.machine.press import press
from rounds.walk.machine.run_command import BY_COMMAND
from rounds.walk.machine.state import State
from rounds.walk.machine.steps import start
from tests.walk.machine.desk import SmallDesk


def test_every_command_has_what_carries_it_out_and_nothing_else_has() -> None:
    assert set(BY_COMMAND) == set(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("place", ["walk", "summary", "page"])
def test_every_command_can_be_given_everywhere(command: str, place: str) -> None:
    """On the summary and on a page one that is not listed there does nothing, and the screen says so."""
    desk = SmallDesk()
    desk.commands["%"] = command
    state = start(State(), desk)
    if place == "summary":
        state = state._replace(at=desk.count())
    if place == "page":
        state = state._replace(pages=(OpenPage(Link("rack")),))
    after, _ = press(state, "%", desk)
    there = COMMANDS[command]
    dead = (place == "summary" and not there.summary_rank) or (
        place == "page" and there.while_on_page == "nothing" and not there.by_scanner
    )
    assert ("% does nothing" in after.message) == dead, after.message
    assert (after._replace(message="") == state) or not dead
