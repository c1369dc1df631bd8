"""The walk was left: nothing is taken any more, only what waits is still saved. Mode ``left``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rounds.walk.machine.mode import Mode
from rounds.walk.machine.prompts import Prompt
from rounds.walk.machine.state import Desk, Result, State


@dataclass(frozen=True)
class Left(Mode):
    name: ClassVar[str] = "left"
    takes_keys: ClassVar[bool] = False

    def press(self, state: State, key: str, desk: Desk) -> Result:
        return state, ()

    def prompt(self, state: State, desk: Desk) -> Prompt:
        return Prompt()
