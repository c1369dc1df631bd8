"""What is asked as the foot of the screen shows it, and the keys that answer it for a finger."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from rounds.presenters import foot_sentences
from rounds.presenters.lines import BLANK, Line, cut, flow, shortened, size, wrap
from rounds.presenters.reading_values import saved_mark
from rounds.records.round_summary import MARKS
from rounds.text.cleaning import clean
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.prompts import Answer, NumberRange, Prompt, prompt

NARROW = 60
"""Cells of a screen below which the pages of the books are not listed by name."""
WHOLE = 1000
HIGHEST = 7
"""Lines that a page of answers may take on a screen of 24 lines before reasons are left out."""


def asked(walk: Walk) -> Prompt:
    """What the walk asks at the moment."""
    return prompt(walk.state, walk.desk)


def answers(walk: Walk, width: int) -> list[Line]:
    """The question and the keys that answer it: all of them, on as many lines as it takes."""
    found = asked(walk)
    if found.kind == "pages" and width < NARROW:
        return [cut(((foot_sentences.other_pages(steps.key_for(walk.desk, "help")), "faint"),), width)]
    return list(_lines(found, saved_mark(walk, found.cell) if found.cell else "", width))


def offered(found: Prompt) -> list[tuple[str, str]]:
    """The keys that answer, with their words: those of the page in sight, then those beside them."""
    more = [("0", foot_sentences.MORE)] if found.pages > 1 else []
    shown = [(a.key, _words(found, a)) for a in found.in_sight()]
    return [*shown, *more, *((a.key, _words(found, a)) for a in found.others)]


def hint(walk: Walk, width: int) -> list[Line]:
    """How the mode ends that asks something; the commands have no meaning there."""
    found = asked(walk)
    rub = steps.rub_key(walk.desk)
    if found.hint:
        said = clean(found.hint, 400)
        if found.card is not None:
            return [cut(((f" {x}", "strong"),), width) for x in wrap(said, width - 1, 3)]
    elif found.limit:
        said = foot_sentences.enter_or_back(found.enter, rub, found.leaves)
    else:
        said = foot_sentences.any_other_key(found.leaves)
    return [cut(((f" {x}", "faint"),), width) for x in wrap(said, width - 1, 2)]


def _words(found: Prompt, answer: Answer) -> str:
    text = clean(answer.text, found.room)
    return f"{MARKS[answer.level]} {text}" if answer.level else text


@lru_cache(128)  # most keys leave the question as it is, and every enclosure of a stage asks the same
def _lines(found: Prompt, mark: str, width: int) -> tuple[Line, ...]:
    question = clean(found.question, WHOLE if found.statement else 70)
    if not question:
        return ()
    if found.kind == "find":
        return tuple(cut(((f" {x}", "faint"),), width) for x in wrap(question, width - 1, 2))
    if found.statement:
        return (cut(((f" {question}", ""),), width),)
    if found.numbers is not None:
        return tuple(
            _pieces(question, [((f" {x}", ""),) for x in _range(found.numbers)], found.urgent, width)
        )
    if found.card is not None:
        return tuple(_of_card(found, question, width))
    keys = offered(found)
    if any(a.level for a in found.answers):
        by_level: list[Line] = [
            ((f" {key} ", "key"), (shortened(words, width - len(key) - 2), "")) for key, words in keys
        ]
        return tuple(cut(line, width) for line in (((f" {question}", ""),), *by_level))
    if found.limit and not keys:
        return (_typing(question, found, mark, width),)
    listed = _listed(found, question, width)
    return (*listed, *([_typing(foot_sentences.DIGIT_OR_WORDS, found, mark, width)] if found.limit else []))


def _listed(found: Prompt, question: str, width: int) -> list[Line]:
    """The answers one behind the other. What is above does not move when a page of them is turned.

    A page that would be higher than ``HIGHEST`` leaves out why something cannot be chosen
    today: its key still says so.
    """
    pages = [found._replace(page=page) for page in range(found.pages)]
    height = max(len(_page(page, question, width)) for page in pages) if len(pages) > 1 else 0
    shown = _page(found, question, width)
    return [*shown, *[cut(BLANK, width)] * (height - len(shown))]


def _page(found: Prompt, question: str, width: int) -> list[Line]:
    unfit = {a.key: a.unfit for a in found.in_sight() if a.unfit}
    whole = _in_a_row(found, question, unfit, width)
    return whole if len(whole) <= HIGHEST else _in_a_row(found, question, dict.fromkeys(unfit, ""), width)


def _in_a_row(found: Prompt, question: str, unfit: dict[str, str], width: int) -> list[Line]:
    """``unfit`` says by key why an answer cannot be chosen today; "" for no room to say it."""
    pieces: list[Line] = [
        ((f" {key} ", "faint"), (f"{words}{': ' if unfit[key] else ''}{clean(unfit[key], 40)} ", "faint"))
        if key in unfit
        else ((f" {key} ", "key"), (f"{words} ", ""))
        for key, words in offered(found)
    ]
    return _pieces(f"{question} ", pieces, found.urgent, width)


def _of_card(found: Prompt, question: str, width: int) -> list[Line]:
    """The question of the cursor's field with its ready answers or what is typed, and the card's six commands."""
    more = [("0", foot_sentences.page_turns(found.page + 1, found.pages))] if found.pages > 1 else []
    ready = [*((a.key, _words(found, a)) for a in found.in_sight()), *more]
    # On a small screen the caution itself says which key shows all; a line of the foot is worth more there.
    spared = "all" if width < NARROW and found.card is not None and found.card.caution else ""
    given = (a for a in found.others if a.word != spared)
    commands: list[Line] = [((f" {a.key}", "key"), (f" {a.text} ", "")) for a in given]
    if found.limit:
        asked = [_typing(question, found, "", width)]
    else:
        pieces: list[Line] = [((f" {key} ", "key"), (f"{words} ", "")) for key, words in ready]
        asked = flow([((f" {question}", ""),), *pieces], width)
    return [*asked, *flow(commands, width)]


def _range(asked: NumberRange) -> tuple[str, ...]:
    said = foot_sentences.numbers(asked.low, asked.high, clean(asked.unit, 12), asked.ends)
    return (foot_sentences.AT_LEAST, said) if asked.at_least else (said,)


def _pieces(question: str, pieces: Sequence[Line], urgent: str, width: int) -> list[Line]:
    why: list[Line] = [((f"  {urgent}", "today"),)] if urgent else []
    return flow([((f" {question}", ""),), *pieces, *why], width)


def _typing(question: str, found: Prompt, mark: str, width: int) -> Line:
    """What is being typed, with its end always in sight."""
    typed = clean(found.typed, found.limit + 100)
    room = max(4, width - len(question) - len(mark) - 6)
    shown = typed
    while (over := size(((shown, ""),)) - room) > 0:
        shown = shown[max(1, over // 2) :]  # a sign takes at most two cells
    dots = "…" if len(shown) < len(typed) else ""
    return cut(((f" {question} ", ""), (f"{dots}{shown}_", "cursor"), (f" {mark}", "saved")), width)
