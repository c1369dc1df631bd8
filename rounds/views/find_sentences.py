"""What is said when things are looked for by their words, and of corrections."""

from __future__ import annotations

HINT = (
    "Type a part of a box's code, number or place, of an animal, a line, a pairing, a brood, an arrival or a batch,"
    " or words of a note. Several words may come in any order. Two animals together list their pairing and every mating seen."
)
ABOUT_FIND = (
    "Whatever holds all the words typed: names first, the best matches on top; then acts that were recorded; then notes"
    " of visits, the newest first. Case and accents do not matter, and UMBER/3 is the same as umber 3."
)
FIND = "find"
OTHER_PAGES = "other pages"
NAMES = "names"
ACTS = "acts"
VISIT_NOTES = "notes of visits"
ACTS_AND_NOTES = "acts, and notes of visits"
NOTHING_FOUND = "nothing found"
FEWER_WORDS = "nothing holds every word; try fewer"
TWO_LETTERS = "from two letters on"
NO_NAME = "no name with all of this in it"
STILL_LOOKING = "still looking"
NO_ACT = "no act"
LOOKING_FOR = "acts and notes"
THROUGH_ACTS = "looking through the acts"
THROUGH_NOTES = "looking through the notes"


def first_names(number: int) -> str:
    return f"the first {number}; another letter narrows it"


def about_and_note(about: str, note: str) -> str:
    return f"{about}; {note}" if note and about else about or note


def act(who: str, pairing: str, told: str, keeper: str, *, undone: bool) -> str:
    pair = f" ({pairing})" if pairing else ""
    back = "taken back: " if undone else ""
    by = f", by {keeper}" if keeper else ""
    return f"{back}{who}{pair}{': ' if told else ''}{told}{by}"


# What has a name.


def box(number: int, place: str, stage: str, contents: tuple[str, ...], more: int) -> str:
    """``more``: how many are in it besides ``contents``."""
    rest = f", {more} more" if more else ""
    return ", ".join([f"no. {number} at {place or 'no place'}", stage, *contents]) + rest


NOT_SEXED = "not sexed"
DAY_NOT_RECORDED = "on a day not recorded"
BEGUN_NOT_RECORDED = "begun on a day not recorded"
SOME_DAY = "a day not recorded"


def animal(sex: str, state: str, mark: str) -> str:
    return f"{sex}, {state}{f', mark {mark}' if mark else ''}"


def in_box(code: str) -> str:
    return f"in {code}"


def promised(to: str) -> str:
    return f"promised: {to}"


def owned_by(owner: str) -> str:
    return f"of {owner}"


def pairing(pair: str, matings: int, since: str, until: str) -> str:
    seen = f"{matings} mating{'s' * (matings != 1)} seen" if matings else "no mating seen"
    return f"{pair}, {seen}, {since}{f' to {until}' if until else ''}"


def mating(when: str, male: str, name: str) -> str:
    """``name``: of the pairing."""
    return f"seen {when}{f' by {male}' if male else ''}, {name}"


def brood(counted: str, found: str, of: str) -> str:
    return f"{counted}, found {found}{', of ' if of else ''}{of}"


def arrival(arrived: str, species: str) -> str:
    return f"arrived {arrived}, {species}"


def batch(made: str, recipe: str, boxes: str) -> str:
    return f"substrate of {made}: {recipe}{'; in ' if boxes else ''}{boxes}"


def plan(pair: str, state: str) -> str:
    return f"{pair}, {state}"


GIVEN_UP = "given up"
MADE = "made"
OPEN = "open"
DONE = ", done"


def known_as_pair(name: str, pair: str) -> str:
    return f"{name}: {pair}"


def known_as_number(name: str, number: str) -> str:
    return f"{name}, no. {number}"


# Corrections.
ABOUT_CORRECTIONS = (
    "Readings, notes and skips that were corrected or taken back, the newest first. The old value is never lost. A note"
    " that was only typed on is not listed. Below them: who turned out to be who, that is, parents and labels"
    " corrected. Other acts that were taken back are under `rounds record history`."
)
LABELS_IN_DOUBT = "labels that may have been mixed up: record says yes or no"
WHO_IS_WHO = "parents and labels corrected later"
HOW_TO_CORRECT = {
    "parents": "at the animal's box, record: parents found out; of a brood, at its page",
    "labels": "at one of the boxes, record: labels may have been mixed up; then, here, whether they were",
}
"""How it is told that somebody is another's, or another, than was recorded."""


def from_to(first: str, last: str) -> str:
    return f"{first} to {last}"


def taken_back(said: str) -> str:
    return f"{said} (taken back)"


NO_CORRECTIONS = "Nothing has been corrected. On the walk, correct opens one of the last three visits, and undo takes back."
CORRECTIONS = "corrections"
NOTHING_STOOD = "nothing"
SEEN = "seen"
NOTE = "note"
SKIPPED = "skipped"
AS_EXPECTED = "as usual"


def newest(number: int) -> str:
    return f"the newest {number}"


def was_is(was: str, is_: str) -> str:
    return f"{was} → {is_}"


def who_and_why(keeper: str, why: str) -> str:
    return f"{keeper}: {why}" if why else keeper
