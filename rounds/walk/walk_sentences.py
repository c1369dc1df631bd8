"""What the walk says that no single mode of it says: of its writer, its acts and its work beside the keys."""

from __future__ import annotations

GONE = "no longer in the book"
GONE_HINT = "It was taken back meanwhile; go back a page."
NOT_IN_TIME = "it could not be written in time"
THE_KEEPER = "the keeper"
WORKING = "working …"
TO_SAY_TITLES = {
    "who-died": "who died",
    "who-is-missing": "who is missing",
    "which-pair": "which pair",
    "seen": "last seen alive",
}
"""What a look left to be said, as rows of the walk."""
TO_SAY_ABOUT = {
    "who-died": "Which of them was found dead; left unanswered it stays due here.",
    "who-is-missing": "Which of them was not found; left unanswered it stays due here.",
    "which-pair": "Which pair was seen mating; left unanswered it stays due here.",
    "seen": "The last day on which it was seen alive; left unanswered it is not known.",
}
STEPS_OF_RULES = {
    "next-search-earlier": "bring the next search forward",
    "look-tomorrow": "look again tomorrow",
    "look-in-three-days": "look again in 3 days",
    "longer-quarantine": "lengthen the quarantine",
    "change-substrate": "record: substrate changed",
    "change-two-thirds": "record: two thirds of substrate changed",
    "tub-each": "give each a tub",
}
"""What the steps are called that a rule's instruction may offer."""


def day_in_doubt(day: str, last: str) -> str:
    """Where nobody can be asked."""
    return (
        f"This machine's clock says {day}, and the last round in the book was on {last}. Set the clock, or say"
        " which day it is: rounds --today DATE walk."
    )


def stands_in(keeper: str, call_key: str) -> str:
    return (
        f"You stand in: look, feed what the sheet says, write notes. For anything else call {keeper}; "
        f"{call_key} leaves word."
    )


def calls_for_help(stand_in: str, keeper: str) -> str:
    return f"{stand_in} calls for {keeper}"


def look_and_read_the_note(box: str) -> str:
    return f"Look at {box}; the note says why."


def called_to(boxes: tuple[str, ...]) -> str:
    where = boxes[0] if len(boxes) == 1 else f"{', '.join(boxes[:-1])} and {boxes[-1]}"
    return f"A stand-in calls for you at {where}."


def rescued(reason: str, file: str) -> str:
    return (
        f"NOT everything is in the book ({reason}). What was not saved is kept in {file}; "
        "the next start puts it into the book."
    )


def due_work_failed(error: str) -> str:
    return f"could not be worked out: {error.removesuffix('.')}. What the book holds is shown."


def not_worked_out(error: str) -> str:
    return f"could not be worked out: {error}"


def other_acts_rest_on_it(acts: tuple[str, ...]) -> str:
    return f"other acts rest on it; take back first: {', '.join(acts)}"


def and_the_law(said: str, law: str) -> str:
    return f"{said}. {law}"


def wrong_answer(label: str, message: str, hint: str) -> str:
    return f"{label}: {message}{f' {hint}' if hint else ''}"


def older_act(day: str, for_day: str, title: str, whom: str) -> str:
    """``day`` is when it was recorded, ``for_day`` the other day on which it happened ("" for the same)."""
    when = f"{day}, for {for_day}" if for_day else day
    return f"{when}: {title}{f' ({whom})' if whom else ''}"


def only_a_reading(reading: str, why: str) -> str:
    return f"{reading}: noted, but not recorded as an act: {why}"


def not_recorded(why: str) -> str:
    return f"NOT recorded: {why}"


def stage_not_certain(box: str) -> str:
    return f"{box}: the book does not say for certain which stage it was in on that day."


def joined(seen: int, of: int) -> str:
    return f"joined your round of today, {seen} of {of} visited: one round, one visit a box"
