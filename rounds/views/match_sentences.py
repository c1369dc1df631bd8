"""What the pages of whom to pair, and of one pair looked at closely, say."""

from __future__ import annotations

from rounds.text.reading_text import range_column, reading_explained, reading_text, short

ABOUT_PAIRS = (
    "Every pair that can be made now, of animals that are grown, awake and free, the lowest F of their offspring first"
    " (by what it is at most, so that parents not recorded are never a reward). F: from taking parents not recorded as unrelated"
    " to taking them as full sibs of their line's founders, the usual reading. At most: they may be any animal of that line, mature"
    " and alive then. What concerns many pairs is said once, above them. Opening a row looks closer at the pair. Recording on a row plans it: nobody"
    " moves, and from then on the round offers it at her box. `rounds pairings` reckons the best plan for all of them together."
)
NOBODY = (
    "No pair can be made: it takes a grown male and a grown female of one species that are awake and free."
)
MIND = "mind"
WHOM_TO_PAIR = "whom to pair"
PAIRS = "pairs"
PLANNED = "planned"
CAN_BE_MADE = "pairs that can be made"
NOT_OFFERED = "not now"
ALL_OFFERED = "every grown animal is in a pair that can be made"
NO_LAST_DAY = "no last day"
NOWHERE = "nowhere"

ABOUT_PAIR = (
    "One pair that can be made. F is the chance that both copies of a gene in their offspring come from one copy in a common"
    " ancestor: 0.25 for full sibs without older inbreeding. The ancestors of both are marked *. Recording on the first row"
    " plans the pair: nobody moves, and from then on the round offers it at her box."
)
CLOSED = "This pair cannot be made any more, or never could; the page of whom to pair says who can be paired, and why the others cannot now."
CHOOSE = "choose"
WHY = "why, and what to mind"
OTHERS_FOR_HER = "others for her"
OTHERS_FOR_HIM = "others for him"
ANCESTORS = "ancestors of both"
LOW_F_FROM = "where the low F comes from"
USUAL_F_FROM = "where the F of the usual reading comes from"
NO_OTHER_MALE = "no other male"
NO_OTHER_FEMALE = "no other female"
NO_COMMON_ANCESTOR = "no common ancestor is recorded"
NO_SINGLE_ANCESTOR = "nothing, or an outer bound that no single ancestor adds up to"
PLAN_HERE = "recording here plans this pair; nobody moves until it is made"
IN_NO_ENCLOSURE = "she is in no box: nothing can be planned"
GO_TO_ENCLOSURE = "go to the box"
NEITHER_IN_ENCLOSURE = "neither of them is in a box"
AWAKE_NOT_KNOWN = "cannot tell how long both are awake"


def pair(one: str, other: str) -> str:
    return f"{one} × {other}"


def planned(plan: str, where: str) -> str:
    return f"{plan}, {where}; nobody moves until it is made there"


def offered_at(box: str) -> str:
    return f"offered at {box}"


def f_range(low: float, usual: float) -> str:
    """Low to the usual reading; what is at most stands in the column beside it."""
    return range_column(low, usual)


def f_at_most(high: float) -> str:
    return short(high)


def f_in_words(low: float, usual: float, high: float) -> str:
    return reading_text(low, usual, high)


def f_explained(low: float, usual: float, high: float, *, exact: bool) -> str:
    return reading_explained(low, usual, high, exact=exact)


def next_best(whose: str, animal: str, f: str, more: float, *, taken: bool) -> str:
    """``whose``: her or his; ``more``: what the pair would cost more."""
    elsewhere = ", who is used elsewhere" if taken else ""
    return f"{whose} next best: {animal}{elsewhere}: F {f}, cost {more:+.4f}"


PARENTS_NOT_RECORDED = "parents not recorded, "
THE_GROUP = "the group "
SAID_RELATED = "said to be related: "


def generations_up(hers: int, his: int) -> str:
    return f"{hers} and {his} up"
