"""The walk's keys as a pure machine: a state and a key give a state and effects.

Everything a key can do on the walk is decided here and in the mode that the state is in, so
that a burst of keys and the same keys typed slowly end in the same book: modes (go, skip, note,
put off ...) are values in ``State.mode``, never another widget or window. The machine knows no
ids but a stop's place in the walk; :mod:`rounds.walk.recorder` turns effects into entries for the
writer.
"""

from __future__ import annotations

from rounds.walk.machine import steps, walking_sentences
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.run_command import run
from rounds.walk.machine.state import Desk, Result, State


def press(state: State, key: str, desk: Desk) -> Result:
    """One key. Keys are single characters or the names of rounds.keys.key_names.NAMED."""
    after, effects = _pressed(state, key, desk)
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
    return mode.press(state._replace(message="", scanned=False), key, desk)
