"""Recording an act on the walk: choose it, say whom and what it needs, be asked when in doubt.

Modes ``acts``, ``whom``, ``field`` and ``sure``; the day of an act that was not today's is asked
for in ``when_mode``. An act that needs nothing more is recorded with its second key.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from rounds.acts.offer import DAY_FIELD, Offer, OfferField
from rounds.husbandry.stages import Depth
from rounds.keys.commands import PER_PAGE
from rounds.records.entries import ACT
from rounds.walk.machine import question_sentences, recording_sentences, steps
from rounds.walk.machine.asking import Listing, Typing, ready_answer
from rounds.walk.machine.mode import Mode, Walking
from rounds.walk.machine.prompts import Answer, Prompt, numbered
from rounds.walk.machine.state import Desk, Drafted, RecordAct, Result, State, Undoable

TURNS = {".": 2, "+": 3, "-": 4, "*": 5}
"""Keys that open the third page of acts and so on at once: any act is three keys away, also on a number pad."""
DAY_KEY = "/"
"""Asks for the day where acts are listed; every keyboard has it, and every number pad."""
MAX_FIELD = 200
PUT_OFF = ("due-off", "because")
"""The act and its field that take the reasons to put something off."""


@dataclass(frozen=True)
class ActDraft:
    """The act being recorded, whom it concerns, and what was answered so far, as (field, text)."""

    act: str
    whom: str = ""
    answers: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, kw_only=True)
class ChoosingAct(Listing):
    """Which act it was."""

    name: ClassVar[str] = "acts"
    broken_off: ClassVar[str] = question_sentences.NO_ACT_IS_RECORDED
    on: str = ""
    """The day of the act as it is told, when that is not today."""

    def press(self, state: State, key: str, desk: Desk) -> Result:
        offers = desk.offers(state.at)
        if key == DAY_KEY:
            from rounds.walk.machine.when_mode import ChoosingDay

            return state._replace(mode=ChoosingDay()), ()
        if TURNS.get(key, len(offers)) * PER_PAGE < len(offers):
            return state._replace(mode=replace(self, page=TURNS[key])), ()
        if not steps.is_digit(key):
            return _unrecorded(state)
        state, at = self.choose(state, key, len(offers), recording_sentences.NO_ACT)
        if at is None:
            return state, ()
        chosen = offers[at]
        if self.on and not chosen.dated:
            said = recording_sentences.is_told_no_day(chosen.title, DAY_KEY)
            return state._replace(message=said), ()
        day = ((DAY_FIELD, self.on),) if self.on else ()
        return _proceed(state, desk, ActDraft(chosen.act, _only(chosen), (*chosen.given, *day)))

    def prompt(self, state: State, desk: Desk) -> Prompt:
        offers = desk.offers(state.at)
        turns = (
            Answer(k, question_sentences.page(p + 1)) for k, p in TURNS.items() if len(offers) > p * PER_PAGE
        )
        day = Answer(DAY_KEY, question_sentences.ANOTHER_DAY, question_sentences.TYPE_ON, word="on")
        return Prompt(
            question_sentences.on_day_record_which(self.on) if self.on else question_sentences.RECORD_WHICH,
            numbered([o.title for o in offers], tuple(o.act for o in offers)),
            paged=True,
            page=self.page,
            others=(*turns, day),
            room=36,
            leaves=question_sentences.NOTHING_IS_RECORDED,
        )


@dataclass(frozen=True, kw_only=True)
class ChoosingWhom(Listing):
    """Whom the act concerns."""

    name: ClassVar[str] = "whom"
    broken_off: ClassVar[str] = question_sentences.NO_ACT_IS_RECORDED
    draft: ActDraft

    def press(self, state: State, key: str, desk: Desk) -> Result:
        if not steps.is_digit(key):
            return _unrecorded(state)
        people = _offer(state, desk, self.draft).whom
        state, at = self.choose(state, key, len(people), recording_sentences.NOBODY)
        return (state, ()) if at is None else _proceed(state, desk, replace(self.draft, whom=people[at][0]))

    def prompt(self, state: State, desk: Desk) -> Prompt:
        people = _offer(state, desk, self.draft).whom
        return Prompt(
            question_sentences.OF_WHOM,
            numbered([shown for _, shown in people], tuple(typed for typed, _ in people)),
            paged=True,
            page=self.page,
            room=24,
            leaves=question_sentences.NOTHING_IS_RECORDED,
        )


@dataclass(frozen=True, kw_only=True)
class TellingField(Typing, Listing):
    """One thing the act must be told: chosen where it has fixed answers, else typed."""

    name: ClassVar[str] = "field"
    broken_off: ClassVar[str] = question_sentences.NO_ACT_IS_RECORDED
    draft: ActDraft
    needed: OfferField | None = None
    """A field that the act turned out to need as things are; None: the next of those it always needs."""

    def field(self, state: State, desk: Desk) -> OfferField | None:
        """What is asked now; None when the act has all it needs."""
        return self.needed or _next_field(state, desk, self.draft)

    def press(self, state: State, key: str, desk: Desk) -> Result:
        field = self.field(state, desk)
        if field is None:
            return _proceed(state, desk, self.draft)
        if key == "backspace" and not self.buffer:
            return _unrecorded(state)
        rub = steps.rub_key(desk)
        if field.words:
            if not steps.is_digit(key):
                return state._replace(message=recording_sentences.digit_chooses(rub)), ()
            state, at = self.choose(state, key, len(field.words), recording_sentences.NO_ANSWER)
            return (state, ()) if at is None else self._told(state, desk, field.name, field.words[at])
        if key == "enter":
            text = ready_answer(self.buffer, self._ready(field, desk)) or ("" if self.buffer else field.alone)
            if not text:
                return state._replace(message=recording_sentences.expected(field.about, rub)), ()
            return self._told(state, desk, field.name, text)
        return self.edit(state, key, MAX_FIELD), ()

    def prompt(self, state: State, desk: Desk) -> Prompt:
        field = self.field(state, desk)
        question = question_sentences.field(field.name, field.about) if field else ""
        if field and field.words:
            return Prompt(
                question,
                numbered(field.words),
                paged=True,
                page=self.page,
                room=60,
                leaves=question_sentences.NOTHING_IS_RECORDED,
                hint=question_sentences.digit_or_nothing(steps.rub_key(desk)),
            )
        return Prompt(
            question,
            numbered(self._ready(field, desk)) if field else (),
            room=60,
            kind="value",
            limit=MAX_FIELD,
            typed=self.buffer,
            enter=question_sentences.goes_on(field.alone if field else ""),
            enter_alone=field.alone if field else "",
            leaves=question_sentences.NOTHING_IS_RECORDED,
        )

    def _ready(self, field: OfferField, desk: Desk) -> tuple[str, ...]:
        """Answers that a digit and Enter give, where a text may be typed instead."""
        if (self.draft.act, field.name) == PUT_OFF:
            return tuple(c.title for c in desk.put_offs)
        return field.ready

    def _told(self, state: State, desk: Desk, name: str, text: str) -> Result:
        return _proceed(state, desk, replace(self.draft, answers=(*self.draft.answers, (name, text))))


@dataclass(frozen=True, kw_only=True)
class Confirming(Mode):
    """The act is doubted: it is recorded all the same, or not."""

    name: ClassVar[str] = "sure"
    broken_off: ClassVar[str] = question_sentences.NO_ACT_IS_RECORDED
    draft: ActDraft

    def press(self, state: State, key: str, desk: Desk) -> Result:
        return _finish(state, desk, self.draft, sure=True) if key in ("1", "y") else _unrecorded(state)

    def prompt(self, state: State, desk: Desk) -> Prompt:
        return Prompt(
            question_sentences.ALL_THE_SAME,
            (Answer("1", question_sentences.YES), Answer("2", question_sentences.NO)),
            leaves=question_sentences.NOTHING_IS_RECORDED,
        )


def open_acts(state: State, desk: Desk) -> Result:
    if state.earlier is not None:
        return state._replace(message=recording_sentences.CORRECTING_FIRST), ()
    if not desk.offers(state.at):
        return state._replace(message=recording_sentences.NO_ACT_OFFERED), ()
    return state._replace(mode=ChoosingAct()), ()


def open_one(state: State, desk: Desk, act: str) -> Result | None:
    """Go straight to one act, when it is offered here; a thing it can only be told one way is told."""
    if state.at >= desk.count() or "record" not in desk.commands.values():
        return None
    found = next((o for o in desk.offers(state.at) if o.act == act), None)
    if found is None:
        return None
    answers = (*found.given, *((f.name, f.words[0]) for f in found.fields if len(f.words) == 1))
    return _proceed(state, desk, ActDraft(act, _only(found), answers))


def open_given(state: State, desk: Desk, act: str, whom: str, answers: tuple[tuple[str, str], ...]) -> Result:
    """Record an act that a page has filled in already; what is still needed is asked for."""
    if "record" not in desk.commands.values():
        return state._replace(message=recording_sentences.NO_KEY_RECORDS), ()
    draft = ActDraft(act, whom)
    given = tuple(g for g in _offer(state, desk, draft).given if g[0] not in dict(answers))
    return _proceed(state, desk, replace(draft, answers=(*given, *answers)))


def _offer(state: State, desk: Desk, draft: ActDraft) -> Offer:
    """The offer being filled in; an act that a page knows all about need not be offered at the stage."""
    found = next((o for o in desk.offers(state.at) if o.act == draft.act), None)
    return found or Offer(draft.act, "", ((draft.whom, draft.whom),), ())


def _next_field(state: State, desk: Desk, draft: ActDraft) -> OfferField | None:
    have = {name for name, _ in draft.answers}
    return next((f for f in _offer(state, desk, draft).fields if f.name not in have), None)


def _only(chosen: Offer) -> str:
    return chosen.whom[0][0] if len(chosen.whom) == 1 else ""


def _proceed(state: State, desk: Desk, draft: ActDraft) -> Result:
    """Ask for what is still needed, or record."""
    if not draft.whom and len(_offer(state, desk, draft).whom) > 1:
        return state._replace(mode=ChoosingWhom(draft=draft)), ()
    if _next_field(state, desk, draft) is not None:
        return state._replace(mode=TellingField(draft=draft)), ()
    return _finish(state, desk, draft, sure=False)


def _finish(state: State, desk: Desk, draft: ActDraft, *, sure: bool) -> Result:
    drafted = desk.draft(state.at, draft.act, draft.whom, draft.answers, sure=sure)
    if drafted.question:
        return state._replace(mode=Confirming(draft=draft), message=drafted.question), ()
    if drafted.asks is not None:
        asking = TellingField(draft=draft, needed=drafted.asks)
        return state._replace(mode=asking, message=drafted.refused), ()
    if drafted.refused:
        return _asked_again(state, desk, draft, drafted)
    seq = state.seq + 1
    step = Undoable(seq, state.at, None, ACT, Depth.WALL, None)
    record = RecordAct(seq, state.at, draft.act, draft.whom, draft.answers, sure)
    message = recording_sentences.recorded(dict(draft.answers).get(DAY_FIELD, ""), drafted.said)
    return state._replace(seq=seq, steps=(*state.steps, step), mode=Walking(), message=message), (record,)


def _asked_again(state: State, desk: Desk, draft: ActDraft, drafted: Drafted) -> Result:
    """Ask once more for what was typed wrong; all else that was answered stands. Other refusals end the act."""
    told = dict(draft.answers)
    asked = [f for f in _offer(state, desk, draft).fields if not f.words and f.name in told]
    why = dict(drafted.wrong)
    wrong = next((f for f in asked if f.name in why), None)
    if wrong is None:
        return _unrecorded(state, drafted.refused)
    answers = tuple(a for a in draft.answers if a[0] != wrong.name)
    asking = TellingField(draft=replace(draft, answers=answers), needed=wrong)
    return state._replace(mode=asking, message=why[wrong.name]), ()


def _unrecorded(state: State, message: str = recording_sentences.NOTHING_RECORDED) -> Result:
    return state._replace(mode=Walking(), message=message), ()
