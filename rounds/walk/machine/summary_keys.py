"""Keys on the summary past the last enclosure: along its list, to an enclosure of it, back to the walk."""

from __future__ import annotations

from rounds.keys.commands import COMMANDS
from rounds.walk.machine import steps, walking_sentences
from rounds.walk.machine.run_command import run
from rounds.walk.machine.state import Desk, Result, State


def press(state: State, key: str, desk: Desk) -> Result:
    listed = desk.listed()
    last = max(0, len(listed) - 1)
    state = state._replace(cursor=min(state.cursor, last))
    command = desk.commands.get(key, "")
    match command:
        case "reading_up":
            return state._replace(cursor=max(0, state.cursor - 1)), ()
        case "reading_down":
            return state._replace(cursor=min(last, state.cursor + 1)), ()
        case "next" if not listed:
            return state._replace(message=walking_sentences.NOTHING_LISTED), ()
        case "next":
            return steps.arrive(state, desk, listed[state.cursor][0])
        case "back":
            return steps.arrive(state, desk, steps.stop_before(desk, desk.count()) or 0)
        case "summary":
            return steps.arrive(state, desk, min(state.came_from, max(0, desk.count() - 1)))
    if command and COMMANDS[command].summary_rank:
        return run(state, command, desk)
    return state._replace(message=walking_sentences.does_nothing_on_summary(steps.name_of(key))), ()
