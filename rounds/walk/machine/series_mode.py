"""One animal after another: when an act is recorded in a series, the card of the next one follows. Mode ``series``.

Where the next one is in the same box, its card is opened at once; else the number of its box is
asked for, or its label scanned. What the card is told is typed for each; nothing is carried over
but the day.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rounds.acts.card import SERIES, SERIES_ON
from rounds.acts.card_fields import IN_SERIES
from rounds.acts.offer import DAY_FIELD
from rounds.walk.machine import card_sentences, mode_sentences, question_sentences, steps
from rounds.walk.machine.act_modes import ActDraft, proceed
from rounds.walk.machine.mode import Mode, Walking
from rounds.walk.machine.mode_bases import Typing
from rounds.walk.machine.prompts import Prompt
from rounds.walk.machine.state import Desk, Result, State

MOST = 24
KEPT = (SERIES, DAY_FIELD)
"""What every card of a series is told alike."""


@dataclass(frozen=True, kw_only=True)
class NextInSeries(Typing):
    """Which box the next one is in."""

    name: ClassVar[str] = "series"
    answers: tuple[tuple[str, str], ...]

    def press(self, state: State, key: str, desk: Desk) -> Result:
        if key == "backspace" or desk.card_keys.get(key) == "leave":
            if self.buffer:
                return state._replace(mode=self.typed(self.buffer[:-1])), ()
            return state._replace(mode=Walking(), message=card_sentences.SERIES_OVER), ()
        if key != "enter":
            return self.edit(state, key, MOST), ()
        stop = desk.find(self.buffer.strip())
        if stop is None:
            said = mode_sentences.no_enclosure(self.buffer.strip())
            return state._replace(mode=self.typed(""), message=said), ()
        there, effects = steps.arrive(state, desk, stop)
        after, more = open_there(there, desk, self.answers)
        return after, (*effects, *more)

    def prompt(self, state: State, desk: Desk) -> Prompt:
        return Prompt(
            card_sentences.NEXT_BOX,
            kind="code",
            limit=MOST,
            typed=self.buffer,
            enter=question_sentences.GOES_THERE,
            leaves=card_sentences.SERIES_OVER,
        )


def next_one(state: State, desk: Desk, draft: ActDraft) -> State:
    """The card of the next one here, or the question where it is."""
    kept = tuple(a for a in draft.answers if a[0] in KEPT)
    here = next((o for o in desk.offers(state.at) if o.act == draft.act), None)
    if draft.act == "weigh-one" or (here is not None and len(here.whom) > 1):
        after, _ = _opened(state, desk, draft.act, kept)
        return after._replace(message=state.message)
    return state._replace(mode=NextInSeries(answers=kept))


def open_there(state: State, desk: Desk, answers: tuple[tuple[str, str], ...]) -> Result:
    """Open the series' card at the box one has come to: of its animal, or of its group."""
    fits = {o.act: o for o in desk.offers(state.at) if not o.unfit}
    act = next((a for a in IN_SERIES if a in fits), "")
    if not act:
        said = card_sentences.none_to_weigh(desk.label(state.at))
        return state._replace(mode=NextInSeries(answers=answers), message=said), ()
    return _opened(state, desk, act, answers)


def _opened(state: State, desk: Desk, act: str, answers: tuple[tuple[str, str], ...]) -> Result:
    offer = next(o for o in desk.offers(state.at) if o.act == act)
    return proceed(state, desk, ActDraft(act, offer.only, (*offer.given, *answers)), with_card=True)


def series_of(mode: Mode) -> tuple[tuple[str, str], ...]:
    """What the cards of the series that a mode belongs to are told alike; () where there is none."""
    from rounds.walk.machine.card_mode import TellingCard

    if isinstance(mode, NextInSeries):
        return mode.answers
    told = mode.draft.answers if isinstance(mode, TellingCard) else ()
    return tuple(a for a in told if a[0] in KEPT) if dict(told).get(SERIES) == SERIES_ON else ()
