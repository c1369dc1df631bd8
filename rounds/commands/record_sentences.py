"""What ``rounds record`` asks, refuses and says beside what it recorded."""

from __future__ import annotations

GIVEN_TWICE = "is given twice."
GIVE_IT_ONCE = "Give it once; several values stand in one, with commas."
NOTHING_RECORDED = "Nothing was recorded."
NO_NAME = "--keeper: this is not a name. Give one line of plain text."


def clock_behind(clock: str, last: str) -> str:
    """Days in words."""
    return (
        f"This machine's clock says {clock}, and the last round in the book was on {last}. Nothing was recorded. "
        "Set the clock, or say the day with --today DATE."
    )


def recorded(act: int) -> str:
    return f"Recorded. To take it back: rounds record undo {act}"


def say_yes(act: str, field: str, asked: str) -> str:
    """``asked`` is what the act is doubtful about, as a sentence."""
    return f"record {act}  {field}: {asked} Nothing was recorded. If it is right, add --sure; if not, correct it."


def no_number(words: str) -> str:
    return f"record undo: `{words}` is not the number of an act. `rounds record history` shows them."


def no_act(number: int) -> str:
    return f"record undo: there is no act {number}. `rounds record history` shows them."


def taken_back(act: int) -> str:
    return f"Act {act} is taken back. To have it again, record it again."
