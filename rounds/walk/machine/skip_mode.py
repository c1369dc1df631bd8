"""Skipping an enclosure, with one of the reasons in the config. Mode ``skip``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rounds.husbandry.stages import Depth
from rounds.records.entries import NOTE, SKIPPED
from rounds.walk.machine import mode_sentences, question_sentences, steps
from rounds.walk.machine.mode import Mode, Walking
from rounds.walk.machine.prompts import Answer, Prompt
from rounds.walk.machine.state import Desk, Result, State


@dataclass(frozen=True)
class Skipping(Mode):
    name: ClassVar[str] = "skip"
    any_key_leaves: ClassVar[bool] = True
    broken_off: ClassVar[str] = question_sentences.NOT_SKIPPED

    def press(self, state: State, key: str, desk: Desk) -> Result:
        reason = next((c for c in desk.skips if c.key == key), None)
        state = state._replace(mode=Walking())
        if reason is None:
            return state._replace(message=mode_sentences.NOT_SKIPPED), ()
        said = mode_sentences.skipped(desk.label(state.at), reason.title)
        state, effects = steps.put(state, desk, SKIPPED, Depth.WALL, reason.id)
        state, moved = steps.arrive(state, desk, steps.stop_after(desk, state.at), said)
        return state, (*effects, *moved)

    def prompt(self, state: State, desk: Desk) -> Prompt:
        return Prompt(
            question_sentences.WHY_SKIP,
            tuple(Answer(c.key, c.title) for c in desk.skips),
            leaves=question_sentences.NOT_SKIPPED,
        )


def open_skip(state: State, desk: Desk) -> Result:
    cells = steps.cells_here(state, desk)
    if any(v is not None for k, v in cells.items() if k not in (SKIPPED, NOTE)):
        undo = steps.key_for(desk, "undo")
        return state._replace(message=mode_sentences.read_already(undo)), ()
    return state._replace(mode=Skipping()), ()
