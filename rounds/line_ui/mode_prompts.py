"""What the walk asks in a mode, as numbered lines and one question: for reading out and for typing."""

from __future__ import annotations

from rounds.keys.commands import PER_PAGE
from rounds.line_ui import asked_sentences, card_word_sentences
from rounds.text.cleaning import clean
from rounds.walk.core import Walk
from rounds.walk.machine.prompts import Answer, Prompt, prompt

LEVEL_WORDS = {"now": "act now", "today": "today", "look": "look at it"}
"""The levels of harm as they are said, worst first."""
ERASE = "erase"
"""Typed alone in a note, it empties it."""


def asked(walk: Walk) -> Prompt:
    """What the walk asks at the moment."""
    return prompt(walk.state, walk.desk)


def spoken(answer: Answer) -> str:
    """An answer in full, as it is read out and may be typed."""
    text = clean(answer.full or answer.text, 1200)
    if answer.unfit:
        return asked_sentences.not_today(text, clean(answer.unfit, 200))
    return asked_sentences.urgent(LEVEL_WORDS.get(answer.level, answer.level), text) if answer.level else text


def lines(walk: Walk) -> list[str]:
    """The answers in sight, numbered by the digits that choose them."""
    found = asked(walk)
    out = [asked_sentences.answer(a.key, spoken(a)) for a in found.in_sight()]
    if found.pages > 1:
        out.append(asked_sentences.more(len(found.answers), found.page + 1, found.pages))
    return out


def question(walk: Walk) -> str:
    """What is asked, and what Enter alone comes to."""
    found = asked(walk)
    said = clean(found.question, 1200)
    if found.kind == "note":
        return _of_note(found, said)
    if found.card is not None:
        return asked_sentences.question(said, (), card_word_sentences.NEXT_FIELD, found.leaves)
    beside = tuple(a.full for a in found.others if a.full)
    back = found.leaves if found.enter_alone not in ("", found.leaves) else ""
    return asked_sentences.question(said, beside, found.enter_alone or found.leaves, back)


def _of_note(found: Prompt, said: str) -> str:
    asked = said.removesuffix(":")
    if not found.typed:
        return asked_sentences.note(asked, found.enter_alone)
    so_far = clean(found.typed, found.limit + 100)
    return asked_sentences.note_so_far(asked, so_far, found.enter_alone, ERASE)


def page_keys(found: Prompt, at: int) -> tuple[str, ...]:
    """The keys that choose the answer at a place: turning to its page, then its digit."""
    turns = (at // PER_PAGE - found.page) % found.pages if found.paged else 0
    return (*["0"] * turns, found.answers[at].key)
