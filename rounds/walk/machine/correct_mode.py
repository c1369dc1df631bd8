"""What is corrected here: one of the last visits, or an act that was recorded before. Modes ``earlier``, ``older``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rounds.text.cleaning import day_words, long_day
from rounds.walk.machine import mode_sentences, question_sentences, steps
from rounds.walk.machine.mode import Mode, Walking
from rounds.walk.machine.mode_bases import Listing
from rounds.walk.machine.prompts import Answer, Prompt
from rounds.walk.machine.state import Desk, Result, State, UndoOlderAct


@dataclass(frozen=True)
class ChoosingVisit(Listing):
    """The last visits, then the acts that concerned this box, the newest first."""

    name: ClassVar[str] = "earlier"
    any_key_leaves: ClassVar[bool] = True
    broken_off: ClassVar[str] = question_sentences.NOTHING_CORRECTED

    def press(self, state: State, key: str, desk: Desk) -> Result:
        visits, acts = desk.earlier(state.at), desk.older_acts(state.at)
        if not steps.is_digit(key):
            return state._replace(mode=Walking(), message=mode_sentences.NOTHING_CORRECTED), ()
        state, at = self.choose(state, key, len(visits) + len(acts), mode_sentences.NOTHING_TO_CORRECT)
        if at is None:
            return state, ()
        if at < len(visits):
            uid = visits[at].uid
            corrected = state._replace(mode=Walking(), earlier=uid, cursor=0)
            return corrected._replace(message=mode_sentences.CORRECTING), ()
        return state._replace(mode=CorrectingAct(act=acts[at - len(visits)].uid)), ()

    def prompt(self, state: State, desk: Desk) -> Prompt:
        days = [v.day for v in desk.earlier(state.at)]
        visits = [(day_words(day), long_day(day)) for day in days]
        acts = [(a.shown, a.shown) for a in desk.older_acts(state.at)]
        return Prompt(
            question_sentences.CORRECT_WHICH,
            tuple(
                Answer(steps.digit_of(i), text, full=full) for i, (text, full) in enumerate((*visits, *acts))
            ),
            paged=True,
            page=self.page,
            room=60,
            leaves=question_sentences.NOTHING_CORRECTED,
        )


@dataclass(frozen=True, kw_only=True)
class CorrectingAct(Mode):
    """What is to be done with an older act: told again on its card, or taken back."""

    name: ClassVar[str] = "older"
    broken_off: ClassVar[str] = question_sentences.NOTHING_CORRECTED
    act: bytes

    def press(self, state: State, key: str, desk: Desk) -> Result:
        chosen = next((a for a in desk.older_acts(state.at) if a.uid == self.act), None)
        state = state._replace(mode=Walking())
        if chosen is None or key not in ("1", "2"):
            return state._replace(message=mode_sentences.NOTHING_CORRECTED), ()
        refused = desk.keeps_older(chosen.uid)
        if refused:
            return state._replace(message=refused), ()
        if key == "2":
            said = mode_sentences.act_taken_back(chosen.shown)
            return state._replace(message=said), (UndoOlderAct(state.at, chosen.uid),)
        from rounds.walk.machine.act_modes import ActDraft, proceed

        draft = ActDraft(chosen.act, chosen.whom, chosen.told, chosen.uid)
        return proceed(state, desk, draft, with_card=True)

    def prompt(self, state: State, desk: Desk) -> Prompt:
        shown = next((a.shown for a in desk.older_acts(state.at) if a.uid == self.act), "")
        return Prompt(
            question_sentences.correct_act(shown),
            (
                Answer("1", question_sentences.CORRECT_IT, question_sentences.CORRECT_IT_FULL),
                Answer("2", question_sentences.TAKE_BACK, question_sentences.TAKE_BACK_FULL),
            ),
            leaves=question_sentences.NOTHING_CORRECTED,
        )


def open_correct(state: State, desk: Desk) -> Result:
    if state.earlier is not None:
        return steps.go_on(state, desk)
    if not desk.earlier(state.at) and not desk.older_acts(state.at):
        return state._replace(message=mode_sentences.NO_EARLIER_VISIT), ()
    return state._replace(mode=ChoosingVisit()), ()
