"""The walk's keys as a pure machine: a state and a key give a state and effects.

Everything a key can do on the walk is decided here and in the modules it calls, so that a
burst of keys and the same keys typed slowly end in the same book: modes (go, skip, note,
put off ...) are values of ``State.mode``, never another widget or window. The machine
knows no ids but a stop's place in the walk; :mod:`rounds.walk.core` turns effects into entries
for the writer.
"""

from __future__ import annotations

from collections.abc import Callable

from rounds.husbandry.readings import ReadingKind, Value
from rounds.husbandry.stages import Depth
from rounds.records.entries import SKIPPED, Cell
from rounds.walk.machine import act_modes, menu_mode, modes, scan_mode, steps, when_mode
from rounds.walk.machine.state import Desk, Result, Run, State
from rounds.walk.machine.steps import (
    ask_for,
    cells_here,
    is_digit,
    key_for,
    name_of,
    put_all,
    rows,
    rub_key,
    rubs_out,
)

TYPED = ("go", "days", "why", "field", "when")
"""Modes in which signs are typed that the layout's own key for it can take back; a note takes every sign."""
LISTS = ("help", "scan", "acts", "whom", "sure", "skip", "earlier", "pick", "other", "menu")
"""Modes in which a key that is none of the offered ones leaves."""
NUM_LOCK = ("up", "down", "left", "right", "home", "end", "pageup", "pagedown")


def press(state: State, key: str, desk: Desk) -> Result:
    """One key. Keys are single characters or the names of rounds.keys.layout_file.NAMED."""
    after, effects = _pressed(state, key, desk)
    if after.back_to is not None and after.mode == "walk":  # all is told, or given up
        pages, at, cursor = after.back_to
        after = after._replace(pages=pages, at=at, cursor=cursor, back_to=None)
    return after, effects


def _pressed(state: State, key: str, desk: Desk) -> Result:
    if state.mode == "left":
        return state, ()
    if desk.commands.get(key) == "scan":
        return scan_mode.open_scan(state, desk)
    if state.scanned and key == "enter":
        on = key_for(desk, "next")
        return state._replace(
            scanned=False, message=f"that Enter was taken for the scanner's; {on} goes on"
        ), ()
    if key == "escape" and state.mode not in LISTS:
        return state._replace(message=_no_escape(state, desk)), ()
    if (state.mode in TYPED or (state.mode == "walk" and state.buffer)) and rubs_out(desk, key):
        key = "backspace"
    quiet = state._replace(message="", warned=False, scanned=False)
    if state.mode != "walk":
        return MODES[state.mode](quiet, key, desk)
    if state.pages:
        from rounds.walk.machine import page_keys

        return page_keys.press(quiet, key, desk, run)
    if state.at >= desk.count():
        return modes.summary(quiet, key, desk, run)
    if state.buffer:
        return _counting(quiet, key, desk)
    if is_digit(key):
        return _digit(quiet, key, desk)
    command = desk.commands.get(key)
    if command is not None:
        return _command(quiet._replace(warned=state.warned and command == "next"), command, desk)
    for kind in desk.kinds.values():
        if kind.ask_key == key and not kind.retired:
            return ask_for(quiet, kind, desk)
    lock = " (is Num Lock off?)" if key in NUM_LOCK and "menu" in desk.commands.values() else ""
    return quiet._replace(
        message=f"{name_of(key)} does nothing here{lock}; {key_for(desk, 'help')} shows the keys"
    ), ()


def _digit(state: State, key: str, desk: Desk) -> Result:
    shown = rows(state, desk)
    if state.cursor >= len(shown):
        on = key_for(desk, "next")
        return state._replace(
            message=f"all is read; {on} goes on, {key_for(desk, 'reading_up')} goes back up"
        ), ()
    kind = shown[state.cursor].kind
    if kind.type == "tick":
        if key not in "01":
            return state._replace(message=f"{kind.title}: 1 is yes, 0 is no"), ()
        return _answer(state, desk, key == "1")
    if kind.type == "choice":
        choice = next((c for c in kind.choices if c.key == key), None)
        if choice is None:
            offered = ", ".join(f"{c.key} {c.title}" for c in kind.choices)
            return state._replace(message=f"{kind.title}: {offered}"), ()
        return _answer(state, desk, choice.id)
    if kind.one_digit:
        return _number(state, desk, kind, key)
    return state._replace(buffer=key), ()


def _counting(state: State, key: str, desk: Desk) -> Result:
    """Keys while a number of several digits is half typed (it is not saved until it ends)."""
    kind = rows(state, desk)[state.cursor].kind
    if is_digit(key) and len(state.buffer) < 8:
        return state._replace(buffer=state.buffer + key), ()
    if key in ".," and kind.decimals and "." not in state.buffer:
        return state._replace(buffer=state.buffer + "."), ()
    if key == "backspace":
        return state._replace(buffer=state.buffer[:-1]), ()
    ended, effects = _number(state, desk, kind, state.buffer)
    if ended.buffer and desk.commands.get(key) == "quit":
        return press(ended._replace(buffer=""), key, desk)  # nobody is held back by a number that is none
    if ended.buffer or desk.commands.get(key) == "next":
        return ended, effects  # refused: stay with what was typed; or simply ended by the next key
    after, more = press(ended, key, desk)
    return after, (*effects, *more)


def _number(state: State, desk: Desk, kind: ReadingKind, text: str) -> Result:
    places = len(text.partition(".")[2])
    if text.endswith(".") or places > kind.decimals:
        return state._replace(
            buffer=text, message=f"{kind.title}: {kind.decimals} decimal places; {rub_key(desk)} mends it"
        ), ()
    number = float(text)
    if not kind.low <= number <= kind.high:
        unit = f" ({kind.unit})" if kind.unit else ""
        said = (
            f"{kind.title}: {text} is outside {kind.low:g} to {kind.high:g}{unit}; {rub_key(desk)} mends it"
        )
        return state._replace(buffer="" if kind.one_digit else text, message=said), ()
    return _answer(state._replace(buffer=""), desk, number if kind.decimals else int(number))


def _answer(state: State, desk: Desk, value: Value) -> Result:
    shown = rows(state, desk)
    ask = shown[state.cursor]
    cells: list[tuple[str, Depth, Cell]] = [(ask.kind.id, ask.depth, value)]
    if state.earlier is None and cells_here(state, desk).get(SKIPPED) is not None:
        cells.append((SKIPPED, Depth.WALL, None))  # it is being looked at after all
    state, effects = put_all(state, desk, cells, "corrected" if state.earlier is not None else "")
    filled = cells_here(state, desk)
    after = [i for i in range(state.cursor + 1, len(shown)) if filled.get(shown[i].kind.id) is None]
    return state._replace(cursor=after[0] if after else len(shown)), effects


def _command(state: State, command: str, desk: Desk) -> Result:
    if state.earlier is not None and command in NOT_WHILE_CORRECTING:
        return state._replace(message=f"correcting an earlier visit; {key_for(desk, 'next')} ends it"), ()
    return run(state, command, desk)


def _no_escape(state: State, desk: Desk) -> str:
    """What leads back instead. A terminal sends Escape and the next key as one when they come fast."""
    if state.mode == "note":
        return "Escape does nothing here; enter ends the note"
    if state.mode in TYPED:
        return f"Escape does nothing here; {rub_key(desk)} with nothing typed goes back"
    back = rub_key(desk) if state.pages else key_for(desk, "undo")
    return f"Escape does nothing here; {back} {'goes back' if state.pages else 'takes the last thing back'}"


def run(state: State, command: str, desk: Desk) -> Result:
    """Carry out a command, whichever key gave it."""
    return BY_COMMAND[command](state, desk)


def _pages(state: State, desk: Desk) -> Result:
    from rounds.walk.machine import page_keys

    return page_keys.open_pages(state, desk)


def _find(state: State, desk: Desk) -> Result:
    from rounds.walk.machine import page_keys

    return page_keys.open_find(state, desk)


def _menu(state: State, key: str, desk: Desk) -> Result:
    return menu_mode.choose(state, key, desk, press)


MODES: dict[str, Run] = {
    "go": modes.go_to, "skip": modes.skip, "note": modes.note, "earlier": modes.choose_earlier, "other": modes.other,
    "pick": modes.pick, "days": modes.days, "why": modes.why, "help": modes.help_, "menu": _menu, "scan": scan_mode.scan,
    "acts": act_modes.choose, "whom": act_modes.whom, "field": act_modes.field, "sure": act_modes.sure, "when": when_mode.when,
}  # fmt: skip
"""What a key does in each mode that ``State.mode`` can have, beside the walk itself."""

BY_COMMAND: dict[str, Callable[[State, Desk], Result]] = {
    "next": steps.go_on, "back": modes.back, "reading_up": modes.up, "reading_down": modes.down,
    "other": modes.open_others, "deeper": modes.deeper, "skip": modes.open_skip, "go": modes.open_go,
    "note": modes.open_note, "record": act_modes.open_acts, "undo": steps.undo, "correct": modes.open_correct,
    "done": modes.done, "put_off": modes.put_off, "summary": modes.to_summary, "menu": menu_mode.open_menu,
    "scan": scan_mode.open_scan, "help": modes.open_help, "quit": modes.leave,
    "pages": _pages, "find": _find,
}  # fmt: skip
"""What each command of the walk (``keys.commands.ABOUT``) does."""

NOT_WHILE_CORRECTING = ("deeper", "skip", "go", "done", "put_off", "summary")
