"""What the commands do that ask for nothing more: one enclosure back, a closer look, leaving."""

from __future__ import annotations

from rounds.husbandry.stages import DEPTH_WORDS, Depth
from rounds.walk.machine import steps, walking_sentences
from rounds.walk.machine.state import Desk, Leave, Result, State, VisitDraft


def back(state: State, desk: Desk) -> Result:
    if state.earlier is not None:
        return steps.go_on(state, desk)
    before = steps.stop_before(desk, state.at)
    if before is None:
        return state._replace(message=walking_sentences.FIRST_ENCLOSURE), ()
    return steps.arrive(state, desk, before)


def to_summary(state: State, desk: Desk) -> Result:
    return steps.arrive(state, desk, desk.count())


def deeper(state: State, desk: Desk) -> Result:
    """To the next closer look that is asked anything more at this stage, from the closest back to the usual one."""
    now, start = steps.depth_of(state, desk, state.at), desk.starts_at(state.at)
    asked = len(desk.asks(state.at, now))
    more = (d for d in Depth if d > now and len(desk.asks(state.at, d)) > asked)
    closer = next(more, None)
    if closer is None and now == start:
        return state._replace(message=walking_sentences.NOTHING_CLOSER), ()
    if closer is None:
        look = state.looks.get(state.at, VisitDraft())._replace(depth=start)
        return steps.start(steps.set_look(state, look), desk)._replace(message=DEPTH_WORDS[start]), ()
    refused = desk.withheld(state.at, closer)
    if refused:
        return state._replace(message=refused), ()
    look = state.looks.get(state.at, VisitDraft())._replace(depth=closer)
    return steps.start(steps.set_look(state, look), desk)._replace(message=DEPTH_WORDS[closer]), ()


def reading_up(state: State) -> Result:
    return state._replace(cursor=max(0, state.cursor - 1)), ()


def reading_down(state: State, desk: Desk) -> Result:
    return state._replace(cursor=min(len(steps.rows(state, desk)), state.cursor + 1)), ()


def leave(state: State) -> Result:
    from rounds.walk.machine.left_mode import Left

    return state._replace(mode=Left(), message=walking_sentences.SAVING), (Leave(),)
