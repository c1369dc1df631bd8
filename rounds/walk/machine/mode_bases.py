"""What the modes that ask something have in common: a list to choose from, a text to type."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar, Self

from rounds.keys.commands import PER_PAGE
from rounds.walk.machine import mode_sentences, steps, walking_sentences
from rounds.walk.machine.mode import Mode
from rounds.walk.machine.state import Desk, State


@dataclass(frozen=True)
class Listing(Mode):
    """A list to choose from by digits, nine to a page; any other key leaves it."""

    page: int = 0
    any_key_leaves: ClassVar[bool] = True

    def choose(self, state: State, key: str, count: int, nothing: str) -> tuple[State, int | None]:
        """Which of ``count`` things a digit chooses; None and the state to go on with when it is none.

        0 turns the page. ``nothing`` is what is told of a digit without a thing: "no act".
        """
        pages = -(-count // PER_PAGE)
        if key == "0" and pages > 1:
            return state._replace(mode=replace(self, page=(self.page + 1) % pages)), None
        at = self.page * PER_PAGE + int(key) - 1
        if key == "0" or at >= count:
            return state._replace(message=mode_sentences.nothing_under(nothing, key)), None
        return state, at


@dataclass(frozen=True)
class Typing(Mode):
    """A text that is being typed."""

    buffer: str = ""
    any_key_leaves: ClassVar[bool] = False

    @property
    def layout_rubs_out(self) -> bool:
        return True

    def typed(self, buffer: str) -> Self:
        """The mode with another text."""
        return replace(self, buffer=buffer)

    def edit(self, state: State, key: str, limit: int) -> State:
        """The state after a key that types or takes back a sign; other keys change nothing."""
        if key == "backspace":
            return state._replace(mode=self.typed(self.buffer[:-1]))
        sign = " " if key == "space" else key
        if len(sign) != 1 or not sign.isprintable():
            return state
        if len(self.buffer) >= limit:
            return state._replace(message=walking_sentences.at_most(limit))
        return state._replace(mode=self.typed(self.buffer + sign))

    def way_back(self, state: State, desk: Desk) -> str:
        return mode_sentences.with_nothing_typed(steps.rub_key(desk))


def ready_answer(typed: str, answers: Sequence[str]) -> str:
    """What was typed, or the ready answer that it is the digit of; nothing for a digit that is none's."""
    text = typed.strip()
    if not answers or not steps.is_digit(text):
        return text
    return answers[int(text) - 1] if 1 <= int(text) <= len(answers) else ""
