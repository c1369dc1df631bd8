"""Reports of the day and the season: the summary, due work, a stand-in's sheet, a season's end, batches, arrivals."""

from __future__ import annotations

from rounds.reports.columns import Column
from rounds.reports.report import Table, kind, listing_kind

DAY = Column("day", "", "day", "The round day of the summary", always=True)
PLACE = Column("place", "place", "text", "Bay, shelf and slot the enclosure stands at")
ENCLOSURE = Column("enclosure", "enclosure", "text", "Its code")

ACTION = Table(
    "action",
    (
        DAY,
        Column("", "harm"),
        PLACE,
        ENCLOSURE,
        Column("number", "", "whole", "Its short number"),
        Column("stage", "", "text", "What it is for now"),
        Column("level", "", "text", "How soon harm is done", words=("now", "today", "look")),
        Column("rule", "", "text", "Id of the rule that raised it"),
        Column("reason", "why", "text", "What is wrong"),
        Column("", "do"),
        Column("todo", "", "text", "What to do"),
        Column("withheld", "", "text", "What a lock forbids now"),
        Column("since", "since", "day", "The day it was raised"),
        Column("cause_gone", "", "yesno", "Was the cause no longer seen at the last look?"),
        Column("", "cause"),
    ),
    "An enclosure that needs something done",
)
CARRY = Table(
    "carry",
    (
        DAY,
        Column("what", "", "text", "What to bring to the rack", always=True),
        Column("", "what"),
        Column("", "amount"),
        Column("amount", "", "number", "How much of it, where one figure says it all"),
        Column("least", "", "number", "The least that is needed"),
        Column("most", "", "number", "The most that is needed; null when nobody knows"),
        Column("for", "", "text", "Codes of the enclosures it is for", many=True),
        Column("", "for"),
        Column(
            "unknown_for", "", "text", "Codes of enclosures that need an unknown amount on top", many=True
        ),
        Column("", "not known for"),
        Column("mix", "", "text", "What substrate is made of"),
        Column("rests_on", "rests on", "text", "What the amounts rest on", many=True),
    ),
    "Something to carry to the rack next time",
)
DUE_OF_DAY = Table(
    "due",
    (
        DAY,
        Column("", "place"),
        ENCLOSURE,
        Column("animal", "animal", "text", "Line and number of the animal it concerns"),
        Column("what", "what", "text", "What is due", always=True),
        Column("", "when"),
        Column("", "why"),
        Column("withheld", "withheld", "text", "Why a lock holds it back"),
        Column("earliest", "", "day", "First day of its window"),
        Column("likely", "", "day", "The most likely day"),
        Column("latest", "", "day", "Last day of its window"),
        Column("why", "", "text", "What the window follows from"),
    ),
    "Work that is due and was not done",
)
UNSEEN = Table(
    "unseen",
    (
        DAY,
        Column("", "place"),
        ENCLOSURE,
        Column("", "stage"),
        Column("skipped", "", "text", "Id of the reason it was skipped for"),
        Column("", "skipped"),
    ),
    "An enclosure that was not seen on the day",
)
SUMMARY = kind(
    "summary", "Summary of the day", "What a round day left to do, what to carry and what was not seen",
    ACTION, CARRY, DUE_OF_DAY, UNSEEN,
)  # fmt: skip

DUE = listing_kind(
    "due",
    "Due work",
    "One piece of work that is due, by day and shelf",
    (
        Column("day", "day", "day", "The day it is planned for"),
        PLACE,
        ENCLOSURE,
        Column("animal", "animal", "text", "Line and number of the animal it concerns"),
        Column("what", "what", "text", "What is due", always=True),
        Column("", "when"),
        Column("kind", "", "text", "Id of the kind of work", always=True),
        Column("earliest", "", "day", "First day of its window; null is an open end"),
        Column("likely", "", "day", "The most likely day"),
        Column("latest", "", "day", "Last day of its window; null is an open end"),
        Column("overdue", "overdue", "yesno", "Has its window passed?", always=True),
        Column("why", "why", "text", "What the window follows from"),
        Column("withheld", "withheld", "text", "Why a lock holds it back"),
        Column("put_off_until", "put off until", "day", "The day it was put off to"),
        Column("put_off_why", "", "text", "Why it was put off"),
        Column("asked", "", "yesno", "Did the keeper ask for it?"),
        Column("key", "", "text", "Names the work for good, for programs that compare two lists"),
        Column("group", "", "text", "Is it overdue, due today, this week or later, or put off?"),
    ),
)

STAND_IN = listing_kind(
    "stand-in",
    "Sheet for a stand-in",
    "One box: what may be done there, and what never",
    (
        Column("place", "place", "text", "Bay, shelf and slot it stands at"),
        Column("box", "box", "text", "Its code", always=True),
        Column("stage", "stage", "text", "What it is for now", always=True),
        Column("do", "do", "text", "What a stand-in may do there"),
        Column("never", "never", "text", "What nobody but the keeper may do there"),
    ),
)


def _count(name: str, meaning: str) -> Column:
    return Column(name, "", "whole", meaning)


def _at_least(name: str, what: str) -> Column:
    return Column(name, "", "yesno", f"May there be more {what} than were counted?")


SEASON = listing_kind(
    "season",
    "Season by line",
    "A stage of a line over the season; what concerns the whole line is repeated",
    (
        Column("line", "", "text", "Name of the line"),
        Column("species", "", "text", "Its Latin name"),
        _count("pairings", "Pairings that were made"),
        _count("searches", "Searches for eggs and larvae"),
        _count("complete_searches", "Searches that went through the whole box"),
        _count("broods", "Broods that were found"),
        _count("undated_broods", "Broods without a sure date"),
        _count("eggs", "Eggs that were counted"),
        _at_least("eggs_at_least", "eggs"),
        _count("larvae", "Larvae that were counted"),
        _at_least("larvae_at_least", "larvae"),
        _count("hatched", "Counted eggs that were seen hatched"),
        _count("hatch_unknown", "Counted eggs of unknown fate"),
        Column("stage", "", "text", "The stage the following counts are of"),
        _count("entered", "Animals that came into the stage"),
        _at_least("entered_at_least", "that came in"),
        _count("dead", "Found dead in it"),
        _count("missing", "Not found again"),
        _count("given_away", "Given away"),
        _count("numbered", "Young that got a number"),
        _count("in_groups", "Young still in a group"),
        _at_least("in_groups_at_least", "in groups"),
        _count("unexplained", "Young of whom nobody knows what became of them"),
        _count("emerged", "Beetles that came up"),
        _count("died", "Beetles that died"),
        _count("died_unknown", "Of those, of unknown cause"),
        _count("day_unsure", "Beetles whose day is not sure to lie in the season"),
    ),
)

BATCH = listing_kind(
    "batch",
    "Substrate batch",
    "An enclosure that got substrate of the batch",
    (
        Column("enclosure", "enclosure", "text", "Its code", always=True),
        Column("stage", "stage", "text", "What it is for now"),
        Column("since", "since", "text", "When it came into this stage, as it was typed"),
        Column("given", "given", "text", "When the substrate was put in, as it was typed"),
        Column("litres", "litres", "number", "How much was put in", unit="litres"),
        Column("holds", "holds", "text", "Animals and groups in it now"),
    ),
)

LOT = listing_kind(
    "lot",
    "Arrival",
    "An animal or group that comes from the arrival",
    (
        Column("who", "who", "text", "Line and number, or the group", always=True),
        Column("species", "species", "text", "Its Latin name"),
        Column("generation", "generation", "whole", "Generations after the arrival"),
        Column("certain", "certain", "yesno", "Is the descent certain?"),
        Column("through", "through", "text", "The parents it comes through"),
        Column("sex", "sex", "text", "Its sex"),
        Column("state", "state", "text", "What became of it"),
        Column("enclosure", "enclosure", "text", "Where it is now"),
        Column("doubt", "doubt", "text", "What was found doubtful about it"),
    ),
)
