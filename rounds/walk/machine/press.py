"""The walk's keys as a pure machine: a state and a key give a state and effects.

Everything a key can do on the walk is decided here and in the mode that the state is in, so
that a burst of keys and the same keys typed slowly end in the same book: modes (go, skip, note,
put off ...) are values in ``State.mode``, never another widget or window. The machine knows no
ids but a stop's place in the walk; :mod:`rounds.walk.recorder` turns effects into entries for the
writer.
"""

from __future__ import annotations

from rounds.walk.machine import steps, walking_sentences
from rounds.walk.machine.mode import Mode, Walking
from rounds.walk.machine.run_command import run
from rounds.walk.machine.state import Desk, Result, State


def press(state: State, key: str, desk: Desk) -> Result:
    """One key. Keys are single characters or the names of rounds.keys.key_names.NAMED."""
    after, effects = _pressed(state, key, desk)
    given_up = state.mode.records_an_act and isinstance(after.mode, Walking) and not effects
    if given_up or after.unrecorded:
        after = after._replace(unrecorded=given_up)
    if after.back_to is not None and isinstance(after.mode, Walking):  # all is told, or given up
        pages, at, cursor = after.back_to
        after = after._replace(pages=pages, at=at, cursor=cursor, back_to=None)
    return after, effects


def _pressed(state: State, key: str, desk: Desk) -> Result:
    mode = state.mode
    if not mode.takes_keys:
        return state, ()
    if desk.commands.get(key) == "scan":
        return run(state, "scan", desk)
    if state.scanned and key == "enter":
        on = steps.key_for(desk, "next")
        said = walking_sentences.scanners_enter(on)
        return state._replace(scanned=False, message=said), ()
    if key == "escape" and (instead := mode.way_back(state, desk)):
        return state._replace(message=walking_sentences.escape_does_nothing(instead)), ()
    if mode.layout_rubs_out and steps.rubs_out(desk, key):
        key = "backspace"
    result = mode.press(state._replace(message="", scanned=False), key, desk)
    return _said_if_eaten(mode, key, desk, result) if mode.any_key_leaves else result


def _said_if_eaten(mode: Mode, key: str, desk: Desk, result: Result) -> Result:
    """A key that closed a list did nothing else: say so, or who typed on believes that it did."""
    after, effects = result
    closed = isinstance(after.mode, Walking) and not effects and not steps.is_digit(key)
    its_own_key = desk.commands.get(key) == (mode.opened_by or mode.name)
    asked_to = key in ("escape", "backspace") or steps.rubs_out(desk, key) or its_own_key
    if not closed or asked_to:
        return result
    from rounds.walk.machine import mode_sentences  # no start needs it

    said = mode_sentences.only_closed(after.message, steps.name_of(key), the_help=mode.name == "help")
    return after._replace(message=said), effects
