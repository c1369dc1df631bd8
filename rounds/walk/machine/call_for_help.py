"""A stand-in asks for the keeper: an open action at the box, and a note for what is wrong."""

from __future__ import annotations

from rounds.husbandry.stages import Depth
from rounds.walk.machine import recording_sentences, walking_sentences
from rounds.walk.machine.note_mode import open_note
from rounds.walk.machine.state import Desk, Result, SetAction, State, Undoable


def call_for_help(state: State, desk: Desk) -> Result:
    """Raise the action, once a box, and go on with the note that says why; one undo takes the call back."""
    if state.earlier is not None:
        return state._replace(message=recording_sentences.CORRECTING_FIRST), ()
    seq = state.seq + 1
    call = desk.call_for_help(state.at, seq)
    noting, effects = open_note(state, desk)
    if call is None:
        return noting._replace(message=walking_sentences.is_called(desk.call_instead)), effects
    step = Undoable(seq, state.at, None, "", Depth.WALL, None, call._replace(state="withdrawn"))
    noting = noting._replace(
        seq=seq, steps=(*state.steps, step), message=walking_sentences.will_be_called(desk.call_instead)
    )
    return noting, (SetAction(seq, state.at, call), *effects)
