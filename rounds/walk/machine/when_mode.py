"""The day of an act that was not today's: asked for with one key where acts are listed. Mode ``when``.

Digits are days ago, so that a number pad is enough; what else is typed is a day or a span as
everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rounds.values import spans
from rounds.values.span_parser import parse_span
from rounds.values.unreadable import UnreadableValue
from rounds.walk.machine import question_sentences, recording_sentences
from rounds.walk.machine.act_modes import ChoosingAct
from rounds.walk.machine.asking import Typing
from rounds.walk.machine.prompts import Prompt
from rounds.walk.machine.state import Desk, Result, State

MOST = 40


@dataclass(frozen=True)
class ChoosingDay(Typing):
    name: ClassVar[str] = "when"
    broken_off: ClassVar[str] = question_sentences.NO_ACT_IS_RECORDED

    def press(self, state: State, key: str, desk: Desk) -> Result:
        if key == "enter":
            on, wrong = day_typed(self.buffer.strip(), desk.day)
            if wrong:
                return state._replace(mode=ChoosingDay(), message=wrong), ()
            return _back(state, on)
        if key == "backspace" and not self.buffer:
            return _back(state, "")
        return self.edit(state, key, MOST), ()

    def prompt(self, state: State, desk: Desk) -> Prompt:
        return Prompt(
            question_sentences.WHICH_DAY,
            kind="day",
            limit=MOST,
            typed=self.buffer,
            enter=question_sentences.GOES_ON,
            enter_alone=question_sentences.TODAY,
            leaves=question_sentences.TODAY,
        )


def day_typed(text: str, today: int) -> tuple[str, str]:
    """What an act is told for a day as it was typed ("" for today), or else why that is no day of the past."""
    low = text.casefold()
    if not text or low == "today":
        return "", ""
    try:
        span = parse_span(text, today=today, digits_are_days_ago=True)
    except UnreadableValue as e:
        return "", recording_sentences.no_day(e.reason.rstrip("."), e.hint)
    if span.earliest > today:
        return "", recording_sentences.not_come_yet(text)
    return ("" if span.exact and span.earliest == today else spans.text(span)), ""


def _back(state: State, on: str) -> Result:
    said = recording_sentences.on_day(on) if on else recording_sentences.TODAY_THEN
    return state._replace(mode=ChoosingAct(on=on), message=said), ()
