"""A card in lines: how it is read out, and what a typed line presses on it.

A line answers the field that is asked; more answers may follow in it. The words of the card's
commands (next, before, list, record, leave) stand for its keys.
"""

from __future__ import annotations

import re

from rounds.line_ui import card_word_sentences as sentences
from rounds.line_ui.mode_prompts import asked, page_keys, spoken
from rounds.text.cleaning import clean
from rounds.values.dates import MONTH_NUMBERS
from rounds.walk.core import Walk
from rounds.walk.machine.card_shown import key_that_ends_a_text
from rounds.walk.machine.prompts import CardShown, Prompt

ENDING = ("next_field", "leave")
"""Commands of a card whose keys cannot be signs of a text."""
Typed = tuple[tuple[str, ...], str, str]
"""Keys to press, the rest of the line, and why it is not taken."""


def opening(card: CardShown) -> list[str]:
    """The act, what is to be read before the work, and what is proposed."""
    proposed = tuple(
        sentences.field(clean(row.label, 60), clean(row.said, 200))
        for row in card.rows
        if row.how == "proposed"
    )
    return [
        sentences.card_of(clean(card.title, 200)),
        clean(card.caution, 2000),
        sentences.proposed(proposed) if proposed else "",
    ]


def will(card: CardShown) -> str:
    """What the word that records would record, or what has to be told yet."""
    if card.lacking:
        return sentences.has_to_be_told(card.lacking)
    told = tuple(clean(t, 200) for t in card.told)
    return sentences.will_record(clean(card.title, 200), clean(card.who, 200), told, card.unsaid)


def leaving(found: Prompt) -> tuple[str, ...]:
    """The keys that leave a card: an answer under the cursor is taken away first, and the word itself confirms it."""
    key = next(a.key for a in found.others if a.word == "leave")
    return (key,) * (found.card.presses_to_leave if found.card is not None else 1)


def keys(walk: Walk, text: str) -> Typed:
    """What the beginning of a line means on a card."""
    found = asked(walk)
    by_word = {a.word: a.key for a in found.others}
    if text.casefold() in ("back", "leave"):
        return leaving(found), "", ""
    if text.casefold() in by_word:
        return (by_word[text.casefold()],), "", ""
    kind = found.card.kind if found.card is not None else "text"
    if not found.limit:
        chosen = _listed(found, text)
        if chosen is not None:
            return chosen
    head, _, rest = text.partition(" ")
    if kind != "text" and head.casefold() in by_word and not text.casefold().startswith("at least"):
        return (by_word[head.casefold()],), rest.strip(), ""
    if kind == "choice":
        return (), "", sentences.none_of_these(clean(text, 60))
    to_type = () if found.limit or not text[:1].isdigit() else (by_word["list"],)
    if kind == "text":
        barred = [sign for sign in text if sign != " " and walk.desk.card_keys.get(sign) in ENDING]
        if barred:
            return (), "", sentences.no_sign_of_a_text(barred[0])
        return (*to_type, *_letters(text), key_that_ends_a_text(walk.desk)), "", ""
    number = re.match(r"(at least )?([0-9][0-9.,]*)(\+?)(?: |$)", text, re.IGNORECASE)
    if number is None:
        return (), "", sentences.no_number(clean(text, 60))
    ends = by_word["at least"] if number[1] or number[3] else by_word["next"]
    return (*to_type, *number[2], ends), text[number.end() :].strip(), ""


def _listed(found: Prompt, text: str) -> Typed | None:
    """The answer that a line begins with, by its words or by its digit."""
    known = {spoken(a).casefold(): i for i, a in enumerate(found.answers)}
    known |= {a.word.casefold(): i for i, a in enumerate(found.answers) if a.word}
    words = text.split()
    if len(words) > 1 and words[1].casefold() in MONTH_NUMBERS:  # "5 Oct" is a day, not the fifth answer
        return None
    for n in range(len(words), 0, -1):
        at = known.get(" ".join(words[:n]).rstrip(",").casefold())
        if at is not None:
            return page_keys(found, at), " ".join(words[n:]), ""
    if len(words[0]) == 1 and words[0] in "0123456789":
        return (words[0],), " ".join(words[1:]), ""
    return None


def _letters(text: str) -> tuple[str, ...]:
    return tuple("space" if ch == " " else ch for ch in text if ch.isprintable())
