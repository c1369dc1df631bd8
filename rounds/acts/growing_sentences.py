"""Sentences of acts about the steps from larva to adult."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.problems import Refusal, Unsaid


def step_before(step: str, other: str, when: str) -> Refusal:
    return Refusal(f"{step} would come before {other} ({when}).", "Give that day or later.")


def step_after(step: str, other: str, when: str) -> Refusal:
    return Refusal(f"{step} would come after {other} ({when}).", "Give that day or earlier.")


def day_known_already(animal: str) -> Refusal:
    return Refusal(f"{animal} is in the book with that day already.", "There is nothing to record.")


def another_day_known(animal: str, known: str, step: str, when: str) -> str:
    return f"{animal} has {known} for {step} in the book. Is it {when}?"


def has_a_number() -> Refusal:
    return Refusal("has a number, so it is not one of a group.", "Leave the count and the group out.")


def animal_not_there(animal: str, box: str) -> Refusal:
    return Refusal(f"{animal} is not in {box}.", "Check which one, or move it first.")


def which_animal(box: str, animals: Iterable[str]) -> Refusal:
    return Unsaid("is needed: several live there.", f"{box} holds: {', '.join(animals)}.")


def eggs_do_not_wander() -> Refusal:
    return Refusal("eggs do not wander or build cells.", "Name larvae, or check which group you mean.")


def too_young_to_wander(instar: str) -> str:
    return (
        f"They were {instar} when last recorded, not three weeks ago, and only an L3 wanders. Is that right?"
    )


def where_it_was() -> Refusal:
    return Refusal("is where it was.", "Leave it out, or give another box.")


def not_free(box: str) -> Refusal:
    return Refusal(f"{box} is in use.", "Give a box that is empty or prepared.")


def until_without_a_lock() -> Refusal:
    return Refusal("is only for a lock.", "Leave it out, or lock the box (then=lock).")


def nothing_for_a_group() -> Refusal:
    return Refusal("nothing would be recorded for a group.", "Say stage or lock, or where it went.")


def whole_enclosure_into_stage(box: str, there: str, stage: str) -> str:
    return f"{box} holds {there}. Put all of it into stage {stage}?"


def in_stage_cell_already(box: str) -> Refusal:
    return Refusal(f"{box} is in stage cell already.", "There is nothing to record.")


def in_no_enclosure(animal: str) -> Refusal:
    return Refusal(f"{animal} is in no box.", "Leave it out.")


def no_stage_for_an_animal(stage: str) -> Refusal:
    return Refusal(f"cannot be {stage} with an animal inside.", "Say resting or holding.")


def others_in_that_stage_too(box: str, stage: str) -> str:
    return f"{box} holds others too. Is all of it {stage} now?"
