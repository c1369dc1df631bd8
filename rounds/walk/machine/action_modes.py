"""Open actions: which of them is done, or put off for how long and why. Modes ``pick``, ``days``, ``why``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rounds.husbandry.stages import Depth
from rounds.keys.commands import PER_PAGE
from rounds.records.observations import Action
from rounds.walk.machine import question_sentences, recording_sentences, steps, walking_sentences
from rounds.walk.machine.act_modes import DUE_ACTS
from rounds.walk.machine.mode import Mode, Walking
from rounds.walk.machine.mode_bases import Listing, Typing, ready_answer
from rounds.walk.machine.prompts import Answer, Prompt, numbered
from rounds.walk.machine.state import Desk, DueHere, Effect, Result, SetAction, State, Undoable

MAX_DAYS = 365
MAX_REASON = 200


@dataclass(frozen=True)
class PickingAction(Mode):
    """Several actions are open: which of them is meant."""

    name: ClassVar[str] = "pick"
    any_key_leaves: ClassVar[bool] = True
    broken_off: ClassVar[str] = question_sentences.NOTHING_DONE_OR_OFF
    command: str
    """``done`` or ``put_off``."""

    def press(self, state: State, key: str, desk: Desk) -> Result:
        listed = _open(state, desk)
        state = state._replace(mode=Walking())
        if steps.is_digit(key) and 1 <= int(key) <= len(listed):
            return act_on(state, desk, listed[int(key) - 1], self.command)
        return state._replace(message=recording_sentences.NOTHING_TICKED_OFF), ()

    def prompt(self, state: State, desk: Desk) -> Prompt:
        listed = desk.actions(state.at)[:PER_PAGE] if state.at < desk.count() else ()
        done = self.command == "done"
        return Prompt(
            question_sentences.WHICH_IS_DONE if done else question_sentences.WHICH_IS_PUT_OFF,
            tuple(Answer(str(i), a.reason, level=a.level) for i, a in enumerate(listed, 1)),
            room=200,
            leaves=question_sentences.NOTHING_TICKED_OFF if done else question_sentences.NOTHING_PUT_OFF,
        )


@dataclass(frozen=True, kw_only=True)
class PickingWork(Listing):
    """Several things are planned or due here: which of them is meant."""

    name: ClassVar[str] = "work"
    broken_off: ClassVar[str] = question_sentences.NOTHING_DONE_OR_OFF
    command: str

    def press(self, state: State, key: str, desk: Desk) -> Result:
        if not steps.is_digit(key):
            said = recording_sentences.NOTHING_TICKED_OFF
            return state._replace(mode=Walking(), message=said), ()
        due = desk.due_here(state.at)
        state, at = self.choose(state, key, len(due), recording_sentences.NO_WORK)
        return (state, ()) if at is None else on_work(state, desk, due[at], self.command)

    def prompt(self, state: State, desk: Desk) -> Prompt:
        done = self.command == "done"
        return Prompt(
            question_sentences.WHICH_IS_DONE if done else question_sentences.WHICH_IS_PUT_OFF,
            numbered([d.name for d in desk.due_here(state.at)]),
            paged=True,
            page=self.page,
            room=60,
            leaves=question_sentences.NOTHING_TICKED_OFF if done else question_sentences.NOTHING_PUT_OFF,
        )


@dataclass(frozen=True, kw_only=True)
class ChoosingDays(Typing):
    """For how many days the action is put off."""

    name: ClassVar[str] = "days"
    broken_off: ClassVar[str] = question_sentences.NOTHING_PUT_OFF
    action: bytes

    def press(self, state: State, key: str, desk: Desk) -> Result:
        if key in ("enter", "space"):
            days = int(self.buffer or "1")
            if not 1 <= days <= MAX_DAYS:
                return state._replace(
                    mode=self.typed(""), message=recording_sentences.days_range(MAX_DAYS)
                ), ()
            return state._replace(mode=GivingReason(action=self.action, days=days)), ()
        if steps.is_digit(key) and len(self.buffer) < len(str(MAX_DAYS)):
            return state._replace(mode=self.typed(self.buffer + key)), ()
        if key == "backspace" and self.buffer:
            return state._replace(mode=self.typed(self.buffer[:-1])), ()
        if key == "backspace":
            return state._replace(mode=Walking(), message=recording_sentences.NOT_PUT_OFF), ()
        return state._replace(message=recording_sentences.HOW_MANY_DAYS), ()

    def prompt(self, state: State, desk: Desk) -> Prompt:
        return Prompt(
            question_sentences.off_for_days(MAX_DAYS),
            kind="days",
            limit=len(str(MAX_DAYS)),
            typed=self.buffer or "1",
            enter=question_sentences.GOES_ON,
            enter_alone=question_sentences.ONE_DAY,
            leaves=question_sentences.NOT_PUT_OFF,
        )


@dataclass(frozen=True, kw_only=True)
class GivingReason(Typing):
    """Why: a digit alone gives one of the reasons in the config, everything else is a reason in words."""

    name: ClassVar[str] = "why"
    broken_off: ClassVar[str] = question_sentences.NOTHING_PUT_OFF
    action: bytes
    days: int

    def press(self, state: State, key: str, desk: Desk) -> Result:
        reason = ready_answer(self.buffer, [c.title for c in desk.put_offs])
        if key == "enter":
            if not reason:
                typed = self.buffer.strip()
                missing = (
                    recording_sentences.no_reason_under(typed) if typed else recording_sentences.A_REASON
                )
                said = recording_sentences.leaves_as_it_was(missing, steps.rub_key(desk))
                return state._replace(message=said), ()
            return self._put_off(state, desk, reason)
        if key == "backspace" and not self.buffer:
            return state._replace(mode=Walking(), message=recording_sentences.NOT_PUT_OFF), ()
        ready = steps.is_digit(self.buffer) and reason not in ("", self.buffer)
        if ready and len(key) == 1 and key.isalpha():  # a reason in words replaces the ready one
            return self.typed("").edit(state, key, MAX_REASON), ()
        return self.edit(state, key, MAX_REASON), ()

    def prompt(self, state: State, desk: Desk) -> Prompt:
        return Prompt(
            question_sentences.WHY_PUT_OFF,
            numbered([c.title for c in desk.put_offs]),
            room=60,
            kind="reason",
            limit=MAX_REASON,
            typed=self.buffer,
            enter=question_sentences.PUTS_IT_OFF,
            leaves=question_sentences.NOT_PUT_OFF,
        )

    def _put_off(self, state: State, desk: Desk, reason: str) -> Result:
        action = next((a for a in _open(state, desk) if a.uid == self.action), None)
        state = state._replace(mode=Walking())
        if action is None:
            return state._replace(message=walking_sentences.NO_LONGER_OPEN), ()
        after = action._replace(state="off", until=desk.day + self.days, why=reason)
        return _set(state, desk, action, after, recording_sentences.put_off(self.days))


def open_actions(state: State, desk: Desk, command: str) -> Result:
    """``done`` or ``put_off``: about the only open action at once, about one of several when it is picked."""
    listed = _open(state, desk)
    if not listed:
        due = desk.due_here(state.at) if "record" in desk.commands.values() else ()
        if not due:
            return state._replace(message=recording_sentences.NOTHING_OPEN_OR_DUE), ()
        if len(due) > 1:
            return state._replace(mode=PickingWork(command=command)), ()
        return on_work(state, desk, due[0], command)
    if len(listed) > 1:
        return state._replace(mode=PickingAction(command)), ()
    return act_on(state, desk, listed[0], command)


def on_work(state: State, desk: Desk, work: DueHere, command: str) -> Result:
    """Open the card of the act that does the work; what no act does is ticked off. Or put it off."""
    from rounds.walk.machine.act_modes import open_card, open_given

    if command == "put_off":
        return open_card(state, desk, DUE_ACTS[command], (("work", work.name),), whom=desk.label(state.at))
    if work.whom:
        return open_given(state, desk, work.act, work.whom, ())
    if work.act:
        return open_card(state, desk, work.act, work.told)
    return open_given(state, desk, DUE_ACTS[command], desk.label(state.at), (("work", work.name),))


def act_on(state: State, desk: Desk, action: Action, command: str) -> Result:
    """Done or put off, for this action of the enclosure one stands at."""
    if command == "put_off":
        return state._replace(mode=ChoosingDays(action=action.uid)), ()
    return _set(state, desk, action, action._replace(state="done", closed=desk.day), recording_sentences.DONE)


def _open(state: State, desk: Desk) -> tuple[Action, ...]:
    if state.at < desk.count():
        return desk.actions(state.at)
    listed = desk.listed()
    action = listed[state.cursor][1] if state.cursor < len(listed) else None
    return (action,) if action is not None else ()


def _set(state: State, desk: Desk, before: Action, after: Action, said: str) -> Result:
    seq = state.seq + 1
    stop = state.at if state.at < desk.count() else desk.listed()[state.cursor][0]
    step = Undoable(seq, stop, None, "", Depth.WALL, None, before)
    effects: tuple[Effect, ...] = (SetAction(seq, stop, after),)
    message = recording_sentences.carried_out(said, before.todo)
    return state._replace(seq=seq, steps=(*state.steps, step), mode=Walking(), message=message), effects
