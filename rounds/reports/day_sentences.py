"""What reports of a day say: the summary, due work, the sheet of a stand-in, a season."""

from __future__ import annotations

import math

from rounds.text.plurals import many

# The summary.

NEEDS_ACTION = "Needs action"
TO_CARRY = "To carry next time"
NOT_DONE = "Due and not done"
NOT_SEEN = "Not seen"
NO_LONGER_SEEN = "not seen today: fixed?"


def action(mark: str, place: str, box: str, reason: str, since: str) -> str:
    """``since`` is the day it is open from, where that was before."""
    return f"{mark:<3} {place:<5} {box}  {reason}{f' (first noted {since})' if since else ''}"


def to_do(what: str, *, cause_gone: bool) -> str:
    return f"→ {what}{' Not seen on the last visit: fixed?' if cause_gone else ''}"


def thing(name: str, mix: str) -> str:
    return f"{name}{f' ({mix})' if mix else ''}"


def not_done(box: str, what: str, animal: str, when: str, withheld: str, why: str) -> str:
    """``animal`` and ``withheld`` may be empty."""
    who = f" ({animal})" if animal else ""
    held = f", has to wait: {withheld}" if withheld else ""
    return f"{box}  {what}{who} {when}{held}: {why}"


def unseen(place: str, box: str, stage: str, skipped: str) -> str:
    """``skipped`` is why, where the keeper said so."""
    return f"{place:<5} {box}  {stage}{f' (skipped: {skipped})' if skipped else ''}"


# Due work.


def due_title(first: str, last: str, due: int, groups: tuple[str, ...]) -> str:
    counts = f": {', '.join(groups)}" if groups else ""
    return f"{first}: {due} due, or can begin by {last}{counts}"


def due_group(title: str, works: int) -> str:
    return f"{title[:1].upper()}{title[1:]}: {works}"


def more_later(works: int, last: str, days: int) -> str:
    return f"and {works} more later, the last from {last} on: rounds due --until +{days} lists them"


def due_work(place: str, who: str, what: str, when: str, likely: str, overdue: int) -> str:
    """``likely`` is the likeliest day, where the work has one; ``overdue`` the days since its last."""
    over = f", {many(overdue, 'day')} late" if overdue else ""
    return f"{place:<5} {who}  {what}: {when}{f', likely {likely}' if likely else ''}{over}"


def boxes(codes: str) -> str:
    return f"at {codes}"


def because(why: str) -> str:
    return f"because {why}"


def withheld(why: str) -> str:
    return f"has to wait: {why}"


def put_off(until: str, why: str) -> str:
    return f"put off until {until}: {why}"


# The sheet of a stand-in.

NO_SHEET = "holds no sheet for a stand-in."
PUT_IT_BACK = "Put sheet.yaml back."
FIELD_MISSING = "the field `sheet` is missing."
SAY_WHAT_MAY_BE_DONE = "Say what may be done there and what never."
NO_PLACE = "no place"


def no_stage(stage: str) -> str:
    return f"there is no stage `{stage}`."


def stage_missing(stage: str) -> str:
    return f"stages: `{stage}` is missing."


def sheet_title(house: str, day: str) -> str:
    return f"Sheet for a stand-in, {house}, {day}"


ROOM_TO_WRITE = "_" * 16


def bay(name: str) -> str:
    return f"Bay {name}"


def call_whom(keeper: str) -> str:
    return f"The keeper to call: {keeper}, telephone {'_' * 20}"


def standing_water(day: str) -> str:
    return f"Standing water on {day}."


def leave_shut(keeper: str) -> str:
    return f"Leave it shut until you have called {keeper}."


def give(quarters: float, day: str) -> str:
    return f"{quarters:g} quarter {'cup' if quarters == 1 else 'cups'} of jelly, as on {day}"


def ask_how_much(keeper: str) -> str:
    return f"ask {keeper} how much"


def shelf(name: str) -> str:
    return f"Shelf {name}"


def may_do(name: str, what: str) -> str:
    return f"{name}: {what}."


def never(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


# A season.

COUNTS_ARE_RECORDED = (
    "Counts are what was recorded; what nobody knows is said to be unknown and is not shared out."
)
LOST_BOTH_WAYS = (
    "Lost is of those counted, up to now. At least: only those found dead. At most: with them all who "
    "were not found again and eggs nobody saw hatch. Young in a group count as alive, at the stage they were "
    "last seen at."
)


def season_title(first: str, last: str) -> str:
    return f"Season from {first} to {last}, by line"


def searches(all_of_them: int, complete: int) -> str:
    return f"{all_of_them} ({complete} complete)"


def counted(n: int, *, at_least: bool, at_most: bool) -> str:
    """A count that may be too low, too high, or either."""
    if at_least and at_most:
        return "not known"
    return f"{'at least ' if at_least else ''}{'at most ' if at_most else ''}{n}"


def perhaps_more(n: int) -> str:
    return f"up to {n}" if n else ""


def lost_share(lost: int, of: int, low: float, high: float) -> str:
    """``3 of 40 (8%)``, or bounds where some fates are unknown; ``low`` and ``high`` are shares from 0 to 1."""
    if low == high:
        return f"{lost} of {of} ({100 * high:.0f}%)"
    least, most = math.floor(100 * low), math.ceil(100 * high)
    if least == 0 and most >= 100:
        return "not known"
    return f"{f'at least {least}%, ' if least else ''}at most {most}%"


def lost_of_none(lost: int) -> str:
    return f"{lost} of none counted"
