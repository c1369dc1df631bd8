"""The card of an act: every field it can be told, one at a time, in one place. Mode ``card``.

Digits and letters are answers; what else a key does is said by the layout's table of card
commands. An answer is read as soon as it is given: a wrong one is told at once and asked again,
and all other answers stand. Nothing is recorded before the record key, which does the same in
every field: it takes what is typed there, and records once nothing needed is lacking.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from rounds.acts.card import SERIES, SERIES_ON, WHOM, Card, CardField
from rounds.acts.card_answers import REST_OF_THEM
from rounds.walk.machine import card_sentences as sentences
from rounds.walk.machine import question_sentences, recording_sentences, steps
from rounds.walk.machine.act_modes import ActDraft, card_of, finish, unrecorded
from rounds.walk.machine.card_shown import (
    NUMBERS,
    card_key_for,
    command_answers,
    keys_named,
    on_a_pad,
    shown_card,
    switches,
    waits,
    what_recording_does,
    with_answer,
)
from rounds.walk.machine.mode import Mode
from rounds.walk.machine.mode_bases import Listing, Typing
from rounds.walk.machine.prompts import Answer, Prompt, numbered
from rounds.walk.machine.state import Desk, Drafted, Result, State

MAX_FIELD = 200
POINTS = (".", ",")
NAMED_ROOM = 60
AT_LEAST_SIGN = "≥"
"""What a count is typed after when "at least" was said first."""


@dataclass(frozen=True, kw_only=True)
class TellingCard(Typing, Listing):
    """A card that is being filled in.

    ``order`` are its fields as they stood when it was opened, so that no row moves under a
    hand; ``at`` is the field of the cursor. ``switched``: there, what is listed is typed
    instead, or what is typed is chosen from the list. ``began``: what was told when the card
    was opened, so that leaving it knows what a keeper filled in. ``warned``: leaving was asked
    for and what would be lost was said; the next key decides. ``picked``: the digit that has just
    chosen a day: the cursor stays, so that ``12 Nov`` is typed as on paper.
    """

    name: ClassVar[str] = "card"
    broken_off: ClassVar[str] = question_sentences.NOTHING_IS_RECORDED
    records_an_act: ClassVar[bool] = True
    draft: ActDraft
    order: tuple[str, ...] = ()
    at: str = ""
    switched: bool = False
    began: ActDraft | None = None
    warned: bool = False
    picked: str = ""

    # What is in sight

    def fields(self, card: Card) -> tuple[CardField, ...]:
        """The card's fields in the order of its opening; what turned out to be needed since stands last."""
        known = {name: i for i, name in enumerate(self.order)}
        return tuple(sorted(card.fields, key=lambda f: known.get(f.name, len(known))))

    def field(self, card: Card) -> CardField:
        """The field of the cursor."""
        return card.field(self.at) or self.fields(card)[0]

    def lists(self, field: CardField) -> bool:
        """Do digits choose an answer of the field? (Else they type one.)"""
        if field.kind == "choice":
            return True
        return bool(field.answers) and (field.kind == "text") != self.switched

    def moved(self, at: str) -> TellingCard:
        return replace(self, at=at, buffer="", switched=False, page=0, picked="")

    # Keys

    def press(self, state: State, key: str, desk: Desk) -> Result:
        card = card_of(state, desk, self.draft)
        field = self.field(card)
        command = desk.card_keys.get(key, "")
        if self.warned and command != "leave":
            goes_on = replace(self, warned=False)
            return goes_on.press(state._replace(mode=goes_on), key, desk)
        if self.picked and not command and len(key) == 1 and key.isalnum():
            goes_on = replace(self._untold(), buffer=self.picked, switched=True, picked="")
            return goes_on.edit(state._replace(mode=goes_on), key, MAX_FIELD), ()
        if self._types(key, command, field):
            return self._typed(state, key, field)
        if command == "choose" and self.buffer and field.kind in NUMBERS and key in POINTS:
            return self.edit(state, ".", MAX_FIELD), ()
        if steps.is_digit(key) and self.lists(field):
            return self._chosen(state, key, desk, card, field)
        if key == "backspace" or command == "leave":
            return self._left(state, key, desk)
        if command == "next_field" or command == "previous_field":
            return self._moved(state, desk, card, field, 1 if command == "next_field" else -1)
        if command == "all":
            return self._all_of_it(state)
        if command == "at_least":
            return self._at_least(state, desk, card, field)
        if command == "choose":
            return self._switched(state, field)
        if command == "record":
            return self._recorded(state, desk, card, field)
        if field.kind == "choice" and key.isalpha() and len(key) == 1:
            said = sentences.press_a_number(field.label, card_key_for(desk, "next_field"), several=field.many)
            return state._replace(message=said), ()
        return state._replace(message=sentences.no_key_of_a_card(steps.name_of(key), keys_named(desk))), ()

    def _types(self, key: str, command: str, field: CardField) -> bool:
        """Is the key a sign of what is being typed?"""
        sign = " " if key == "space" else key
        if len(sign) != 1 or not sign.isprintable() or field.kind == "choice":
            return False
        if field.kind == "text":
            if self.buffer:  # all but a blank of what leads on to the next field ends the text
                return command != "leave" and (command != "next_field" or key == "space")
            return not command and not (steps.is_digit(key) and self.lists(field))
        return steps.is_digit(key) and not self.lists(field)

    def _typed(self, state: State, key: str, field: CardField) -> Result:
        mode = replace(self, switched=self.switched or self.lists(field))  # a letter begins a text
        return mode.edit(state._replace(mode=mode), key, MAX_FIELD), ()

    def _left(self, state: State, key: str, desk: Desk) -> Result:
        """Rub out what is typed; with nothing typed take the answer here away, and with none leave.

        Backspace rubs out one sign, the key that leaves all of them. A card with something filled
        in is left with a second press, and never by rubbing out.
        """
        if self.buffer:
            left = self.buffer[:-1] if key == "backspace" else ""
            # What was begun by its first letter is a list again once all of it is rubbed out.
            return state._replace(mode=replace(self, buffer=left, switched=self.switched and bool(left))), ()
        if self.at in dict(self.draft.answers) and self.at != WHOM:
            mode = self._untold()
            left = sentences.TAKEN_AWAY_AND_LEAVES if not mode.filled_in() else sentences.ANSWER_TAKEN_AWAY
            return state._replace(mode=mode, message=left), ()
        if self.filled_in() and not self.warned:
            leave = card_key_for(desk, "leave")
            if key == "backspace" and not _rubs_out_too(desk):
                return state._replace(message=sentences.nothing_to_rub_out(leave)), ()
            said = sentences.would_be_lost(self.filled_in(), leave)
            return state._replace(mode=replace(self, warned=True), message=said), ()
        in_series = dict(self.draft.answers).get(SERIES) == SERIES_ON
        return unrecorded(state, sentences.SERIES_OVER) if in_series else unrecorded(state)

    def _untold(self) -> TellingCard:
        """The card without the answer of the field at the cursor."""
        answers = tuple(a for a in self.draft.answers if a[0] != self.at)
        return replace(self, draft=replace(self.draft, answers=answers), picked="")

    def filled_in(self) -> int:
        """How many answers of the card were given since it was opened."""
        began = self.began or self.draft
        fresh = [a for a in self.draft.answers if a not in began.answers and a[0] != SERIES]
        return len(fresh) + (self.draft.whom != began.whom)

    def _presses_to_leave(self, desk: Desk) -> int:
        """How often the key that leaves has to be pressed until the card is left."""
        if self.buffer:
            presses = len(self.buffer) if _rubs_out_too(desk) else 1
            return presses + replace(self, buffer="")._presses_to_leave(desk)
        if self.at in dict(self.draft.answers) and self.at != WHOM:
            return 1 + self._untold()._presses_to_leave(desk)
        return 2 if self.filled_in() and not self.warned else 1

    def _chosen(self, state: State, key: str, desk: Desk, card: Card, field: CardField) -> Result:
        state, at = self.choose(state, key, len(field.answers), recording_sentences.NO_ANSWER)
        if at is None:
            return state, ()
        answer = field.answers[at].typed
        if field.many:
            now = [t.strip() for t in dict(self.draft.answers).get(field.name, "").split(",") if t.strip()]
            left = [t for t in now if t != answer] if answer in now else [*now, answer]
            mode = replace(self, draft=with_answer(self.draft, field.name, ", ".join(left)))
            return state._replace(mode=mode), ()
        if answer == REST_OF_THEM:
            return self._none_of_them(state, desk, card)
        if field.typed_as and not field.needed:
            mode = replace(self, draft=with_answer(self.draft, field.name, answer), picked=key)
            return state._replace(mode=mode), ()
        return self._answered(state, desk, field, answer)

    def _none_of_them(self, state: State, desk: Desk, card: Card) -> Result:
        draft = self.draft
        for f in card.fields:
            if f.kind == "count" and f.name not in dict(draft.answers):
                draft = with_answer(draft, f.name, "0")
        return self._onwards(state, desk, replace(self, draft=draft)), ()

    def _taken(self, state: State, desk: Desk, card: Card, field: CardField, text: str) -> Result:
        """Take what was typed, or say what is wrong with it and leave it to be mended."""
        answer, wrong = desk.read_answer(state.at, self.draft.act, field.name, text)
        if wrong:
            return state._replace(message=wrong), ()
        if field.many:
            now = dict(self.draft.answers).get(field.name, "")
            answer = f"{now}, {answer}" if now else answer
        return self._answered(state, desk, field, answer)

    def _answered(self, state: State, desk: Desk, field: CardField, answer: str) -> Result:
        if field.name == WHOM:
            draft = replace(self.draft, whom=answer)
        else:
            draft = with_answer(self.draft, field.name, answer)
        return self._onwards(state, desk, replace(self, draft=draft)), ()

    def _onwards(self, state: State, desk: Desk, mode: TellingCard) -> State:
        """To the next field that waits for an answer, else to the next one."""
        card = card_of(state, desk, mode.draft)
        order = mode.fields(card)
        at = next((i for i, f in enumerate(order) if f.name == mode.at), 0)
        waiting = [f.name for f in (*order[at + 1 :], *order[:at]) if waits(f, mode.draft)]
        here = order[min(at + 1, len(order) - 1)].name
        return state._replace(mode=mode.moved(waiting[0] if waiting else here))

    def _moved(self, state: State, desk: Desk, card: Card, field: CardField, by: int) -> Result:
        mode = self
        if self.buffer:
            state, effects = self._taken(state, desk, card, field, self.buffer)
            if not isinstance(state.mode, TellingCard) or state.mode.buffer:
                return state, effects
            mode = state.mode
            card = card_of(state, desk, mode.draft)
        order = [f.name for f in mode.fields(card)]
        to = order[(order.index(field.name) + by) % len(order)]
        state = state._replace(mode=mode.moved(to))
        if self.buffer and by > 0 and field.kind == "count" and card_key_for(desk, "next_field") == "+":
            # "3+" is how "at least three" is written; here it has gone on with three.
            told = sentences.so_many_exactly(field.label, self.buffer, card_key_for(desk, "at_least"))
            state = state._replace(message=told)
        return state, ()

    def _all_of_it(self, state: State) -> Result:
        """All that is said of the act lies over the card."""
        from rounds.walk.machine.help_mode import ReadingHelp

        return state._replace(mode=ReadingHelp(card=self)), ()

    def _at_least(self, state: State, desk: Desk, card: Card, field: CardField) -> Result:
        if field.kind != "count" and on_a_pad(desk):  # which has no key for it
            return self._all_of_it(state)
        if field.kind != "count":
            return state._replace(message=sentences.no_count(field.label)), ()
        if self.buffer:
            if self.buffer == AT_LEAST_SIGN:
                return state._replace(mode=self.typed("")), ()
            return self._taken(state, desk, card, field, f"{self.buffer}+")
        now = dict(self.draft.answers).get(field.name, "")
        if not now:  # "at least" said first, as one would
            return self._typed(state, AT_LEAST_SIGN, field)
        other = now.removesuffix("+") if now.endswith("+") else f"{now}+"
        return self._taken(state, desk, card, field, other)

    def _switched(self, state: State, field: CardField) -> Result:
        if self.buffer:
            return state._replace(message=sentences.RUB_OUT_FIRST), ()
        if not switches(field):
            only = sentences.only_chosen if field.kind == "choice" else sentences.only_typed
            return state._replace(message=only(field.label)), ()
        return state._replace(mode=replace(self, switched=not self.switched, page=0)), ()

    def _recorded(self, state: State, desk: Desk, card: Card, field: CardField) -> Result:
        mode = self
        if self.buffer:
            state, _ = self._taken(state, desk, card, field, self.buffer)
            if not isinstance(state.mode, TellingCard) or state.mode.buffer:
                return state, ()
            mode = state.mode
            card = card_of(state, desk, mode.draft)
        lacking = next((f for f in mode.fields(card) if f.needed and waits(f, mode.draft)), None)
        if lacking is not None:
            said = sentences.still_to_tell(lacking.question)
            return state._replace(mode=mode.moved(lacking.name), message=said), ()
        return finish(state, desk, mode.draft, mode.moved(mode.at), sure=False)

    # What is shown

    def prompt(self, state: State, desk: Desk) -> Prompt:
        card = card_of(state, desk, self.draft)
        field = self.field(card)
        listing = self.lists(field)
        shown = shown_card(
            card, self.draft, self.fields(card), field, self.buffer, desk.label(state.at)
        )._replace(presses_to_leave=self._presses_to_leave(desk))
        typed_as = "" if listing or self.buffer else field.typed_as
        return Prompt(
            sentences.question_typed(field.question, typed_as),
            numbered([a.shown for a in field.answers], tuple(a.typed for a in field.answers))
            if listing
            else (),
            paged=True,
            page=self.page,
            others=self._commands(desk, field, listing=listing),
            room=NAMED_ROOM,
            kind="card",
            limit=0 if listing else MAX_FIELD,
            typed=self.buffer,
            leaves=question_sentences.NOTHING_IS_RECORDED,
            hint=what_recording_does(desk, shown),
            card=shown,
        )

    def _commands(self, desk: Desk, field: CardField, *, listing: bool) -> tuple[Answer, ...]:
        """The card's commands at this field, called by what they would do now."""
        takes_away = self.at in dict(self.draft.answers) and self.at != WHOM
        named = {
            "leave": sentences.RUB_IT_OUT if self.buffer else sentences.TAKE_AWAY if takes_away else "",
            "choose": (sentences.ANOTHER_DAY if field.typed_as else sentences.TYPE_IT)
            if listing
            else sentences.LIST,
        }
        return command_answers(desk, field, named, in_text=bool(self.buffer) and field.kind == "text")


def _rubs_out_too(desk: Desk) -> bool:
    """Does the key that leaves a card rub out one sign as well, as the one sign of a pad that takes back does?"""
    return steps.rubs_out(desk, card_key_for(desk, "leave"))


def opened(card: Card, draft: ActDraft) -> TellingCard:
    """The card with its cursor on the first field that waits, else on the first that can be told."""
    order = tuple(f.name for f in card.fields)
    untold = [f for f in card.fields if f.name not in dict(draft.answers)]
    asked = [f for f in untold if f.asked]
    free = [f for f in untold if not f.proposed]
    first = [f for f in card.fields if waits(f, draft)]
    likely = [f.name for f in (*first, *asked, *free, *card.fields)]
    return TellingCard(draft=draft, order=order, at=next(iter(likely), ""), began=draft)


def asked_again(
    state: State, desk: Desk, draft: ActDraft, drafted: Drafted, before: Mode | None = None
) -> Result:
    """What keeps an act from being recorded: its field is asked again, and all else that was told stands."""
    card = card_of(state, desk, draft)
    why = dict(drafted.wrong)
    mode = before if isinstance(before, TellingCard) else opened(card, draft)
    mode = replace(mode, draft=draft)
    names = {f.name for f in card.fields}
    wrong = drafted.asks or next((n for n in why if n in names), "")
    if not card.fields:
        return unrecorded(state, drafted.refused)
    if wrong and wrong not in names:
        return unrecorded(state, drafted.refused)
    message = why.get(wrong, drafted.refused)
    return state._replace(mode=mode.moved(wrong or mode.at), message=message), ()
