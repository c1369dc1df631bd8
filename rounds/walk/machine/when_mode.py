"""The day of an act that was not today's: asked for with one key where acts are listed, and never otherwise.

Mode ``when``, a value of the same state as all others. Digits are days ago, so that a number
pad is enough; what else is typed is a day or a span as everywhere.
"""

from __future__ import annotations

from datetime import date

from rounds.husbandry import spans
from rounds.walk.machine import steps
from rounds.walk.machine.state import Desk, Result, State

KEY = "/"
"""Opens it where acts are listed; every keyboard has it, and every number pad."""
ABOUT = "another day"
MOST = 40
FEWEST_OF_YEAR = 4
"""Digits from which on a number is a year and not days ago."""


def open_when(state: State) -> Result:
    return state._replace(mode="when", buffer="", page=0), ()


def when(state: State, key: str, desk: Desk) -> Result:
    if key == "enter":
        on, wrong = told(state.buffer.strip(), desk.day)
        if wrong:
            return state._replace(buffer="", message=wrong), ()
        return _back(state, on)
    if key == "backspace" and not state.buffer:
        return _back(state, "")
    return steps.edited(state, key, MOST) or state, ()


def told(text: str, today: int) -> tuple[str, str]:
    """What an act is told for a day as it was typed ("" for today), or else why that is no day of the past."""
    low = text.casefold()
    if not text or low == "today":
        return "", ""
    if low == "yesterday":
        low = "1"
    if low.isdecimal() and low.isascii() and len(low) < FEWEST_OF_YEAR:
        return (date.fromordinal(today - int(low)).isoformat() if int(low) else ""), ""
    try:
        span = spans.parse(text)
    except spans.SpanError as e:
        near = f"; did you mean {e.near}?" if e.near else ""
        return "", f"{e.what}: days ago, or a day such as 2026-03-01{near}"
    if span.earliest > today:
        return "", f"{text} has not come yet"
    return text, ""


def _back(state: State, on: str) -> Result:
    said = f"on {on}: what was it?" if on else "today, then"
    return state._replace(mode="acts", buffer="", page=0, on=on, message=said), ()
