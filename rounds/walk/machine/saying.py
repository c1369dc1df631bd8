"""Answering a row that is no reading: what a look left to be said, told to an act."""

from __future__ import annotations

from rounds.records.entries import ACT
from rounds.walk.machine import steps, walking_sentences
from rounds.walk.machine.act_modes import ActDraft, finish
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.state import Desk, Put, Result, State


def say(state: State, desk: Desk, row: str, choice: str) -> Result:
    """Record what the row asks for; a doubt is asked about, and what is still needed opens the act's card."""
    found = desk.told_by(state.at, row, choice, steps.saying_step(state, desk))
    if found is None:
        return state._replace(message=walking_sentences.SAID_ALREADY), ()
    seen = walking_sentences.seen_alive(dict(_titles(state, desk, row)).get(choice, choice))
    if found.by_reading:
        last = state.steps[-1]
        value = steps.cells_here(state, desk).get(last.kind)
        state, effects = steps.put(state, desk, last.kind, last.depth, value)
        told = tuple(e._replace(told=found.told) if isinstance(e, Put) else e for e in effects)
        return state._replace(message=seen), told
    draft = ActDraft(found.act, found.whom, found.told, found.instead)
    after, effects = finish(state, desk, draft, None, sure=bool(found.instead))
    if isinstance(after.mode, Walking) and effects and after.steps[-1].kind == ACT:
        after = after._replace(said=after.seq, message=seen if found.instead else after.message)
    return after, effects


def _titles(state: State, desk: Desk, row: str) -> list[tuple[str, str]]:
    asked = next((a for a in steps.rows(state, desk) if a.kind.id == row), None)
    return [(c.id, c.title) for c in asked.kind.choices] if asked is not None else []
