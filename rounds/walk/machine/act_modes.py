"""Recording an act on the walk: choose it; what it can be told stands on its card (``card_mode``).

Modes ``acts`` and ``sure``. An act with nothing to ask and nothing to be cautious about is
recorded with its second key; any other opens its card.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import ClassVar

from rounds.acts.card import SERIES, SERIES_ON, WHOM, Card
from rounds.acts.offer import DAY_FIELD
from rounds.husbandry.stages import Depth
from rounds.keys.commands import PER_PAGE
from rounds.records.entries import ACT
from rounds.walk.machine import question_sentences, recording_sentences, steps
from rounds.walk.machine.mode import Mode, Walking
from rounds.walk.machine.mode_bases import Listing
from rounds.walk.machine.prompts import Answer, Prompt, numbered
from rounds.walk.machine.state import Desk, PromisedStep, RecordAct, Result, State, Undoable

TURNS = {".": 2, "+": 3, "-": 4, "*": 5}
"""Keys that open the third page of acts and so on at once: any act is three keys away, also on a number pad."""
PROMISED_KEY = "enter"
"""In the list of acts, goes to the steps that an open action's instruction names."""
DUE_ACTS = {"done": "due-done", "put_off": "due-off"}
"""With no action open, done and put off mean the work that is due here."""
MOST_ASKED = 60
"""Characters of a question that stands beside its answers."""
CARD_KEY = "/"
"""Opens the card of the act that is chosen next, whatever it needs; every keyboard has it, and every number pad."""


@dataclass(frozen=True)
class ActDraft:
    """The act being recorded, whom it concerns, and what was answered so far, as (field, text).

    ``instead`` is the uid of the older act that it corrects.
    """

    act: str
    whom: str = ""
    answers: tuple[tuple[str, str], ...] = ()
    instead: bytes = b""


def told(draft: ActDraft, card: Card) -> tuple[tuple[str, str], ...]:
    """What the act is told: what was answered, and what the card proposes and nobody changed."""
    return card.told(draft.answers)


def card_of(state: State, desk: Desk, draft: ActDraft) -> Card:
    """The draft's card as it stands."""
    return desk.card(state.at, draft.act, draft.whom, draft.answers, draft.instead)


@dataclass(frozen=True, kw_only=True)
class ChoosingAct(Listing):
    """Which act it was."""

    name: ClassVar[str] = "acts"
    broken_off: ClassVar[str] = question_sentences.NOTHING_IS_RECORDED
    records_an_act: ClassVar[bool] = True
    with_card: bool = False
    """The card is opened even where nothing is needed: for another day, or a field that is seldom told."""
    promised: bool = False
    """Listed are the steps that open actions name, not the acts of the stage."""

    def press(self, state: State, key: str, desk: Desk) -> Result:
        if self.promised:
            return self._promised(state, key, desk)
        offers = desk.offers(state.at)
        if key == PROMISED_KEY and (steps_named := desk.promised(state.at)):
            if len(steps_named) == 1:
                return take_step(state, desk, steps_named[0])
            return state._replace(mode=ChoosingAct(promised=True)), ()
        if key == CARD_KEY:
            return state._replace(mode=replace(self, with_card=not self.with_card)), ()
        if TURNS.get(key, len(offers)) * PER_PAGE < len(offers):
            return state._replace(mode=replace(self, page=TURNS[key])), ()
        if desk.commands.get(key) == "help":
            from rounds.walk.machine.card_shown import keys_to_all

            said = recording_sentences.acts_are_explained(CARD_KEY, keys_to_all(desk, ""))
            return state._replace(message=said), ()
        if not steps.is_digit(key):
            return unrecorded(state)
        state, at = self.choose(state, key, len(offers), recording_sentences.NO_ACT)
        if at is None:
            return state, ()
        chosen = offers[at]
        if chosen.unfit:
            said = recording_sentences.does_not_fit(chosen.title, chosen.unfit)
            return state._replace(message=said), ()
        return proceed(state, desk, ActDraft(chosen.act, chosen.only, chosen.given), with_card=self.with_card)

    def _promised(self, state: State, key: str, desk: Desk) -> Result:
        listed = desk.promised(state.at)
        if not steps.is_digit(key):
            return unrecorded(state)
        state, at = self.choose(state, key, len(listed), recording_sentences.NO_STEP)
        return (state, ()) if at is None else take_step(state, desk, listed[at])

    def prompt(self, state: State, desk: Desk) -> Prompt:
        named = desk.promised(state.at)
        if self.promised:
            return Prompt(
                question_sentences.TAKE_WHICH_STEP,
                numbered([question_sentences.promised(s.title, s.headline) for s in named]),
                paged=True,
                page=self.page,
                room=72,
                leaves=question_sentences.NOTHING_IS_RECORDED,
            )
        offers = desk.offers(state.at)
        pages = -(-len(offers) // PER_PAGE)
        turns = (Answer(k, question_sentences.page(p + 1)) for k, p in TURNS.items() if p < pages)
        card = Answer(CARD_KEY, question_sentences.WITH_CARD, question_sentences.TYPE_CARD, word="card")
        asked = question_sentences.CARD_OF_WHICH if self.with_card else question_sentences.RECORD_WHICH
        return Prompt(
            question_sentences.of_page(asked, self.page + 1, pages),
            tuple(
                Answer(steps.digit_of(i), o.title, word=o.act, unfit=o.unfit) for i, o in enumerate(offers)
            ),
            paged=True,
            page=self.page,
            others=(*_to_promised(named), *turns, card),
            room=72 if named else 36,
            leaves=question_sentences.NOTHING_IS_RECORDED,
        )


def _to_promised(named: tuple[PromisedStep, ...]) -> tuple[Answer, ...]:
    """The key that leads to what open actions name."""
    if not named:
        return ()
    first = question_sentences.promised(named[0].title, named[0].headline)
    more = question_sentences.steps_promised(len(named))
    return (Answer(PROMISED_KEY, first if len(named) == 1 else more, word=question_sentences.STEP_WORD),)


def take_step(state: State, desk: Desk, step: PromisedStep) -> Result:
    """Open the card of the act that does it, filled in."""
    whom = desk.label(state.at) if step.act in DUE_ACTS.values() else ""
    return open_card(state, desk, step.act, step.told, whom=whom)


@dataclass(frozen=True, kw_only=True)
class Confirming(Mode):
    """The act is doubted: it is recorded all the same, or not, and then its card is in sight again."""

    name: ClassVar[str] = "sure"
    broken_off: ClassVar[str] = question_sentences.NOTHING_IS_RECORDED
    records_an_act: ClassVar[bool] = True
    draft: ActDraft
    card: Mode | None = None
    """The card that asked to record; None where there was none."""
    question: str = question_sentences.ALL_THE_SAME

    def press(self, state: State, key: str, desk: Desk) -> Result:
        if key == "1":  # no letter: one that opens lists must not confirm what is doubted
            return finish(state, desk, self.draft, self.card, sure=True)
        if self.card is not None:
            said = recording_sentences.NOTHING_RECORDED_YET
            return state._replace(mode=self.card, message=said), ()
        return unrecorded(state)

    def prompt(self, state: State, desk: Desk) -> Prompt:
        no = question_sentences.NO if self.card is None else question_sentences.BACK_TO_CARD
        return Prompt(
            self.question,
            (Answer("1", question_sentences.YES), Answer("2", no)),
            leaves=question_sentences.NOTHING_IS_RECORDED,
        )


def open_acts(state: State, desk: Desk) -> Result:
    if state.earlier is not None:
        return state._replace(message=recording_sentences.CORRECTING_FIRST), ()
    if not desk.offers(state.at):
        return state._replace(message=recording_sentences.NO_ACT_OFFERED), ()
    return state._replace(mode=ChoosingAct()), ()


def open_card(
    state: State, desk: Desk, act: str, answers: tuple[tuple[str, str], ...] = (), *, whom: str = ""
) -> Result:
    """Go straight to the card of one act at this enclosure."""
    found = next((o for o in desk.offers(state.at) if o.act == act), None)
    given = found.given if found is not None else ()
    one = whom or (found.only if found is not None else "")
    return proceed(state, desk, ActDraft(act, one, (*given, *answers)), with_card=True)


def open_given(state: State, desk: Desk, act: str, whom: str, answers: tuple[tuple[str, str], ...]) -> Result:
    """Record an act that a page has filled in already; what is still needed is asked for."""
    if "record" not in desk.commands.values():
        return state._replace(message=recording_sentences.NO_KEY_RECORDS), ()
    found = next((o for o in desk.offers(state.at) if o.act == act), None)
    given = tuple(g for g in (found.given if found else ()) if g[0] not in dict(answers))
    return proceed(state, desk, ActDraft(act, whom, (*given, *answers)))


def proceed(state: State, desk: Desk, draft: ActDraft, *, with_card: bool = False) -> Result:
    """Open the card, or record at once what has nothing to be asked or read before."""
    card = card_of(state, desk, draft)
    answered = {name for name, _ in draft.answers} | ({WHOM} if draft.whom else set())
    waits = any((f.needed or f.asked) and f.name not in answered for f in card.fields)
    if not with_card and not waits and not card.caution:
        return finish(state, desk, draft, None, sure=False)
    from rounds.walk.machine.card_mode import opened

    return state._replace(mode=opened(card, draft)), ()


def finish(state: State, desk: Desk, draft: ActDraft, card: Mode | None, *, sure: bool) -> Result:
    """Record the act, or go back to its card with what keeps it from being recorded."""
    shown = card_of(state, desk, draft)
    answers = told(draft, shown)
    drafted = desk.draft(draft.act, draft.whom, answers, sure=sure, instead=draft.instead)
    if drafted.question:
        doubts, question = _parted(drafted.question)
        mode = Confirming(draft=draft, card=card, question=question)
        return state._replace(mode=mode, message=doubts), ()
    if not drafted.said:
        from rounds.walk.machine.card_mode import asked_again

        return asked_again(state, desk, draft, drafted, card)
    seq = state.seq + 1
    step = Undoable(seq, state.at, None, ACT, Depth.WALL, None)
    record = RecordAct(seq, state.at, draft.act, draft.whom, answers, sure, draft.instead)
    message = recording_sentences.recorded(dict(answers).get(DAY_FIELD, ""), drafted.said)
    state = state._replace(seq=seq, steps=(*state.steps, step), mode=Walking(), message=message)
    if dict(draft.answers).get(SERIES) == SERIES_ON:
        from rounds.walk.machine.series_mode import next_one

        state = next_one(state, desk, draft)
    return state, (record,)


def _parted(doubt: str) -> tuple[str, str]:
    """What is doubted, and the question that ends it: a keeper is asked once, not twice."""
    found = re.fullmatch(r"(.*[.!?;)] )?([^.!?;]*\?)", doubt, re.DOTALL)
    if found is None or len(found[2]) > MOST_ASKED:
        return doubt, question_sentences.ALL_THE_SAME
    return (found[1] or "").rstrip(), found[2]


def unrecorded(state: State, message: str = recording_sentences.NOTHING_RECORDED) -> Result:
    return state._replace(mode=Walking(), message=message), ()
