"""A note in words, saved as it is typed. Mode ``note``."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from rounds.husbandry.stages import Depth
from rounds.records.entries import NOTE
from rounds.text.cleaning import clean
from rounds.walk.machine import mode_sentences, question_sentences, steps
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.mode_bases import Typing
from rounds.walk.machine.prompts import Prompt
from rounds.walk.machine.state import MAX_TEXT, Desk, Put, Result, State


@dataclass(frozen=True)
class Noting(Typing):
    """One session of typing is one step: each key replaces the text under the same number."""

    name: ClassVar[str] = "note"
    seq: int | None = None
    """The step's number, once something was typed."""

    @property
    def layout_rubs_out(self) -> bool:
        return False  # a note takes every sign

    def way_back(self, state: State, desk: Desk) -> str:
        return mode_sentences.ENTER_ENDS_NOTE

    def press(self, state: State, key: str, desk: Desk) -> Result:
        if key == "enter":
            return state._replace(mode=Walking()), ()
        edited = self.edit(state, key, MAX_TEXT)
        typing = edited.mode
        if not isinstance(typing, Noting) or typing.buffer == self.buffer:
            return edited, ()
        before = steps.cells_here(state, desk).get(NOTE)
        after = typing.buffer or None
        if self.seq is None:
            edited, effects = steps.put(edited, desk, NOTE, Depth.WALL, after)
            return edited._replace(mode=replace(typing, seq=edited.seq)), effects
        edited = steps.with_cell(edited, state.at, state.earlier, NOTE, after)
        return edited, (Put(self.seq, state.at, state.earlier, NOTE, Depth.WALL, before, after),)

    def prompt(self, state: State, desk: Desk) -> Prompt:
        # A long code is cut: what is typed needs the room, and the head of the screen has it whole.
        code = desk.label(state.at) if state.at < desk.count() else ""
        return Prompt(
            question_sentences.note_of(clean(code, 12)) if code else question_sentences.NOTE,
            kind="note",
            limit=MAX_TEXT,
            typed=self.buffer,
            enter=question_sentences.ENDS_NOTE,
            enter_alone=question_sentences.NOTE_STAYS if self.buffer else question_sentences.NO_NOTE,
            hint=question_sentences.SAVED_AS_TYPED,
            cell=NOTE if self.seq is not None else "",
        )


def open_note(state: State, desk: Desk) -> Result:
    text = steps.cells_here(state, desk).get(NOTE)
    return state._replace(mode=Noting(buffer=str(text or ""))), ()
