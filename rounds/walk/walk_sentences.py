"""What the walk says that no single mode of it says: of its writer, its acts and its work beside the keys."""

from __future__ import annotations

GONE = "no longer in the books"
GONE_HINT = "It was taken back meanwhile; go back a page."
NOT_IN_TIME = "it could not be written in time"
WORKING = "working …"
WHICH_WORK = "which work"
WHICH_STEP = "which step was done"
WHICH_CHECKLIST = "of which checklist; its next step"


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


def with_caution(said: str, caution: str) -> str:
    return f"{said}. {caution}"


def only_a_reading(reading: str, why: str) -> str:
    return f"{reading}: noted, but not recorded as an act: {why}"


def not_recorded(why: str) -> str:
    return f"NOT recorded: {why}"


def stage_not_certain(box: str) -> str:
    return f"{box}: the books do not say for certain which stage it was in on that day."


def joined(seen: int, of: int) -> str:
    return f"joined your round of today, {seen} of {of} visited: one round, one visit a box"
