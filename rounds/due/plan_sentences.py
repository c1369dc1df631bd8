"""Sentences about planned pairings, and what stands in their way."""

from __future__ import annotations

from rounds.text.reading_text import reading_text


def made(pairing: str) -> str:
    return f"made: {pairing}"


def planned(animals: str, plan: str, box: str, why: str) -> str:
    into = f" into {box}" if box else ""
    return f"{animals} ({plan}){into}{f'; {why}' if why else ''}"


def is_dead(animal: str) -> str:
    return f"{animal} is dead"


def has_left_the_house(animal: str) -> str:
    return f"{animal} has left the house"


def is_missing(animal: str) -> str:
    return f"{animal} is missing"


def may_be_another(animal: str, why: str) -> str:
    return f"{animal} may be another animal ({why})"


def f_is_another(
    was_low: float, was_usual: float, was_high: float, low: float, usual: float, high: float
) -> str:
    was, now = reading_text(was_low, was_usual, was_high), reading_text(low, usual, high)
    return f"F was {was}, is now {now}"


def to_confirm(reason: str) -> str:
    return f"{reason}: confirm the plan, or give it up"


def f_of_now(low: float, usual: float, high: float) -> str:
    return f"F {reading_text(low, usual, high)}"


def meant_all_the_same(why: str) -> str:
    return f"confirmed although its label is in doubt: {why}"


def box_in_stage(box: str, stage: str) -> str:
    return f"{box} is in stage {stage}"


def is_lent(animal: str, keeper: str) -> str:
    return f"{animal} is lent to {keeper}" if keeper else f"{animal} is lent out"


def is_in_no_enclosure(animal: str) -> str:
    return f"{animal} is in no box"


def is_a_male_by_now(animal: str) -> str:
    return f"{animal} is a male by now"


def is_a_female_by_now(animal: str) -> str:
    return f"{animal} is a female by now"


def in_quarantine_until(animal: str, day: str) -> str:
    return f"{animal} is in quarantine until {day}"


def in_quarantine(animal: str) -> str:
    return f"{animal} is in quarantine"


def in_a_pairing(animal: str, pairing: str) -> str:
    return f"{animal} is in {pairing} now"


def locked(name: str, lock: str) -> str:
    return f"{name} is locked, {lock}"
