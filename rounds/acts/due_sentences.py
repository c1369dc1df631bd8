"""Sentences of acts about due work that is ticked off or put off."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.problems import Refusal, Unsaid


def nothing_due(box: str) -> Refusal:
    return Refusal(f"nothing is due at {box}.", "There is nothing to record.")


def which_work(names: Iterable[str]) -> Refusal:
    return Unsaid("is needed.", f"Due there: {'; '.join(names)}.")


def due_more_than_once(work: str, names: Iterable[str]) -> Refusal:
    return Refusal(f"`{work}` is due more than once there.", f"Say which: {'; '.join(names)}.")


def not_due_there(work: str, box: str, near: str, names: Iterable[str]) -> Refusal:
    return Refusal(f"`{work}` is not due at {box}.", f"{near} Due there: {'; '.join(names)}.".strip())


def only_ticked_off(work: str, acts: Iterable[str]) -> str:
    own = " or ".join(f"`{act}`" for act in acts)
    return f"This only ticks `{work}` off: nobody is moved and nothing else is recorded. To record all of it: {own}."


def waits(why: str) -> str:
    return f"has to wait: {why}"


def withheld(why: str) -> str:
    return f"It has to wait: {why}."


def before_it_was_due(day: str, window: str) -> str:
    return f"{day} is before it was due ({window})."


def before_what_it_follows_from(day: str, window: str, why: str) -> Refusal:
    return Refusal(f"{day} is before what this follows from.", f"It is due {window}: {why}.")


def not_to_come(day: str) -> Refusal:
    return Refusal(f"{day} is not after today.", "Give a day after today, or +3.")


def for_ever(day: str) -> Refusal:
    return Refusal(f"{day} is too far off.", "Give a day on which you will look at it again.")


def put_off_already(day: str) -> Refusal:
    return Refusal(f"it is put off until {day} already.", "There is nothing to record.")


def day_over(day: str) -> Refusal:
    return Refusal(f"{day} is over.", "Give today, or a day to come.")


def planned_by_then(work: str, day: str) -> Refusal:
    return Refusal(f"the {work} is planned for {day} already.", "Give an earlier day, or search today.")


def brought_forward(why: str, window: str, reason: str) -> str:
    return f"{f'{why}; ' if why else ''}brought forward from {window}: {reason}"


def not_searched(box: str, stage: str) -> Refusal:
    return Refusal(
        f"{box} is in stage {stage}, which is not searched for eggs.", "There is nothing to record."
    )
