"""What the walk itself asks: the reading at the cursor, or which page of the books to open."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from rounds.husbandry.readings import ReadingKind
from rounds.keys.key_names import sign_of
from rounds.records.entries import AS_EXPECTED
from rounds.text.cleaning import clean
from rounds.walk.machine import question_sentences, steps, walking_sentences
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.prompts import Answer, NumberRange, Prompt
from rounds.walk.machine.questions import ONCE_A_SHELF, presses
from rounds.walk.machine.state import Desk, State

NOTHING = Prompt()


def prompt(mode: Walking, state: State, desk: Desk) -> Prompt:
    if state.pages:
        return _on_page(state, desk)
    if state.at >= desk.count():
        return NOTHING
    shown = steps.rows(state, desk)
    if state.cursor >= len(shown):
        return _at_the_end(state, desk)
    ask = shown[state.cursor]
    urgent = question_sentences.has_to_be_read(ask.must) if presses(ask) else ""
    return _of_reading(ask.kind, urgent, mode.buffer, _ends(mode, state, desk, ask.kind))


def _at_the_end(state: State, desk: Desk) -> Prompt:
    """Under the last row: whether something is without an answer, and whether it has to have one."""
    cells = steps.cells_here(state, desk)
    confirmed = cells.get(AS_EXPECTED)
    known = confirmed if isinstance(confirmed, Mapping) else {}
    left = [a for a in steps.rows(state, desk) if cells.get(a.kind.id) is None and a.kind.id not in known]
    must = ", ".join(clean(a.kind.title, 18) for a in left if a.must not in ("", ONCE_A_SHELF))
    if must:
        return Prompt(walking_sentences.still_to_be_read(must), urgent=must, statement=True)
    said = walking_sentences.NOTHING_MORE if left else walking_sentences.ALL_IS_READ
    return Prompt(said, statement=True)


def _ends(mode: Walking, state: State, desk: Desk, kind: ReadingKind) -> str:
    """What ends a number being typed; before its first digit, what the same key does instead."""
    if kind.type in ("tick", "choice") or kind.one_digit:
        return ""
    keys = [steps.name_of(k) for k, c in desk.commands.items() if c == "next"]
    if mode.buffer or not keys:
        return question_sentences.ENTER_TAKES_IT if "enter" in keys else question_sentences.NEXT_KEY_TAKES_IT
    today = state.earlier is None
    then = question_sentences.REST_AS_EXPECTED if today else question_sentences.BACK_TO_TODAY
    return question_sentences.next_instead(tuple(sorted(keys)[:2]), then)


@lru_cache(128)  # the same for every enclosure of a stage
def _of_reading(kind: ReadingKind, urgent: str, typed: str, ends: str) -> Prompt:
    """``moisture:`` with 1 dry, 2 right, 3 wet; or the range of a number, and why it has to be read this time."""
    question = question_sentences.reading(clean(kind.title, 20))
    if kind.type == "tick":
        yes_no = (Answer("1", question_sentences.YES), Answer("0", question_sentences.NO))
        return Prompt(question, yes_no, room=24, kind=kind.type, urgent=urgent)
    if kind.type == "choice":
        choices = tuple(Answer(c.key, c.title, word=c.id) for c in kind.choices)
        return Prompt(question, choices, room=24, kind=kind.type, urgent=urgent)
    unit = "" if kind.unit in kind.title else kind.unit
    return Prompt(
        question,
        kind=kind.type,
        typed=typed,
        numbers=NumberRange(kind.low, kind.high, unit, kind.at_least, ends),
        urgent=urgent,
        point=bool(typed and kind.decimals),
    )


def _on_page(state: State, desk: Desk) -> Prompt:
    """The pages that a digit opens; a page that is typed on says how it is left."""
    from rounds.views.page import TOPICS

    opened = state.pages[-1]
    if not desk.page(opened).typed:
        return Prompt(
            question_sentences.PAGES, tuple(Answer(t.key, t.title) for t in TOPICS if t.key), kind="pages"
        )
    keys = (sign_of(steps.key_for(desk, c)) for c in ("reading_up", "reading_down"))
    moves = " ".join(k for k in keys if len(k) == 1)
    said = question_sentences.looks_for(moves, sign_of(steps.leaving_key(desk)))
    return Prompt(said, kind="find", typed=opened.query, statement=True)
