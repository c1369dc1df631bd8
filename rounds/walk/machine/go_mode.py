"""Going to an enclosure by its number or code. Mode ``go``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rounds.walk.machine import mode_sentences, question_sentences, steps
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.mode_bases import Typing
from rounds.walk.machine.prompts import Prompt
from rounds.walk.machine.state import Desk, Result, State

MOST = 40


@dataclass(frozen=True)
class GoingTo(Typing):
    name: ClassVar[str] = "go"

    def press(self, state: State, key: str, desk: Desk) -> Result:
        if key == "enter" or (key == "space" and self.buffer):
            code = self.buffer.strip()
            stop = desk.find(code)
            if stop is None:
                said = mode_sentences.no_enclosure(code) if code else mode_sentences.STAYED
                return state._replace(mode=Walking(), message=said), ()
            return steps.arrive(state, desk, stop)
        if key == "backspace" and not self.buffer:
            return state._replace(mode=Walking(), message=mode_sentences.STAYED), ()
        return self.edit(state, key, MOST), ()

    def prompt(self, state: State, desk: Desk) -> Prompt:
        return Prompt(
            question_sentences.GO_WHERE,
            kind="code",
            limit=MOST,
            typed=self.buffer,
            enter=question_sentences.GOES_THERE,
            enter_alone=question_sentences.STAY_HERE,
            leaves=question_sentences.STAY_HERE,
        )


def open_go(state: State) -> Result:
    return state._replace(mode=GoingTo()), ()
