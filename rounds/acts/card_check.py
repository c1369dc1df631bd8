"""One answer of a card, read on its own: what is told by it, or what is wrong with it.

This is what can be known of a field by itself. Whether the act as a whole may be recorded is
asked of the act's plan once all is told.
"""

from __future__ import annotations

import re

from rounds.acts import card_sentences as sentences
from rounds.acts.fields import Field, read
from rounds.records.ledger import Ledger
from rounds.values.dates import with_its_year
from rounds.values.spans import iso

DAYS = ("day", "span")


def looks_back(field: Field) -> bool:
    """Is a field of days about what has happened? (Else about what is to come.)"""
    return field.past or (field.type == "span" and field.name in ("from", "to"))


def read_answer(field: Field, text: str, ledger: Ledger, today: int, label: str) -> tuple[str, str]:
    """What a field is told by what was typed, and "" ; or "" and the sentence that says what is wrong.

    Digits alone are days: ago for what has happened, ahead for what is to come. A date without its
    year is the last such day, or the next one.
    """
    typed = text.strip()
    if field.type in DAYS and re.fullmatch("[0-9]{1,3}", typed):
        typed = iso(max(1, today - int(typed)) if looks_back(field) else today + int(typed))
    elif field.type in DAYS:
        typed = with_its_year(typed, today, ahead=not looks_back(field))
    elif field.type == "number":
        typed = typed.replace(",", ".")
    _, slips = read((field,), {field.name: typed}, ledger, today)
    if slips:
        return "", sentences.wrong(label, slips[0].message, slips[0].hint)
    return typed, ""
