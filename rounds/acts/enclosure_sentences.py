"""Sentences of acts about enclosures and the rack they stand in."""

from __future__ import annotations

from rounds.problems import Refusal


def stands_there_already(box: str) -> Refusal:
    return Refusal(f"{box} stands there already.", "Give another place.")


def same_enclosure() -> Refusal:
    return Refusal("is the same box.", "Give the other one.")


def in_that_stage_already(box: str, stage: str) -> Refusal:
    return Refusal(f"{box} is in stage {stage} already.", "There is nothing to record.")


def was_in_use(box: str) -> Refusal:
    return Refusal(f"{box} was in use: look for eggs and larvae.", "Record `emptied`.")


def no_such_lock(what: str) -> Refusal:
    return Refusal(f"no lock of this box forbids `{what}`.", "There is nothing to lift.")


def day_over() -> Refusal:
    return Refusal("is a day that is over.", "Give a day to come, or +3.")


def look_again(what: str) -> str:
    return f"look again: {what}"


def no_bay(bay: str) -> Refusal:
    return Refusal(f"`{bay}` is not a bay.", "Give letters only, for example B.")


def shelf_has_slots(bay: str, shelf: int, slots: int) -> Refusal:
    return Refusal(f"{bay}{shelf} has {slots} slots already.", "Give a higher number.")


def code_taken(code: str) -> Refusal:
    return Refusal(f"there is a box `{code}` already.", "Choose another code.")


def number_taken(number: int) -> Refusal:
    return Refusal(f"{number} is taken.", "Leave it out for the next free one.")
