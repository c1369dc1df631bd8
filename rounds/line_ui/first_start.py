"""The first start as a pure machine: a state and a typed line give the next state.

A keeper without a book chooses between the invented house and a book of their own, and says in
a few questions what stands where. Every answer is a line of its own; numbers and Enter do, so
that a number pad is enough. Nothing is made here: the state says at its end what was chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from string import ascii_uppercase
from typing import Literal

from rounds.line_ui import first_start_sentences as sentences
from rounds.line_ui.new_rack import (
    MOST_BAYS,
    MOST_IN_ALL,
    MOST_SHELVES,
    MOST_SLOTS,
    NewRack,
    is_code,
)
from rounds.named_tuple import NamedTuple
from rounds.text.cleaning import clean
from rounds.values.numbers import parse_whole
from rounds.values.unreadable import UnreadableValue

LONGEST_NAME = 60
Outcome = Literal["", "demo", "make", "leave"]
Answers = Mapping[str, str]
NO_ANSWERS: Answers = {}


class Question(NamedTuple):
    """One question: how it is asked, what Enter alone answers, and what is wrong with an answer ("" if nothing is)."""

    id: str
    ask: Callable[[Answers], str]
    usual: Callable[[Answers], str]
    wrong: Callable[[str, Answers], str]


class FirstStart(NamedTuple):
    """Where the questions stand; ``message`` is about the last line, ``outcome`` is "" until all is said."""

    at: int = 0
    answers: Answers = NO_ANSWERS
    message: str = ""
    outcome: Outcome = ""

    @property
    def prompt(self) -> str:
        """What is asked now, with what Enter alone answers."""
        question = QUESTIONS[self.at]
        return sentences.asked(question.ask(self.answers), self._usual(question))

    @property
    def rack(self) -> NewRack:
        """What was described. Only when every question before the last is answered."""
        return rack_of(self.answers)

    def take(self, line: str) -> FirstStart:
        """The state after a typed line. Raises nothing: what cannot be used is said in ``message``."""
        typed = line.strip()
        question = QUESTIONS[self.at]
        if typed.casefold() in ("quit", "leave"):
            return self._replace(outcome="leave", message="")
        if typed.casefold() == "back" or (typed == "2" and question.id == "confirm"):
            return self._replace(at=max(0, self.at - 1) if typed != "2" else 1, message="")
        answer = typed or self._usual(question)
        wrong = question.wrong(answer, self.answers)
        if wrong:
            return self._replace(message=wrong)
        chosen = CHOSEN.get((question.id, answer), "")
        if chosen:
            return self._replace(outcome=chosen, message="")
        return self._replace(at=self.at + 1, answers={**self.answers, question.id: answer}, message="")

    def _usual(self, question: Question) -> str:
        """The answer that was given before, if it can still be given, or the usual one."""
        before = self.answers.get(question.id, "")
        return before if before and not question.wrong(before, self.answers) else question.usual(self.answers)


def rack_of(answers: Answers) -> NewRack:
    """The rack that the answers describe."""
    bays, shelves, slots, boxes = (int(answers[name]) for name in ("bays", "shelves", "slots", "boxes"))
    return NewRack(
        answers["house"],
        answers["keeper"],
        bays,
        shelves,
        slots,
        boxes,
        answers["code"],
        filled=answers["filled"] == "1",
    )


def _choice(most: int) -> Callable[[str, Answers], str]:
    def wrong(typed: str, _: Answers) -> str:
        return "" if typed in map(str, range(1, most + 1)) else sentences.one_of_these(most)

    return wrong


def _name(typed: str, _: Answers) -> str:
    fits = typed and len(typed) <= LONGEST_NAME and typed.isprintable() and "," not in typed
    return "" if fits else sentences.NO_WORD


def _code(typed: str, answers: Answers) -> str:
    return _name(typed, answers) or ("" if is_code(typed) else sentences.NO_CODE)


def _number(most: Callable[[Answers], int], usual_most: int = 0) -> Callable[[str, Answers], str]:
    """``usual_most``: that many at the most, unless the rack would have too many slots in all."""

    def wrong(typed: str, answers: Answers) -> str:
        high = most(answers)
        said = sentences.one_of_these(high)
        if high < usual_most:
            said = sentences.and_why(said, MOST_IN_ALL)
        if not typed.isascii() or not typed.isdigit():
            return said
        try:
            parse_whole(typed, low=1, high=high)
        except UnreadableValue:
            return said
        return ""

    return wrong


def _most_shelves(answers: Answers) -> int:
    return min(MOST_SHELVES, MOST_IN_ALL // int(answers["bays"]))


def _most_slots(answers: Answers) -> int:
    return min(MOST_SLOTS, MOST_IN_ALL // (int(answers["bays"]) * int(answers["shelves"])))


def _most_boxes(answers: Answers) -> int:
    """A box for every slot."""
    return int(answers["bays"]) * int(answers["shelves"]) * int(answers["slots"])


def _confirm(answers: Answers) -> str:
    rack = rack_of(answers)
    places, codes = list(rack.places()), rack.codes()
    return " ".join(
        (
            sentences.rack(
                clean(rack.house),
                clean(rack.keeper),
                ascii_uppercase[rack.bays - 1],
                rack.shelves,
                rack.slots,
                places[0],
                places[-1],
            ),
            sentences.first_boxes(
                rack.boxes, clean(codes[0]), clean(codes[-1]), places[0], filled=rack.filled
            ),
            sentences.CONFIRM,
        )
    )


QUESTIONS = (
    Question("start", lambda _: sentences.START, lambda _: "1", _choice(3)),
    Question("house", lambda _: sentences.HOUSE, lambda _: "My house", _name),
    Question("keeper", lambda _: sentences.KEEPER, lambda _: "keeper", _name),
    Question("bays", lambda _: sentences.BAYS, lambda _: "1", _number(lambda _: MOST_BAYS)),
    Question(
        "shelves",
        lambda _: sentences.SHELVES,
        lambda answers: str(min(4, _most_shelves(answers))),
        _number(_most_shelves, MOST_SHELVES),
    ),
    Question(
        "slots",
        lambda _: sentences.SLOTS,
        lambda answers: str(min(5, _most_slots(answers))),
        _number(_most_slots, MOST_SLOTS),
    ),
    Question(
        "boxes",
        lambda answers: sentences.boxes(_most_boxes(answers)),
        lambda answers: str(min(10, _most_boxes(answers))),
        _number(_most_boxes),
    ),
    Question("code", lambda _: sentences.CODE, lambda _: "T-01", _code),
    Question("filled", lambda _: sentences.FILLED, lambda _: "1", _choice(2)),
    Question("confirm", _confirm, lambda _: "1", _choice(3)),
)
"""What is asked, in this order; a later question may rest on the answers before it."""

CHOSEN: Mapping[tuple[str, str], Outcome] = {
    ("start", "1"): "demo",
    ("start", "3"): "leave",
    ("confirm", "1"): "make",
    ("confirm", "3"): "leave",
}
"""The answers that end the questions, and in what."""
