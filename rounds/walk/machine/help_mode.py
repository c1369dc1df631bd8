"""The help page over the walk. Mode ``help``."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from rounds.keys.key_names import sign_of
from rounds.walk.machine import mode_sentences, question_sentences, steps
from rounds.walk.machine.mode import Mode, Walking
from rounds.walk.machine.prompts import Prompt
from rounds.walk.machine.state import Desk, Result, State

if TYPE_CHECKING:
    from rounds.walk.machine.card_mode import TellingCard


@dataclass(frozen=True)
class ReadingHelp(Mode):
    name: ClassVar[str] = "help"
    any_key_leaves: ClassVar[bool] = True
    page: int = 0
    """Turned past its last page the help begins again: who shows it knows how many there are."""
    card: TellingCard | None = None
    """The card that it is about, and that is in sight again once it is closed; None for the walk's own help."""

    def press(self, state: State, key: str, desk: Desk) -> Result:
        command = desk.commands.get(key)
        if command == "reading_down":
            return state._replace(mode=replace(self, page=self.page + 1)), ()
        if command == "reading_up":
            return state._replace(mode=replace(self, page=max(0, self.page - 1))), ()
        if self.card is None:
            return state._replace(mode=Walking()), ()
        asked_to = key in ("escape", "backspace") or desk.card_keys.get(key) in ("all", "leave")
        said = "" if asked_to else mode_sentences.only_closed("", steps.name_of(key), the_help=True)
        return state._replace(mode=self.card, message=said), ()

    def prompt(self, state: State, desk: Desk) -> Prompt:
        down, up = (sign_of(steps.key_for(desk, c)) for c in ("reading_down", "reading_up"))
        return Prompt(kind="help", hint=question_sentences.turns_or_closes(down, up))


def open_help(state: State) -> Result:
    return state._replace(mode=ReadingHelp()), ()
