"""A scanned label: its key begins a scan in any mode of the walk, Enter ends it there or nowhere.

Nothing is recorded by a scan, and what was half typed before it is not saved, which is said.
Until Enter every character belongs to the scan, a blank too, also of one that is too long or
that no enclosure has: the rest of it must not be taken for answers.
"""

from __future__ import annotations

from rounds.keys.scan_code import MOST
from rounds.walk.machine import steps
from rounds.walk.machine.state import Desk, Result, State

BROKEN_OFF = {
    "skip": "it is not skipped",
    "earlier": "nothing is corrected",
    "other": "no reading is added",
    "pick": "nothing is ticked off or put off",
    "days": "nothing is put off",
    "why": "nothing is put off",
    "acts": "no act is recorded",
    "whom": "no act is recorded",
    "field": "no act is recorded",
    "sure": "no act is recorded",
    "when": "no act is recorded",
}
"""What a scan leaves undone in the modes that were about something."""


def open_scan(state: State, desk: Desk) -> Result:
    dropped = state.dropped if state.mode == "scan" else _broken_off(state, desk)
    return state._replace(
        mode="scan", buffer="", page=0, asked=None, message="", warned=False, scanned=False, dropped=dropped
    ), ()


def scan(state: State, key: str, desk: Desk) -> Result:
    if key == "enter":
        return _ended(state, desk)
    sign = " " if key == "space" else key
    if len(sign) == 1 and sign.isprintable():
        return state._replace(buffer=(state.buffer + sign)[: MOST + 1]), ()
    after = f" after {state.buffer}" if state.buffer else ""
    return _nowhere(state, f"the scan was cut off{after}")


def _broken_off(state: State, desk: Desk) -> str:
    if state.mode == "walk" and state.buffer:
        kind = steps.rows(state, desk)[state.cursor].kind
        return f"{kind.title} {state.buffer} was only half typed and is not saved"
    return BROKEN_OFF.get(state.mode, "")


def _ended(state: State, desk: Desk) -> Result:
    state = state._replace(scanned=True)
    text = state.buffer.strip()
    if not text:
        return _nowhere(state, "nothing was scanned")
    if len(state.buffer) > MOST:  # what came after that is not known
        return _nowhere(state, f"{text[:12]}… is too long for an enclosure's code")
    stop = desk.find(text)
    if stop is None:
        return _nowhere(state, f"no enclosure {text!r} on this walk")
    dropped = state.dropped
    state = state._replace(buffer="", dropped="")
    said = f"{desk.label(stop)} is where you stand" if stop == state.at else f"scanned {desk.label(stop)}"
    return steps.arrive(state, desk, stop, _and(said, dropped))


def _nowhere(state: State, why: str) -> Result:
    said = _and(f"{why}: nothing done", state.dropped)
    return state._replace(mode="walk", buffer="", dropped="", message=said), ()


def _and(said: str, dropped: str) -> str:
    return f"{said}; {dropped}" if dropped else said
