"""What the walk says that no single mode of it says: of its writer, its acts and its work beside the keys."""

from __future__ import annotations

GONE = "no longer in the books"
GONE_HINT = "It was taken back meanwhile; go back a page."
NOT_IN_TIME = "it could not be written in time"
THE_KEEPER = "the keeper"
WORKING = "working …"


def stands_in(keeper: str) -> str:
    return f"You stand in: look, feed what the sheet says, write notes. For anything else call {keeper}."


def rescued(reason: str, file: str) -> str:
    return (
        f"NOT everything is in the book ({reason}). What was not saved is kept in {file}; "
        "the next start puts it into the book."
    )


def due_work_failed(error: str) -> str:
    return f"could not be worked out ({error}); what the book holds is shown."


def not_worked_out(error: str) -> str:
    return f"could not be worked out ({error})"


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
    return f"{box}: the books do not say for certain which stage it was in on that day."


def joined(seen: int, of: int) -> str:
    return f"joined your round of today, {seen} of {of} visited: one round, one visit a box"
