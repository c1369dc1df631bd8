"""An act as a card: what it can be told, field by field, with what is usually answered.

Plain values, made by :mod:`rounds.acts.card_fields` from the books, filled in by the walk's
machine, and shown by the screen, by line mode and on large keys alike.
"""

from __future__ import annotations

from typing import Literal

from rounds.acts import card_sentences as sentences
from rounds.named_tuple import NamedTuple

WHOM = "whom"
"""The field of a card that takes whom the act concerns; no act has a field of this name."""

SERIES, SERIES_ON = "series", "yes"
"""The field of a card that says whether one more of the same follows, and that answer; no act is told it."""

FieldKind = Literal["choice", "count", "number", "text"]
"""How a field is answered: by digits that choose, or by typing a count, a number or a text.

A text may have ready answers as well: digits then choose one of them, until it is typed.
"""


class CardAnswer(NamedTuple):
    """One ready answer: what is told, and how it is shown."""

    typed: str
    shown: str


class CardField(NamedTuple):
    """One field of a card.

    ``needed``: without it the act is not recorded as things are. ``asked``: the act does
    without, and the card asks for it all the same, for left out it stays unknown.
    ``proposed`` is told unless another answer is given ("" for nothing); ``otherwise`` says
    what holds when nothing is told, where that is known. Of a ``many`` field each digit adds
    an answer or takes it away again. ``typed_as`` shows how an answer is typed that is not
    among the ready ones, where that has to be known.
    """

    name: str
    label: str
    question: str
    kind: FieldKind
    answers: tuple[CardAnswer, ...] = ()
    needed: bool = False
    asked: bool = False
    proposed: str = ""
    otherwise: str = ""
    many: bool = False
    typed_as: str = ""

    def shown(self, typed: str) -> str:
        """What was told, as it is shown."""
        if self.many and typed.count(",") > 2:
            each = [t.strip() for t in typed.split(",")]
            return sentences.several(each[0], each[-1], len(each))
        found = next((a.shown for a in self.answers if a.typed == typed), "")
        if not found and self.kind == "count" and typed.endswith("+"):
            return sentences.at_least(typed[:-1])
        return found or typed


class Card(NamedTuple):
    """All an act can be told. ``caution`` is to be read before the work, and ``headlines`` where it is too long."""

    act: str
    title: str
    caution: str
    fields: tuple[CardField, ...]
    headlines: tuple[str, ...] = ()

    def field(self, name: str) -> CardField | None:
        return next((f for f in self.fields if f.name == name), None)

    def told(self, answers: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
        """What may have been mixed up with these answers: the proposals that stand, and what was answered itself.

        Whom the act concerns is not among it. An answer of nothing takes a proposal away.
        """
        own = dict(answers)
        standing = [(f.name, f.proposed) for f in self.fields if f.proposed and f.name not in own]
        return tuple((n, t) for n, t in (*standing, *answers) if t and n not in (WHOM, SERIES))
