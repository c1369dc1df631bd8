"""Sentences that several modules of acts share: places, days, counts and locks that stand in the way."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.problems import Refusal, Unsaid


def is_that_right(doubts: Iterable[str]) -> str:
    """A doubt that ends with its own question, and stands last, is asked as it is."""
    said = " ".join(doubts)
    return said if said.endswith("?") else f"{said} Is that right?"


def counts(males: int, females: int, unsexed: int, high: int | None, words: str, *, at_least: bool) -> str:
    """``at least 0.0.12`` (males.females.unsexed); of a rough count ``ca. 20 (0.0.18-22)``."""
    if high is not None:
        span = f"{males}.{females}.{unsexed}-{high}"
        return f"{words} ({span})" if words else span
    return f"{'at least ' if at_least else ''}{males}.{females}.{unsexed}"


def and_is_this_right(question: str, doubts: Iterable[str]) -> str:
    return f"{question} And: {' '.join(doubts)}"


def reason_until(reason: str, until: str) -> str:
    return f"{reason} through {until}" if until else reason


def was_it_all_the_same(box: str, done: str, reasons: Iterable[str]) -> str:
    return f"{box} must not be {done}: {'; '.join(reasons)}. Was it, all the same?"


def is_locked(box: str, deed: str, until: str, reason: str) -> str:
    end = f" through {until}" if until else ""
    return f"{box} is locked, do not {deed}{end}: {reason}."


def stage_forbids(box: str, stage: str, deed: str, reason: str) -> str:
    return f"{box} is in stage {stage}, do not {deed}: {reason}."


def would_be_wrong(fault: str, hint: str) -> Refusal:
    return Refusal(f"{fault}.", hint)


def changes_nothing(what: str) -> Refusal:
    return Refusal(f"says of {what} what is in the book already.", "There is nothing to record.")


def number_taken(line: str, number: str) -> Refusal:
    return Refusal(f"{line}/{number} is in the book already.", "Give another number.")


def before_they_came_on(when: str) -> Refusal:
    return Refusal(f"is before they came there ({when}).", "Give a later day.")


def at_least_none() -> Refusal:
    return Refusal("`at least 0` says nothing.", "Give 0, or at least 1.")


def before_they_came() -> Refusal:
    return Refusal("is before they came there.", "Give a later day, or undo the earlier act.")


def is_dead(animal: str) -> Refusal:
    return Refusal(f"{animal} is dead.", "Undo that act first if it was wrong.")


def has_left_the_house(animal: str) -> Refusal:
    return Refusal(f"{animal} has left the house.", "Undo that act first if it was wrong.")


def over_already() -> Refusal:
    return Refusal("is over already.", "Give a day to come.")


def no_such_act(act: str, near: str) -> Refusal:
    return Refusal(f"there is no act `{act}`.", near or "`rounds record` lists them all.")


def act_comes_first(act: str, which: str) -> Refusal:
    return Refusal("the act comes first.", f"Type: rounds record {act} {which}")


def subject_missing(act: str, kind: str) -> Refusal:
    return Unsaid("is needed.", f"`{act}` is recorded for one {kind}.")


def concerns_the_house(act: str, subject: str) -> Refusal:
    return Refusal(f"`{act}` concerns the house, not `{subject}`.", "Leave it out.")


def other_acts_rest_on_it(act: str) -> Refusal:
    return Refusal(f"rests on `{act}`.", "Undo this one first, newest first.")


def cannot_be_taken_back(what: str) -> Refusal:
    return Refusal(f"cannot be taken back: {what}.", "Correct that first.")


def days(fewest: int, most: int) -> str:
    return f"{fewest} days" if fewest == most else f"{fewest} to {most} days"


def days_after(what: str, days: str, source: str) -> str:
    return f"{what}; {days} after that ({source.removesuffix(', no source')})"
