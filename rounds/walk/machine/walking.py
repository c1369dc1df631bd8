"""Keys on the walk itself: answers to the question at the cursor, and commands. Mode ``walk``.

The summary and the pages of the books have keys of their own: ``summary_keys``, ``page_keys``.
"""

from __future__ import annotations

from rounds.husbandry.readings import ReadingKind, Value
from rounds.husbandry.stages import Depth
from rounds.keys.commands import COMMANDS
from rounds.records.entries import SKIPPED, Cell
from rounds.values.numbers import parse_decimal
from rounds.values.unreadable import UnreadableValue
from rounds.walk.machine import walking_sentences
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.press import press as press_again
from rounds.walk.machine.questions import TO_SAY
from rounds.walk.machine.run_command import run
from rounds.walk.machine.state import Desk, Result, State
from rounds.walk.machine.steps import (
    ask_for,
    cells_here,
    is_digit,
    key_for,
    leaving_key,
    name_of,
    put_all,
    rows,
    rub_key,
)

NUM_LOCK = ("up", "down", "left", "right", "home", "end", "pageup", "pagedown")
MOST_DIGITS = 8


def press(mode: Walking, state: State, key: str, desk: Desk) -> Result:
    warned = state.warned
    state = state._replace(warned=False)
    if state.pages:
        from rounds.walk.machine import page_keys

        return page_keys.press(state, key, desk)
    if state.at >= desk.count():
        from rounds.walk.machine import summary_keys

        return summary_keys.press(state, key, desk)
    if mode.buffer:
        return _counting(mode.buffer, state, key, desk)
    if is_digit(key):
        return _digit(state, key, desk)
    command = desk.commands.get(key)
    if command is not None:
        return _command(state._replace(warned=warned and command == "next"), command, desk)
    for kind in desk.kinds.values():
        if kind.ask_key == key and not kind.retired:
            if desk.call_instead and kind.act:  # the reading is an act
                calls = key_for(desk, "record")
                said = walking_sentences.for_the_keeper(kind.title, desk.call_instead, calls)
                return state._replace(message=said), ()
            return ask_for(state, kind, desk)
    lock = key in NUM_LOCK and "menu" in desk.commands.values()
    said = walking_sentences.does_nothing_here(name_of(key), key_for(desk, "help"), num_lock=lock)
    return state._replace(message=said), ()


def way_back(state: State, desk: Desk) -> str:
    """What to press instead of Escape. A terminal sends it and the next key as one when they come fast."""
    if state.pages:
        typed = desk.page(state.pages[-1]).typed
        return walking_sentences.goes_back(leaving_key(desk) if typed else rub_key(desk))
    return walking_sentences.takes_back(key_for(desk, "undo"))


def _digit(state: State, key: str, desk: Desk) -> Result:
    shown = rows(state, desk)
    if state.cursor >= len(shown):
        on, up = key_for(desk, "next"), key_for(desk, "reading_up")
        return state._replace(message=walking_sentences.all_read(on, up)), ()
    kind = shown[state.cursor].kind
    if kind.type == "tick":
        if key not in "01":
            return state._replace(message=walking_sentences.yes_or_no(kind.title)), ()
        return _answer(state, desk, key == "1")
    if kind.type == "choice":
        choice = next((c for c in kind.choices if c.key == key), None)
        if choice is None:
            offered = tuple((c.key, c.title) for c in kind.choices)
            return state._replace(message=walking_sentences.one_of(kind.title, offered)), ()
        return _answer(state, desk, choice.id)
    if kind.one_digit:
        return _number(state, desk, kind, key)
    return state._replace(mode=Walking(key)), ()


def _counting(buffer: str, state: State, key: str, desk: Desk) -> Result:
    """Keys while a number of several digits is half typed (it is not saved until it ends)."""
    kind = rows(state, desk)[state.cursor].kind
    if is_digit(key) and len(buffer) < MOST_DIGITS:
        return state._replace(mode=Walking(buffer + key)), ()
    if key in ".," and kind.decimals and "." not in buffer:
        return state._replace(mode=Walking(buffer + ".")), ()
    if key == "backspace":
        return state._replace(mode=Walking(buffer[:-1])), ()
    ended, effects = _number(state, desk, kind, buffer)
    if ended.mode == Walking():
        if desk.commands.get(key) == "next":
            return ended, effects  # simply ended by the next key
        after, more = press_again(ended, key, desk)
        return after, (*effects, *more)
    if desk.commands.get(key) == "next":
        return ended, ()  # stay with what was typed
    # A number that is none holds nothing back: the key does what it says, and that it is not recorded is said.
    after, more = press_again(ended._replace(mode=Walking()), key, desk)
    said = walking_sentences.not_taken(kind.title, buffer, after.message)
    return after._replace(message=said), more


def _number(state: State, desk: Desk, kind: ReadingKind, text: str) -> Result:
    if text.endswith("."):  # half typed: a point that nothing follows
        said = walking_sentences.decimal_places(kind.title, kind.decimals, rub_key(desk))
        return state._replace(mode=Walking(text), message=said), ()
    try:
        number = parse_decimal(text, low=kind.low, high=kind.high, decimals=kind.decimals, unit=kind.unit)
    except UnreadableValue as e:
        left = "" if kind.one_digit else text
        message = walking_sentences.unreadable(kind.title, e.reason, rub_key(desk))
        return state._replace(mode=Walking(left), message=message), ()
    return _answer(state._replace(mode=Walking()), desk, number if kind.decimals else int(number))


def _answer(state: State, desk: Desk, value: Value) -> Result:
    shown = rows(state, desk)
    ask = shown[state.cursor]
    if ask.kind.id.startswith(TO_SAY):
        from rounds.walk.machine.saying import say

        return say(state, desk, ask.kind.id, str(value))
    cells: list[tuple[str, Depth, Cell]] = [(ask.kind.id, ask.depth, value)]
    if state.earlier is None and cells_here(state, desk).get(SKIPPED) is not None:
        cells.append((SKIPPED, Depth.WALL, None))  # it is being looked at after all
    state, effects = put_all(state, desk, cells, "corrected" if state.earlier is not None else "")
    filled = cells_here(state, desk)
    after = [i for i in range(state.cursor + 1, len(shown)) if filled.get(shown[i].kind.id) is None]
    return state._replace(cursor=after[0] if after else len(shown)), effects


def _command(state: State, command: str, desk: Desk) -> Result:
    if state.earlier is not None and not COMMANDS[command].while_correcting:
        ends = walking_sentences.correcting(key_for(desk, "next"))
        return state._replace(message=ends), ()
    return run(state, command, desk)
