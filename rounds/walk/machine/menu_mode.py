"""The numbered menu of a layout with few keys: the menu's key, then a digit gives a command.

An entry is a key like any other in ``Desk.commands``: ``/1``, or ``/01`` on the second page.
So whatever looks a key up, on the walk or on a page, knows the menu's entries too.
"""

from __future__ import annotations

from rounds.keys.commands import chord
from rounds.walk.machine import steps
from rounds.walk.machine.state import Desk, Result, Run, State

NOTHING = "nothing chosen"


def entries(desk: Desk) -> tuple[tuple[str, str], ...]:
    """The menu's entries in order, as (key, command)."""
    opener = next((k for k, c in desk.commands.items() if c == "menu"), "")
    found: list[tuple[str, str]] = []
    while (key := chord(opener, len(found))) in desk.commands:
        found.append((key, desk.commands[key]))
    return tuple(found)


def pressed(key: str, desk: Desk) -> tuple[str, ...]:
    """The keys to press for a key of ``Desk.commands``: one, or the menu's and digits."""
    opener = next((k for k, c in desk.commands.items() if c == "menu"), "")
    if not opener or key == opener or not key.startswith(opener) or key not in desk.commands:
        return (key,)
    return (opener, *key.removeprefix(opener).strip())


def open_menu(state: State, desk: Desk) -> Result:  # noqa: ARG001
    return state._replace(mode="menu", page=0), ()


def choose(state: State, key: str, desk: Desk, press: Run) -> Result:
    """A digit chooses: the entry's key is pressed as if it had been typed."""
    back = state._replace(mode="walk", page=0)
    if not steps.is_digit(key):
        return back._replace(message=NOTHING), ()
    listed = entries(desk)
    turned, at = steps.numbered(state, key, len(listed), "no command")
    return (turned, ()) if at is None else press(back, listed[at][0], desk)
