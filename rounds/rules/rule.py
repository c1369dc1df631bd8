"""A rule as it stands after parsing, and the words its file may use: one table each.

The parser, the JSON Schema and the printed explanations all read these tables.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.records.round_summary import BRING as BRING
from rounds.rules.measures import MEASURES

NUMBER, CHOICE, TICK = "number", "choice", "tick"

RULE_LEVELS = {
    "now": "harm is being done: before anything else",
    "today": "to be done today",
    "look": "worth a closer look",
    "carry": "not a flag: something to bring on the next round",
}
"""Levels in the order of harm."""
CARRY = "carry"
ORDER = {level: i for i, level in enumerate(RULE_LEVELS)}


class Comparison(NamedTuple):
    """How one word of a condition compares: ``takes`` is the shape of its value."""

    takes: str  # value, values, number, bool
    types: tuple[str, ...]
    about: str


COMPARISONS = {
    "is": Comparison("value", (NUMBER, CHOICE, TICK), "it is exactly this"),
    "is_not": Comparison("value", (NUMBER, CHOICE, TICK), "it is known and is not this"),
    "any_of": Comparison("values", (CHOICE,), "it is one of these"),
    "none_of": Comparison("values", (CHOICE,), "it is known and is none of these"),
    "over": Comparison("number", (NUMBER,), "it is more than this"),
    "under": Comparison("number", (NUMBER,), "it is less than this"),
    "at_least": Comparison("number", (NUMBER,), "it is this or more"),
    "at_most": Comparison("number", (NUMBER,), "it is this or less"),
    "known": Comparison("bool", (NUMBER, CHOICE, TICK), "whether it is known at all"),
    "plausible": Comparison("bool", (NUMBER,), "whether it lies in the reading's own `plausible` range"),
}
BOUNDS = ("over", "under", "at_least", "at_most")

PER_ADULT = "adults"
PER_LITRE = "per_litre"
UNKNOWN_SIZE = "unknown_size"
USUAL_ORDER = 5
MOST_ORDER = 9


class PerLitre(NamedTuple):
    """An amount for each litre the box holds, and the amount for a box of unknown size."""

    per_litre: float
    unknown_size: float


class Field(NamedTuple):
    """One field of a rule; ``shape`` names how it is read and how the schema shows it."""

    shape: str
    about: str


FIELDS = {
    "id": Field("id", "the rule's name for good; a later file's rule of the same id replaces it"),
    "title": Field("text", "its headline: what is wrong, in at most 40 characters"),
    "applies": Field("applies", "the stages and species it is judged for (all when left out)"),
    "when": Field("condition", "what must hold: yes, no or unknown"),
    "level": Field("level", "how much harm: " + ", ".join(RULE_LEVELS)),
    "because": Field("template", "why, with {reading} or {measure} filled in"),
    "do": Field("do", "what to do, by stage, or `otherwise`"),
    "lasting": Field("lasting", "for how many looks or days it must have held"),
    "ends_after": Field("ends_after", "how many looks without it end it (1 when left out)"),
    "over_locks": Field("bool", "what to do holds even where a lock forbids it"),
    "bring": Field("bring", "for level carry: what to bring, a number or `adults`"),
    "order": Field(
        "order", "which of several urgent flags at one box comes first: 1 before 9 (5 when left out)"
    ),
    "covers": Field(
        "covers", "rules whose instruction this one's does as well, each with the stages in which it does"
    ),
    "off": Field("bool", "switches off the rule of this id from an earlier layer"),
}
REQUIRED = ("id", "when")
APPLIES = ("stages", "species", "not_species")
LASTING = ("visits", "days")
DO_FIELDS = ("text", "short", "needs", "offers")


class OfferedStep(NamedTuple):
    """A step that an instruction names and the program can take: the act that does it, and what that is told.

    ``instead`` is the act that does it where the first has nobody to be done to ("" when there is none).
    """

    act: str
    told: tuple[tuple[str, str], ...] = ()
    instead: str = ""


OFFERED_STEPS: Mapping[str, OfferedStep] = {
    "next-search-earlier": OfferedStep("search-sooner", (("to", "+1"),)),
    "look-tomorrow": OfferedStep("look-again", (("in", "+1"),)),
    "look-in-three-days": OfferedStep("look-again", (("in", "+3"),)),
    "longer-quarantine": OfferedStep("due-off", (("work", "end of quarantine"),)),
    "change-substrate": OfferedStep("rebed"),
    "change-two-thirds": OfferedStep("rebed", (("part", "two thirds"),)),
    "tub-each": OfferedStep("split", instead="split-some"),
}
"""What ``offers`` of an instruction may name; the walk lists it behind the key that records, with the flag's title."""
OTHERWISE = "otherwise"
GROUPS = ("all", "any", "not")
SUBJECTS = ("reading", "measure")
LEAF = (*SUBJECTS, "of", *COMPARISONS)


class Leaf(NamedTuple):
    """One comparison. ``key`` finds its value in a look; an "at least" count compares as it was seen."""

    key: str
    name: str  # as the file's author would say it: "moisture", "same_for_visits of moisture"
    op: str
    value: Any


class ConditionGroup(NamedTuple):
    """``all``, ``any`` or ``not`` (of exactly one part)."""

    word: str
    parts: tuple[Condition, ...]


Condition = Leaf | ConditionGroup


class Slot(NamedTuple):
    """A gap in a text, filled from a look; ``titles`` are a choice's words by id.

    With ``dated`` a number of days is said as the day that lies so far back: an action that
    stays open keeps its text, and a count of days would be untrue tomorrow.
    """

    key: str
    titles: Mapping[str, str]
    dated: bool = False


class Todo(NamedTuple):
    """What to do in one stage, what doing it needs a lock to allow, and which of :data:`OFFERED_STEPS` it offers.

    ``short`` is the one line of it that is read first ("" when the file gives none: ``rules.headlines``).
    """

    text: tuple[str | Slot, ...]
    needs: tuple[str, ...] = ()
    offers: tuple[str, ...] = ()
    short: str = ""


class Rule(NamedTuple):
    """One rule in force. Empty ``stages`` or ``species`` mean all of them."""

    id: str
    title: str
    when: Condition
    level: str = "today"
    stages: frozenset[str] = frozenset()
    species: frozenset[str] = frozenset()
    not_species: frozenset[str] = frozenset()
    because: tuple[str | Slot, ...] = ()
    do: Mapping[str, Todo] = {}
    lasting_visits: int = 1
    lasting_days: int = 0
    ends_after: int = 1
    over_locks: bool = False
    bring: Mapping[str, float | str | PerLitre] = {}
    order: int = USUAL_ORDER
    covers: Mapping[str, frozenset[str]] = {}
    file: str = ""
    line: int = 0
    titled: bool = True
    """False: its file gives no title, and the one it has was taken from its reason."""

    @property
    def runs(self) -> bool:
        """Its verdict rests on earlier visits as a running test."""
        return self.lasting_visits > 1 or self.lasting_days > 0

    def todo(self, stage: str) -> Todo | None:
        return self.do.get(stage) or self.do.get(OTHERWISE)


HELD = {"held_visits": "looks in a row for which it has held", "held_days": "days it has held"}
"""Slots that only a rule's own texts have."""


def leaves(condition: Condition) -> tuple[Leaf, ...]:
    """All comparisons of a condition, in file order."""
    if isinstance(condition, Leaf):
        return (condition,)
    return tuple(leaf for part in condition.parts for leaf in leaves(part))


def of_looking_alone(rule: Rule) -> bool:
    """Does its condition rest on how long ago somebody looked, and on nothing that was read?"""
    keys = {leaf.key for leaf in leaves(rule.when)}
    return "=days_since_visit" in keys and keys <= {"=days_since_visit", "=days_in_stage"}


def readings(rule: Rule) -> frozenset[str]:
    """The readings whose answers its condition rests on, also through measures."""
    return frozenset(leaf.key for leaf in leaves(rule.when) if leaf.key[0] != "=") | measured(rule)


def measured(rule: Rule) -> frozenset[str]:
    """The readings of earlier visits that its condition may rest on, for it asks for a measure of them."""
    out: set[str] = set()
    for leaf in leaves(rule.when):
        if leaf.key[0] == "=":
            name, _, of = leaf.key[1:].partition(" of ")
            out.update(MEASURES[name].reads)
            out.update([of] if of else [])
    return frozenset(out)
