"""Giving a fresh cup like the last one: what it gives is said before, and is an answer like any other."""

from __future__ import annotations

from rounds.husbandry.stages import Depth
from rounds.records.entries import SKIPPED, Cell
from rounds.text.cleaning import day_words
from rounds.walk.machine import cup_sentences, steps
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.questions import JELLY_IN
from rounds.walk.machine.state import Desk, LastCup, Result, State


def give(state: State, desk: Desk) -> Result:
    """Record as much fresh jelly as was given here the last time; nothing where that is not known."""
    last = known(state, desk)
    if last is None:
        return state._replace(message=offered(state, desk)), ()
    shown = steps.rows(state, desk)
    at = next((i for i, ask in enumerate(shown) if ask.kind.id == JELLY_IN), None)
    depth = shown[at].depth if at is not None else steps.depth_of(state, desk, state.at)
    cells: list[tuple[str, Depth, Cell]] = [(JELLY_IN, depth, last.amount)]
    if steps.cells_here(state, desk).get(SKIPPED) is not None:
        cells.append((SKIPPED, Depth.WALL, None))  # somebody has been at the box after all
    said = cup_sentences.given(last.amount, day_words(last.day))
    state, effects = steps.put_all(state, desk, cells)
    filled = steps.cells_here(state, desk)
    if state.cursor == at:
        after = [i for i in range(at + 1, len(shown)) if filled.get(shown[i].kind.id) is None]
        state = state._replace(cursor=after[0] if after else len(shown))
    elif at is None:  # seen all the same, behind what is asked
        look = state.looks[state.at]
        state = steps.set_look(state, look._replace(extra=(*look.extra, JELLY_IN)))
        state = state._replace(cursor=len(shown) + 1 if state.cursor >= len(shown) else state.cursor)
    return state._replace(mode=Walking(), message=said), effects


def offered(state: State, desk: Desk) -> str:
    """What the key will give at the box one stands at, or why it gives nothing."""
    typed = steps.cells_here(state, desk).get(JELLY_IN)
    last = desk.last_cup(state.at) if JELLY_IN in desk.kinds else None
    if isinstance(typed, (int, float)):
        return cup_sentences.typed_already(typed)
    if last is None:
        return cup_sentences.NEVER_GIVEN
    if last.day == desk.day:
        return cup_sentences.given_today(last.amount, last.keeper)
    return cup_sentences.will_give(last.amount, day_words(last.day))


def known(state: State, desk: Desk) -> LastCup | None:
    """The cup that the key gives again; None where it gives nothing."""
    if JELLY_IN not in desk.kinds or steps.cells_here(state, desk).get(JELLY_IN) is not None:
        return None
    last = desk.last_cup(state.at)
    return None if last is None or last.day == desk.day else last
