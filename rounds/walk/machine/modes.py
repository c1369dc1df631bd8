"""The walk's other modes: going to a code, skipping, notes, actions, the summary, help.

One function per mode, ``(state, key, desk) -> (state, effects)``, and one per command, without
the key. The tables that name them stand in the machine itself: :mod:`rounds.walk.machine.press`.
"""

from __future__ import annotations

from rounds.husbandry.stages import DEPTH_WORDS, Depth
from rounds.records.entries import NOTE, SKIPPED
from rounds.records.observations import Action
from rounds.walk.machine import act_modes, steps
from rounds.walk.machine.state import (
    MAX_TEXT,
    Desk,
    Effect,
    Leave,
    Put,
    Result,
    Run,
    SetAction,
    State,
    Undoable,
    VisitDraft,
)

MAX_DAYS = 365
DUE_ACTS = {"done": "due-done", "off": "due-off"}
"""With no action open, done and put off mean the work that is due here."""


# Going somewhere


def go_to(state: State, key: str, desk: Desk) -> Result:
    if key == "enter" or (key == "space" and state.buffer):
        stop = desk.find(state.buffer.strip())
        if stop is None:
            said = (
                f"no enclosure {state.buffer.strip()!r} on this walk"
                if state.buffer.strip()
                else "stayed here"
            )
            return state._replace(mode="walk", buffer="", message=said), ()
        return steps.arrive(state._replace(buffer=""), desk, stop)
    if key == "backspace" and not state.buffer:
        return state._replace(mode="walk", message="stayed here"), ()
    return steps.edited(state, key, 40) or state, ()


def back(state: State, desk: Desk) -> Result:
    if state.earlier is not None:
        return steps.go_on(state, desk)
    if state.at == 0:
        return state._replace(message="this is the first enclosure"), ()
    return steps.arrive(state, desk, state.at - 1)


def to_summary(state: State, desk: Desk) -> Result:
    return steps.arrive(state, desk, desk.count())


# Looking closer, other readings


def deeper(state: State, desk: Desk) -> Result:
    now = steps.depth_of(state, desk, state.at)
    if now == Depth.DUG:
        start = desk.starts_at(state.at)
        look = state.looks.get(state.at, VisitDraft())._replace(depth=start)
        return steps.start(steps.set_look(state, look), desk)._replace(message=DEPTH_WORDS[start]), ()
    wanted = Depth(now + 1)
    refused = desk.withheld(state.at, wanted)
    if refused:
        return state._replace(message=refused), ()
    look = state.looks.get(state.at, VisitDraft())._replace(depth=wanted)
    return steps.start(steps.set_look(state, look), desk)._replace(message=DEPTH_WORDS[wanted]), ()


def up(state: State, desk: Desk) -> Result:  # noqa: ARG001
    return state._replace(cursor=max(0, state.cursor - 1)), ()


def down(state: State, desk: Desk) -> Result:
    return state._replace(cursor=min(len(steps.rows(state, desk)), state.cursor + 1)), ()


def open_others(state: State, desk: Desk) -> Result:
    if not steps.others(state, desk):
        return state._replace(message="there is no other reading"), ()
    return state._replace(mode="other", page=0), ()


def other(state: State, key: str, desk: Desk) -> Result:
    if not steps.is_digit(key):
        return state._replace(mode="walk", message="nothing added"), ()
    listed = steps.others(state, desk)
    state, at = steps.numbered(state, key, len(listed), "no reading")
    return (state, ()) if at is None else steps.ask_for(state._replace(mode="walk"), listed[at], desk)


# Skipping, notes, correcting


def open_skip(state: State, desk: Desk) -> Result:
    cells = steps.cells_here(state, desk)
    if any(v is not None for k, v in cells.items() if k not in (SKIPPED, NOTE)):
        undo = steps.key_for(desk, "undo")
        return state._replace(message=f"already read today; {undo} takes readings back"), ()
    return state._replace(mode="skip"), ()


def skip(state: State, key: str, desk: Desk) -> Result:
    reason = next((c for c in desk.skips if c.key == key), None)
    if reason is None:
        return state._replace(mode="walk", message="not skipped"), ()
    state, effects = steps.put(state._replace(mode="walk"), desk, SKIPPED, Depth.WALL, reason.id)
    state, moved = steps.arrive(state, desk, state.at + 1, f"skipped {desk.label(state.at)}: {reason.title}")
    return state, (*effects, *moved)


def open_note(state: State, desk: Desk) -> Result:
    text = steps.cells_here(state, desk).get(NOTE)
    # One session of typing is one step: each key replaces the text under the same number.
    return state._replace(mode="note", buffer=str(text or ""), page=-1), ()


def note(state: State, key: str, desk: Desk) -> Result:
    """Text is put as it is typed; ``page`` holds the step's number once there is one."""
    if key == "enter":
        return state._replace(mode="walk", buffer="", page=0), ()
    edited = steps.edited(state, key, MAX_TEXT)
    if edited is None or edited.buffer == state.buffer:
        return edited or state, ()
    before = steps.cells_here(state, desk).get(NOTE)
    after = edited.buffer or None
    if state.page < 0:
        edited, effects = steps.put(edited, desk, NOTE, Depth.WALL, after)
        return edited._replace(page=edited.seq), effects
    edited = steps.with_cell(edited, state.at, state.earlier, NOTE, after)
    return edited, (Put(state.page, state.at, state.earlier, NOTE, Depth.WALL, before, after),)


def open_correct(state: State, desk: Desk) -> Result:
    if state.earlier is not None:
        return steps.go_on(state, desk)
    if not desk.earlier(state.at):
        return state._replace(message="there is no earlier visit to correct"), ()
    return state._replace(mode="earlier"), ()


def choose_earlier(state: State, key: str, desk: Desk) -> Result:
    visits = desk.earlier(state.at)
    if steps.is_digit(key) and 1 <= int(key) <= len(visits):
        chosen = state._replace(mode="walk", earlier=visits[int(key) - 1].uid, buffer="", cursor=0)
        return chosen._replace(
            message="correcting an earlier visit: what you type is kept beside what stood there"
        ), ()
    return state._replace(mode="walk", message="nothing corrected"), ()


# Actions: done, put off


def _actions(state: State, desk: Desk) -> tuple[Action, ...]:
    if state.at < desk.count():
        return desk.actions(state.at)
    listed = desk.listed()
    action = listed[state.cursor][1] if state.cursor < len(listed) else None
    return (action,) if action is not None else ()


def done(state: State, desk: Desk) -> Result:
    return _pick(state, desk, "done")


def put_off(state: State, desk: Desk) -> Result:
    return _pick(state, desk, "off")


def _pick(state: State, desk: Desk, wanted: str) -> Result:
    open_ = _actions(state, desk)
    if not open_:
        due = act_modes.open_one(state, desk, DUE_ACTS[wanted])
        return due or (state._replace(message="no action is open here, and nothing is due"), ())
    if len(open_) > 1:
        return state._replace(mode="pick", picking=wanted), ()
    return _picked(state._replace(picking=wanted), desk, open_[0])


def pick(state: State, key: str, desk: Desk) -> Result:
    open_ = _actions(state, desk)
    if steps.is_digit(key) and 1 <= int(key) <= len(open_):
        return _picked(state._replace(mode="walk"), desk, open_[int(key) - 1])
    return state._replace(mode="walk", message="nothing ticked off"), ()


def act_on(state: State, desk: Desk, action: Action, command: str) -> Result:
    """Done or put off, for an action of the enclosure one stands at that was chosen elsewhere."""
    return _picked(state._replace(picking="done" if command == "done" else "off"), desk, action)


def _picked(state: State, desk: Desk, action: Action) -> Result:
    if state.picking == "off":
        return state._replace(mode="days", picked=action.uid, buffer=""), ()
    return _act(state, desk, action, action._replace(state="done", closed=desk.day), "done")


def _act(state: State, desk: Desk, before: Action, after: Action, said: str) -> Result:
    seq = state.seq + 1
    stop = state.at if state.at < desk.count() else desk.listed()[state.cursor][0]
    step = Undoable(seq, stop, None, "", Depth.WALL, None, before)
    effects: tuple[Effect, ...] = (SetAction(seq, stop, after),)
    return state._replace(
        seq=seq, steps=(*state.steps, step), mode="walk", message=f"{said}: {before.todo}"
    ), effects


def days(state: State, key: str, desk: Desk) -> Result:  # noqa: ARG001
    if key in ("enter", "space"):
        wanted = int(state.buffer or "1")
        if not 1 <= wanted <= MAX_DAYS:
            return state._replace(buffer="", message=f"1 to {MAX_DAYS} days"), ()
        return state._replace(mode="why", days=wanted, buffer="", page=0), ()
    if steps.is_digit(key) and len(state.buffer) < 3:
        return state._replace(buffer=state.buffer + key), ()
    if key == "backspace" and state.buffer:
        return state._replace(buffer=state.buffer[:-1]), ()
    if key == "backspace":
        return state._replace(mode="walk", message="not put off"), ()
    return state._replace(message="how many days? then enter"), ()


def why(state: State, key: str, desk: Desk) -> Result:
    """A digit alone gives one of the reasons in the config, everything else is a reason in words."""
    if key == "enter":
        reason = steps.ready(state.buffer, [c.title for c in desk.put_offs])
        if not reason:
            missing = "a reason" if not state.buffer.strip() else f"no reason under {state.buffer.strip()}"
            return state._replace(message=f"{missing}; {steps.rub_key(desk)} leaves it as it was"), ()
        return _put_off(state, desk, reason)
    if key == "backspace" and not state.buffer:
        return state._replace(mode="walk", message="not put off"), ()
    return steps.edited(state, key, 200) or state, ()


def _put_off(state: State, desk: Desk, reason: str) -> Result:
    action = next((a for a in _actions(state, desk) if a.uid == state.picked), None)
    state = state._replace(mode="walk", buffer="")
    if action is None:
        return state._replace(message="that action is no longer open"), ()
    after = action._replace(state="off", until=desk.day + state.days, why=reason)
    return _act(state, desk, action, after, f"put off {state.days} days")


# The summary, help, leaving


def summary(state: State, key: str, desk: Desk, run: Run) -> Result:
    """Keys on the list of enclosures needing action (past the last stop); ``run`` carries a command out."""
    listed = desk.listed()
    cursor = min(state.cursor, max(0, len(listed) - 1))
    state = state._replace(cursor=cursor)
    command = desk.commands.get(key)
    if command == "reading_up":
        return state._replace(cursor=max(0, cursor - 1)), ()
    if command == "reading_down":
        return state._replace(cursor=min(max(0, len(listed) - 1), cursor + 1)), ()
    if command == "next":
        if not listed:
            return state._replace(message="nothing is listed"), ()
        return steps.arrive(state, desk, listed[cursor][0])
    if command == "back":
        return steps.arrive(state, desk, max(0, desk.count() - 1))
    if command == "summary":
        return steps.arrive(state, desk, min(state.came_from, max(0, desk.count() - 1)))
    if command in ("done", "put_off", "go", "undo", "menu", "help", "quit", "pages", "find"):
        return run(state, command, desk)
    return state._replace(message=f"{steps.name_of(key)} does nothing on the summary"), ()


def open_go(state: State, desk: Desk) -> Result:  # noqa: ARG001
    return state._replace(mode="go", buffer=""), ()


def open_help(state: State, desk: Desk) -> Result:  # noqa: ARG001
    return state._replace(mode="help", page=0), ()


def help_(state: State, key: str, desk: Desk) -> Result:
    if desk.commands.get(key) == "reading_down":
        return state._replace(page=state.page + 1), ()
    if desk.commands.get(key) == "reading_up":
        return state._replace(page=max(0, state.page - 1)), ()
    return state._replace(mode="walk", page=0), ()


def leave(state: State, desk: Desk) -> Result:  # noqa: ARG001
    return state._replace(mode="left", message="saving"), (Leave(),)
