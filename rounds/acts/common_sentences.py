"""Sentences of acts about many acts: places, days, counts and locks that stand in the way."""

from __future__ import annotations

from rounds.problems import Refusal


def number_taken(line: str, number: str) -> Refusal:
    return Refusal(f"{line}/{number} is in the books already.", "Give another number.")


def before_they_came_on(when: str) -> Refusal:
    return Refusal(f"is before they came there ({when}).", "Give a later day.")


def at_least_none() -> Refusal:
    return Refusal("`at least 0` says nothing.", "Expected 0, or at least 1.")


def before_they_came() -> Refusal:
    return Refusal("is before they came there.", "Give a later day, or undo the earlier act.")


def changes_nothing(what: str) -> Refusal:
    return Refusal(f"says of {what} what is in the books already.", "There is nothing to record.")


def over_already() -> Refusal:
    return Refusal("is over already.", "Give a day to come.")


def subject_missing(act: str, kind: str) -> Refusal:
    return Refusal("is missing.", f"`{act}` is recorded for one {kind}.")


def concerns_the_house(act: str, subject: str) -> Refusal:
    return Refusal(f"`{act}` concerns the house, not `{subject}`.", "Leave it out.")


def other_acts_rest_on_it(act: str) -> Refusal:
    return Refusal(f"rests on `{act}`.", "Undo this one first, newest first.")


def cannot_be_taken_back(what: str) -> Refusal:
    return Refusal(f"cannot be taken back: {what}.", "Mend that first.")
