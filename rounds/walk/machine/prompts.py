"""What the walk asks at the moment, as one value: the question, its answers, what else keys do.

Every mode makes its own (``Mode.prompt``). The foot of the screen, the keys for a finger, line
mode and the tests all show or use this value; none of them words a question of its own. Texts
are as the book has them: whoever shows them cleans and cuts them.
"""

from __future__ import annotations

from rounds.keys.commands import PER_PAGE
from rounds.named_tuple import NamedTuple
from rounds.walk.machine.state import Desk, State
from rounds.walk.machine.steps import digit_of


class Answer(NamedTuple):
    """One answer, and the key that gives it."""

    key: str
    text: str
    full: str = ""
    """The text where there is room for a long one; "" where that is the same."""
    word: str = ""
    """What it may be typed as beside its text; "" for nothing else."""
    level: str = ""
    """How urgent the thing chosen is: now, today, look; "" where that does not apply."""
    unfit: str = ""
    """Why it cannot be chosen today; its key is taken and only says so."""


class NumberRange(NamedTuple):
    """The numbers that answer: in ``unit`` ("" where the question names it), and what ends one being typed."""

    low: float
    high: float
    unit: str
    at_least: bool
    ends: str


class CardRow(NamedTuple):
    """A field of a card: its label, its answer, and how that stands.

    ``how``: told, proposed, typed, waits (for an answer), unsaid (nothing is told, none is waited for).
    """

    label: str
    said: str
    how: str
    needed: bool
    at: bool


class CardShown(NamedTuple):
    """A card: the act's title, what is to be read before the work, and the fields in their order."""

    title: str
    caution: str
    headlines: tuple[str, ...]
    """The caution in short, for where there is no room for all of it."""
    rows: tuple[CardRow, ...]
    kind: str
    """How the field of the cursor is answered: choice, count, number, text."""
    who: str
    lacking: tuple[str, ...]
    """Labels of what has to be told yet; recording waits for it."""
    told: tuple[str, ...]
    unsaid: tuple[str, ...]
    """Labels of what is asked for and stays unknown as it is now."""
    presses_to_leave: int = 1
    """How often the key that leaves has to be pressed: one with something filled in says first what would be lost."""


class Prompt(NamedTuple):
    """What is asked.

    ``answers`` are all there are, nine to a page where they are ``paged``. With a ``limit`` a text
    of so many characters can be typed, and the answers are then ready ones that a digit and Enter
    give. ``others`` are keys beside the answers, each with what it does.
    """

    question: str = ""
    answers: tuple[Answer, ...] = ()
    paged: bool = False
    page: int = 0
    others: tuple[Answer, ...] = ()
    room: int = 40
    """Characters of an answer where several stand beside each other."""
    limit: int = 0
    kind: str = ""
    """Of a text: code, scan, note, days, reason, day, value; of a reading: its type; pages, find, help."""
    typed: str = ""
    enter: str = ""
    """What Enter does with what was typed, as in "goes there"; "" where it is no key of the mode."""
    leaves: str = ""
    """What comes of leaving with nothing chosen or typed, as in "nothing is recorded"."""
    enter_alone: str = ""
    """What Enter does with nothing typed where that is an answer too, as in "1 day"."""
    hint: str = ""
    """How the mode ends, where it is not by Enter or by any key that is not offered."""
    numbers: NumberRange | None = None
    """Which numbers a reading takes, where it takes any."""
    point: bool = False
    """Can the number that is half typed have a point?"""
    urgent: str = ""
    """Why this answer has to be given this time."""
    statement: bool = False
    """The question is none: it says what is the case."""
    cell: str = ""
    """The cell that is saved while a text is typed."""
    card: CardShown | None = None
    """The card that is being filled in; the question is about the field of its cursor."""

    def in_sight(self) -> tuple[Answer, ...]:
        """The answers of the page in sight, each with the digit that gives it there."""
        if not self.paged:
            return self.answers
        first = self.page * PER_PAGE
        return self.answers[first : first + PER_PAGE]

    @property
    def pages(self) -> int:
        """How many pages the answers have."""
        return max(1, -(-len(self.answers) // PER_PAGE)) if self.paged else 1

    @property
    def asks(self) -> bool:
        """Does the mode ask something that ends with an answer, so that commands wait?"""
        return bool(self.leaves or self.enter or self.hint)


def numbered(texts: tuple[str, ...] | list[str], words: tuple[str, ...] = ()) -> tuple[Answer, ...]:
    """Answers that have the digits 1 to 9 on each page; ``words`` are what each may be typed as too."""
    return tuple(Answer(digit_of(i), text, word=words[i] if words else "") for i, text in enumerate(texts))


def prompt(state: State, desk: Desk) -> Prompt:
    """What the walk asks at the moment."""
    return state.mode.prompt(state, desk)
