"""What the screen says at the end of the walk: what needs action, what was not seen, what to carry."""

from __future__ import annotations

TO_CARRY = " to carry next time"
NOTHING_TO_CARRY = " to carry next time: nothing"
DUE_AND_NOT_DONE = " due and not done"


def empty_boxes(boxes: tuple[str, ...]) -> str:
    return f" {len(boxes)} empty, not asked: {', '.join(boxes)}"


def above(number: int) -> str:
    return f"   {number} more above"


def below(number: int) -> str:
    return f"   {number} more below"


def skipped(reason: str) -> str:
    return f"skipped: {reason}"


def stage_and_why(stage: str, why: str) -> str:
    """``why`` it was not seen, where the keeper said so."""
    return f"    {stage}{f', {why}' if why else ''}"


def due_at(box: str, work: str) -> str:
    return f"{box}: {work}"


def due_and_not_done(number: int) -> str:
    return f" due and not done: {number}"


def amount_not_known(what: str) -> str:
    return f"{what} (how much is not known)"


def amount(number: str, what: str, *, litres: bool) -> str:
    return f"{number} {'l of ' if litres else ''}{what}"


def to_carry(what: str) -> str:
    return f" to carry: {what}"
