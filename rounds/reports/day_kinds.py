"""Reports of the day and the season: the summary, due work, a stand-in's sheet, a season's end, batches, arrivals."""

from __future__ import annotations

from rounds.reports.report import ReportTable, kind, listing_kind
from rounds.reports.report_columns import ReportColumn

DAY = ReportColumn("day", "", "day", "The round day of the summary", always=True)
PLACE = ReportColumn("place", "place", "text", "Bay, shelf and slot the box stands at")
ENCLOSURE = ReportColumn("enclosure", "enclosure", "text", "Its code")

ACTION = ReportTable(
    "action",
    (
        DAY,
        ReportColumn("", "harm"),
        PLACE,
        ENCLOSURE,
        ReportColumn("number", "", "whole", "Its short number"),
        ReportColumn("stage", "", "text", "What it is for now"),
        ReportColumn("level", "", "text", "How soon harm is done", words=("now", "today", "look")),
        ReportColumn("rule", "", "text", "Id of the rule that raised it"),
        ReportColumn("reason", "why", "text", "What is wrong"),
        ReportColumn("", "do"),
        ReportColumn("todo", "", "text", "What to do"),
        ReportColumn(
            "withheld", "", "text", "Why it has to wait: a lock, or larvae that may be in their cells"
        ),
        ReportColumn("since", "since", "day", "The day it was raised"),
        ReportColumn("cause_gone", "", "yesno", "Was the cause no longer seen at the last look?"),
        ReportColumn("", "cause"),
    ),
    "A box that needs something done",
)
CARRY = ReportTable(
    "carry",
    (
        DAY,
        ReportColumn("what", "", "text", "What to bring to the rack", always=True),
        ReportColumn("", "what"),
        ReportColumn("", "amount"),
        ReportColumn("amount", "", "number", "How much of it, where one figure says it all"),
        ReportColumn("least", "", "number", "The least that is needed"),
        ReportColumn("most", "", "number", "The most that is needed; null when nobody knows"),
        ReportColumn("for", "", "text", "Codes of the boxes it is for", many=True),
        ReportColumn("", "for"),
        ReportColumn(
            "unknown_for", "", "text", "Codes of boxes that need an unknown amount on top", many=True
        ),
        ReportColumn("", "not known for"),
        ReportColumn("mix", "", "text", "What substrate is made of"),
        ReportColumn("rests_on", "", "text", "What the amounts rest on", many=True),
    ),
    "Something to carry to the rack next time",
)
DUE_OF_DAY = ReportTable(
    "due",
    (
        DAY,
        ReportColumn("", "place"),
        ENCLOSURE,
        ReportColumn("animal", "animal", "text", "Line and number of the animal it concerns"),
        ReportColumn("what", "what", "text", "What is due", always=True),
        ReportColumn("", "when"),
        ReportColumn("", "why"),
        ReportColumn(
            "withheld", "withheld", "text", "Why it has to wait: a lock, or larvae that may be in their cells"
        ),
        ReportColumn("earliest", "", "day", "First day of its window"),
        ReportColumn("likely", "", "day", "The most likely day"),
        ReportColumn("latest", "", "day", "Last day of its window"),
        ReportColumn("why", "", "text", "What the window follows from"),
    ),
    "Work that is due and was not done",
)
UNSEEN = ReportTable(
    "unseen",
    (
        DAY,
        ReportColumn("", "place"),
        ENCLOSURE,
        ReportColumn("", "stage"),
        ReportColumn("skipped", "", "text", "Id of the reason it was skipped for"),
        ReportColumn("", "skipped"),
    ),
    "A box that was not seen on the day",
)
SUMMARY = kind(
    "summary",
    "Summary of the day",
    "What a round day left to do, what to carry and what was not seen",
    ACTION,
    CARRY,
    DUE_OF_DAY,
    UNSEEN,
    csv="action",
)

DUE = listing_kind(
    "due",
    "Due work",
    "One piece of work that is due, by day and shelf",
    (
        ReportColumn("day", "day", "day", "The day it is planned for"),
        PLACE,
        ENCLOSURE,
        ReportColumn("animal", "animal", "text", "Line and number of the animal it concerns"),
        ReportColumn("what", "what", "text", "What is due", always=True),
        ReportColumn("", "when"),
        ReportColumn("kind", "", "text", "Id of the kind of work", always=True),
        ReportColumn("earliest", "", "day", "First day of its window; null is an open end"),
        ReportColumn("likely", "", "day", "The most likely day"),
        ReportColumn("latest", "", "day", "Last day of its window; null is an open end"),
        ReportColumn("overdue", "overdue", "yesno", "Has its window passed?", always=True),
        ReportColumn("why", "why", "text", "What the window follows from"),
        ReportColumn(
            "withheld", "withheld", "text", "Why it has to wait: a lock, or larvae that may be in their cells"
        ),
        ReportColumn("put_off_until", "put off until", "day", "The day it was put off to"),
        ReportColumn("put_off_why", "", "text", "Why it was put off"),
        ReportColumn("asked", "", "yesno", "Did the keeper ask for it?"),
        ReportColumn("key", "", "text", "Names the work for good, for programs that compare two lists"),
        ReportColumn("group", "", "text", "Is it overdue, due today, this week or later, or put off?"),
    ),
)

STAND_IN = listing_kind(
    "stand-in",
    "Sheet for a stand-in",
    "One box: what may be done there, and what never",
    (
        ReportColumn("place", "place", "text", "Bay, shelf and slot it stands at"),
        ReportColumn("box", "box", "text", "Its code", always=True),
        ReportColumn("stage", "stage", "text", "What it is for now", always=True),
        ReportColumn(
            "call", "call for", "text", "What is open there and cannot wait; the keeper is to be called"
        ),
        ReportColumn("do", "do", "text", "What a stand-in may do there"),
        ReportColumn("give", "give", "text", "What to give, as it was given last"),
        ReportColumn("never", "never", "text", "What nobody but the keeper may do there"),
        ReportColumn("", "seen and given"),
    ),
)


def _count(name: str, meaning: str) -> ReportColumn:
    return ReportColumn(name, "", "whole", meaning)


def _at_most(name: str, what: str) -> ReportColumn:
    return ReportColumn(name, "", "yesno", f"May there be fewer {what} than it says?")


def _share(name: str, meaning: str) -> ReportColumn:
    return ReportColumn(name, "", "number", meaning)


def _at_least(name: str, what: str) -> ReportColumn:
    return ReportColumn(name, "", "yesno", f"May there be more {what} than were counted?")


SEASON = listing_kind(
    "season",
    "Season by line",
    "A stage of a line over the season; what concerns the whole line is repeated",
    (
        ReportColumn("line", "", "text", "Name of the line"),
        ReportColumn("species", "", "text", "Its Latin name"),
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
        _at_least("hatched_at_least", "hatched"),
        _count("hatch_unknown", "Counted eggs of unknown fate"),
        _at_least("hatch_unknown_at_least", "of unknown fate"),
        _at_most("hatch_unknown_at_most", "of unknown fate"),
        ReportColumn("stage", "", "text", "The stage the following counts are of"),
        _count("entered", "Animals that came into the stage"),
        _at_least("entered_at_least", "that came in"),
        _count("perhaps_entered", "More of whom nobody knows whether they came into it"),
        _count("dead", "Found dead in it"),
        _count("missing", "Not found again"),
        _count("given_away", "Given away"),
        _share(
            "lost_at_least",
            "The smallest share that may have been lost of those counted that came in, 0 to 1",
        ),
        _share(
            "lost_at_most", "The largest share that may have been lost of those counted that came in, 0 to 1"
        ),
        _count("numbered", "Young that got a number"),
        _count("in_groups", "Young still in a group"),
        _at_least("in_groups_at_least", "in groups"),
        _count("unexplained", "Young of whom nobody knows what became of them"),
        _at_most("unexplained_at_most", "unexplained"),
        _count("emerged", "Beetles that came up"),
        _count("died", "Beetles that died"),
        _count("died_unknown", "Of those, of unknown cause"),
        _count("day_unsure", "Beetles whose day is not sure to lie in the season"),
    ),
)

BATCH = listing_kind(
    "batch",
    "Substrate batch",
    "A box that got substrate of the batch",
    (
        ReportColumn("enclosure", "enclosure", "text", "Its code", always=True),
        ReportColumn("stage", "stage", "text", "What it is for now"),
        ReportColumn("since", "since", "text", "When it came into this stage, as it was typed"),
        ReportColumn("given", "given", "text", "When the substrate was put in, as it was typed"),
        ReportColumn("litres", "litres", "number", "How much was put in", unit="litres"),
        ReportColumn("holds", "holds", "text", "Animals and groups in it now"),
    ),
)

LOT = listing_kind(
    "lot",
    "Arrival",
    "An animal or group that comes from the arrival",
    (
        ReportColumn("who", "who", "text", "Line and number, or the group", always=True),
        ReportColumn("species", "species", "text", "Its Latin name"),
        ReportColumn("generation", "generation", "whole", "Generations after the arrival"),
        ReportColumn("certain", "certain", "yesno", "Is the descent certain?"),
        ReportColumn("through", "through", "text", "The parents it comes through"),
        ReportColumn("sex", "sex", "text", "Its sex"),
        ReportColumn("state", "state", "text", "What became of it"),
        ReportColumn("enclosure", "enclosure", "text", "Where it is now"),
        ReportColumn("doubt", "doubt", "text", "What was found doubtful about it"),
    ),
)
