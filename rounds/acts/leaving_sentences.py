"""Sentences of acts about animals that died, left, were lent or are missing."""

from __future__ import annotations

from rounds.problems import Refusal

DIED_HERE = "it died here"


def was_in_no_enclosure(animal: str) -> Refusal:
    return Refusal(f"{animal} was in no box.", "Leave it out.")


def seen_later(when: str) -> Refusal:
    return Refusal(f"is after that ({when}).", "Give that day or an earlier one.")


def died(animal: str) -> str:
    return f"{animal} is dead"


def belongs_to_another_house(animal: str, owner: str) -> Refusal:
    return Refusal(f"{animal} belongs to {owner}.", "Record `went-back` instead.")


def is_with(animal: str, keeper: str) -> str:
    return f"{animal} is with {keeper}"


def missing_already(animal: str) -> Refusal:
    return Refusal(f"{animal} is missing already.", "Record `found` when it turns up.")


def not_missing(animal: str) -> Refusal:
    return Refusal(f"{animal} is not missing.", "Record `move` if it was moved.")


def before_it_left(day: str) -> Refusal:
    return Refusal(f"is before it left its box ({day}).", "Give that day or a later one.")


def is_missing(animal: str) -> Refusal:
    return Refusal(f"{animal} is missing.", "Record `found` first.")


def lend_it_on(animal: str, owner: str) -> str:
    return f"{animal} belongs to {owner}. Lend it on?"


def is_lent_to(animal: str, keeper: str) -> str:
    return f"{animal} is lent to {keeper}"


def not_lent_out(animal: str) -> Refusal:
    return Refusal(f"{animal} is not lent out.", "Check which animal you mean.")


def not_on_loan_here(animal: str) -> Refusal:
    return Refusal(f"{animal} is not here on loan.", "Check which animal you mean.")


def before_the_loan(when: str) -> Refusal:
    return Refusal(f"is before the loan began ({when}).", "Give that day or a later one.")


def went_back(animal: str) -> str:
    return f"{animal} went back to its owner"
