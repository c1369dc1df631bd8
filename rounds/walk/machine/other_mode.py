"""Adding a reading that the stage is not asked. Mode ``other``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rounds.walk.machine import mode_sentences, question_sentences, steps
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.mode_bases import Listing
from rounds.walk.machine.prompts import Prompt, numbered
from rounds.walk.machine.state import Desk, Result, State


@dataclass(frozen=True)
class AddingReading(Listing):
    name: ClassVar[str] = "other"
    broken_off: ClassVar[str] = question_sentences.NO_READING_ADDED

    def press(self, state: State, key: str, desk: Desk) -> Result:
        if not steps.is_digit(key):
            return state._replace(mode=Walking(), message=mode_sentences.NOTHING_ADDED), ()
        listed = steps.others(state, desk)
        state, at = self.choose(state, key, len(listed), mode_sentences.NO_READING)
        return (state, ()) if at is None else steps.ask_for(state._replace(mode=Walking()), listed[at], desk)

    def prompt(self, state: State, desk: Desk) -> Prompt:
        kinds = steps.others(state, desk)
        return Prompt(
            question_sentences.ADD_WHICH,
            numbered([k.title for k in kinds], tuple(k.id for k in kinds)),
            paged=True,
            page=self.page,
            room=24,
            leaves=question_sentences.NOTHING_ADDED,
        )


def open_others(state: State, desk: Desk) -> Result:
    if not steps.others(state, desk):
        return state._replace(message=mode_sentences.NO_OTHER_READING), ()
    return state._replace(mode=AddingReading()), ()
