"""Choosing the earlier visit that is to be corrected. Mode ``earlier``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rounds.text.cleaning import day_words, long_day
from rounds.walk.machine import mode_sentences, question_sentences, steps
from rounds.walk.machine.mode import Mode, Walking
from rounds.walk.machine.prompts import Answer, Prompt
from rounds.walk.machine.state import Desk, Result, State


@dataclass(frozen=True)
class ChoosingVisit(Mode):
    name: ClassVar[str] = "earlier"
    any_key_leaves: ClassVar[bool] = True
    broken_off: ClassVar[str] = question_sentences.NOTHING_CORRECTED

    def press(self, state: State, key: str, desk: Desk) -> Result:
        visits = desk.earlier(state.at)
        state = state._replace(mode=Walking())
        if steps.is_digit(key) and 1 <= int(key) <= len(visits):
            uid = visits[int(key) - 1].uid
            return state._replace(earlier=uid, cursor=0, message=mode_sentences.CORRECTING), ()
        return state._replace(message=mode_sentences.NOTHING_CORRECTED), ()

    def prompt(self, state: State, desk: Desk) -> Prompt:
        days = [v.day for v in desk.earlier(state.at)]
        return Prompt(
            question_sentences.CORRECT_WHICH,
            tuple(Answer(str(i), day_words(day), full=long_day(day)) for i, day in enumerate(days, 1)),
            leaves=question_sentences.NOTHING_CORRECTED,
        )


def open_correct(state: State, desk: Desk) -> Result:
    if state.earlier is not None:
        return steps.go_on(state, desk)
    if not desk.earlier(state.at):
        return state._replace(message=mode_sentences.NO_EARLIER_VISIT), ()
    return state._replace(mode=ChoosingVisit()), ()
