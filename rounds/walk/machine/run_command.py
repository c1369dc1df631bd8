"""The one table from a command of the walk to what carries it out.

What opens a mode is loaded with the mode, when it is first given: no start needs it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from rounds.keys.commands import COMMANDS
from rounds.walk.machine import plain_commands, steps, walking_sentences
from rounds.walk.machine.state import Desk, Result, State


def for_the_keeper(state: State, command: str, desk: Desk) -> State | None:
    """The state that refuses what a stand-in may not do and says whom to call; None where it may be done."""
    if not desk.call_instead or COMMANDS[command].stand_in:
        return None
    if command == "record" and not state.pages and state.at < desk.count():
        return None  # it calls for the keeper: see _record
    said = walking_sentences.for_the_keeper(
        COMMANDS[command].label, desk.call_instead, steps.key_for(desk, "record")
    )
    return state._replace(message=said)


def run(state: State, command: str, desk: Desk) -> Result:
    """Carry out a command, whichever key gave it."""
    refused = for_the_keeper(state, command, desk)
    if refused is not None:
        return refused, ()
    return BY_COMMAND[command](state, desk)


def _other(state: State, desk: Desk) -> Result:
    from rounds.walk.machine.other_mode import open_others

    return open_others(state, desk)


def _skip(state: State, desk: Desk) -> Result:
    from rounds.walk.machine.skip_mode import open_skip

    return open_skip(state, desk)


def _go(state: State, _: Desk) -> Result:
    from rounds.walk.machine.go_mode import open_go

    return open_go(state)


def _scan(state: State, desk: Desk) -> Result:
    from rounds.walk.machine.scan_mode import open_scan

    return open_scan(state, desk)


def _undo(state: State, desk: Desk) -> Result:
    from rounds.walk.machine.undoing import undo

    return undo(state, desk)


def _fresh_cup(state: State, desk: Desk) -> Result:
    from rounds.walk.machine.fresh_cup import give

    return give(state, desk)


def _note(state: State, desk: Desk) -> Result:
    from rounds.walk.machine.note_mode import open_note

    return open_note(state, desk)


def _record(state: State, desk: Desk) -> Result:
    """A keeper tells what happened; a stand-in calls for the keeper, who will tell it."""
    if desk.call_instead:
        from rounds.walk.machine.call_for_help import call_for_help

        return call_for_help(state, desk)
    from rounds.walk.machine.act_modes import open_acts

    return open_acts(state, desk)


def _pages(state: State, desk: Desk) -> Result:
    from rounds.walk.machine.page_keys import open_pages

    return open_pages(state, desk)


def _find(state: State, _: Desk) -> Result:
    from rounds.walk.machine.page_keys import open_find

    return open_find(state)


def _correct(state: State, desk: Desk) -> Result:
    from rounds.walk.machine.correct_mode import open_correct

    return open_correct(state, desk)


def _done(state: State, desk: Desk) -> Result:
    from rounds.walk.machine.action_modes import open_actions

    return open_actions(state, desk, "done")


def _put_off(state: State, desk: Desk) -> Result:
    from rounds.walk.machine.action_modes import open_actions

    return open_actions(state, desk, "put_off")


def _menu(state: State, _: Desk) -> Result:
    from rounds.walk.machine.menu_mode import open_menu

    return open_menu(state)


def _help(state: State, _: Desk) -> Result:
    from rounds.walk.machine.help_mode import open_help

    return open_help(state)


BY_COMMAND: Mapping[str, Callable[[State, Desk], Result]] = {
    "next": steps.go_on,
    "back": plain_commands.back,
    "reading_up": lambda state, _: plain_commands.reading_up(state),
    "reading_down": plain_commands.reading_down,
    "other": _other,
    "deeper": plain_commands.deeper,
    "skip": _skip,
    "go": _go,
    "scan": _scan,
    "fresh_cup": _fresh_cup,
    "note": _note,
    "record": _record,
    "pages": _pages,
    "find": _find,
    "undo": _undo,
    "correct": _correct,
    "done": _done,
    "put_off": _put_off,
    "summary": plain_commands.to_summary,
    "menu": _menu,
    "help": _help,
    "quit": lambda state, _: plain_commands.leave(state),
}
"""What each command of the walk (``keys.commands.COMMANDS``) does."""
