"""The numbered menu of a layout with few keys: the menu's key, then a digit gives a command. Mode ``menu``.

An entry is a key like any other in ``Desk.commands``: ``/1``, or ``/01`` on the second page.
So whatever looks a key up, on the walk or on a page, knows the menu's entries too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rounds.keys.commands import COMMANDS
from rounds.keys.menu_keys import chord
from rounds.walk.machine import mode_sentences, question_sentences, steps
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.mode_bases import Listing
from rounds.walk.machine.prompts import Answer, Prompt
from rounds.walk.machine.state import Desk, Result, State


@dataclass(frozen=True)
class InMenu(Listing):
    name: ClassVar[str] = "menu"

    def press(self, state: State, key: str, desk: Desk) -> Result:
        """A digit chooses: the entry's key is pressed as if it had been typed."""
        from rounds.walk.machine.press import press

        back = state._replace(mode=Walking())
        if not steps.is_digit(key):
            return back._replace(message=mode_sentences.NOTHING_CHOSEN), ()
        listed = entries(desk)
        turned, at = self.choose(state, key, len(listed), mode_sentences.NO_COMMAND)
        return (turned, ()) if at is None else press(back, listed[at][0], desk)

    def prompt(self, state: State, desk: Desk) -> Prompt:
        listed = [COMMANDS[command] for _, command in entries(desk)]
        return Prompt(
            question_sentences.WHICH_COMMAND,
            tuple(Answer(steps.digit_of(i), c.label, full=c.does) for i, c in enumerate(listed)),
            paged=True,
            page=self.page,
            leaves=question_sentences.NOTHING,
        )


def entries(desk: Desk) -> tuple[tuple[str, str], ...]:
    """The menu's entries in order, as (key, command)."""
    opener = next((k for k, c in desk.commands.items() if c == "menu"), "")
    found: list[tuple[str, str]] = []
    while (key := chord(opener, len(found))) in desk.commands:
        found.append((key, desk.commands[key]))
    return tuple(found)


def open_menu(state: State) -> Result:
    return state._replace(mode=InMenu()), ()
