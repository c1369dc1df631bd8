"""Taking back the newest step of a walk. No start needs it."""

from __future__ import annotations

from rounds.records.entries import ACT, AS_EXPECTED, NOTE, SKIPPED
from rounds.walk.machine import walking_sentences
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.state import (
    Desk,
    Effect,
    Move,
    Put,
    Result,
    SetAction,
    State,
    Undoable,
    UndoAct,
    Undone,
)
from rounds.walk.machine.steps import cells_here, key_for, rows, start, with_cell


def undo(state: State, desk: Desk) -> Result:
    """Take back the newest step, whole, and show where it was."""
    if not state.steps:
        return state._replace(message=walking_sentences.NOTHING_TO_TAKE_BACK), ()
    seq = state.steps[-1].seq
    if state.unrecorded:
        newest = state.steps[-1]
        before = _named(desk, newest)
        again = walking_sentences.nothing_to_undo(key_for(desk, "undo"), desk.label(newest.stop), before)
        return state._replace(message=again), ()
    refused = desk.keeps(seq)
    if refused:
        return state._replace(message=refused), ()
    undone = [s for s in state.steps if s.seq == seq]
    state = state._replace(steps=tuple(s for s in state.steps if s.seq != seq))
    effects: list[Effect] = []
    was = cells_here(state._replace(at=undone[0].stop, earlier=undone[0].visit), desk).get(undone[0].kind)
    for step in reversed(undone):
        if step.kind == ACT:
            effects.append(UndoAct(seq, step.stop))
            continue
        if step.action is not None:
            effects.append(SetAction(seq, step.stop, step.action))
            continue
        holder = state._replace(at=step.stop, earlier=step.visit)
        now_cell = cells_here(holder, desk).get(step.kind)
        effects.append(Put(seq, step.stop, step.visit, step.kind, step.depth, now_cell, step.before, "undo"))
        state = with_cell(state, step.stop, step.visit, step.kind, step.before)
    last = undone[0]
    stated = last.kind in desk.kinds and desk.kinds[last.kind].act
    anew = bool(stated) and last.before is not None and last.before == was
    what = _named(desk, last)
    what = walking_sentences.said_beside(what) if anew else what
    state = state._replace(at=last.stop, mode=Walking(), earlier=last.visit)
    state = start(state, desk)
    found = [i for i, a in enumerate(rows(state, desk)) if a.kind.id == last.kind]
    state = state._replace(
        cursor=found[0] if found else state.cursor,
        message=walking_sentences.taken_back(desk.label(last.stop), what),
    )
    return state, (*effects, Undone(seq), Move(last.stop))


def _named(desk: Desk, step: Undoable) -> str:
    """What a step set, in words: the act with whom it concerned, the action by its reason, the reading."""
    if step.action is not None:
        return walking_sentences.the_action(step.action.reason)
    said = desk.act_said(step.seq) if step.kind == ACT else ""
    return said or _title_of(desk, step.kind)


def _title_of(desk: Desk, kind: str) -> str:
    own = {
        AS_EXPECTED: walking_sentences.AS_EXPECTED,
        NOTE: walking_sentences.THE_NOTE,
        SKIPPED: walking_sentences.THE_SKIP,
        ACT: walking_sentences.THE_ACT,
    }
    return own.get(kind) or (desk.kinds[kind].title if kind in desk.kinds else kind)
