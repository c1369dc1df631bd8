"""Sentences of acts about planned pairings, promises and where a line comes from."""

from __future__ import annotations

from rounds.problems import Refusal, Unsaid


def same_animal() -> Refusal:
    return Refusal("is the same animal.", "Give another.")


def both_males(one: str, other: str) -> Refusal:
    return Refusal(f"{one} and {other} are both males.", "Correct the sex first if that is wrong.")


def both_females(one: str, other: str) -> Refusal:
    return Refusal(f"{one} and {other} are both females.", "Correct the sex first if that is wrong.")


def neither_sexed(one: str, other: str) -> Refusal:
    return Refusal(f"{one} and {other} have not been sexed.", "Record `sexed` for one of them first.")


def has_an_open_plan(female: str, animals: str, plan: str, act: str) -> Refusal:
    return Refusal(f"{female} has an open plan: {animals} ({plan}).", f"Record `{act} {plan}` first.")


def day_over(day: str) -> Refusal:
    return Refusal(f"{day} is over.", "Give today or a later day.")


def ends_before_it_begins(day: str, first: str) -> Refusal:
    return Refusal(f"{day} is before {first}.", "Give that day or a later one.")


def promised_to(animal: str, whom: str) -> str:
    return f"{animal} is promised: {whom}."


def missing(animal: str) -> str:
    return f"{animal} is missing."


def kept_apart(what: str, one_line: str, one: str, other_line: str, other: str) -> str:
    return f"They are not of the same {what}: {one_line} {one}, {other_line} {other}."


def not_recorded(what: str, line: str, other: str) -> str:
    return f"The {what} of {line} is not recorded, that of the other is {other}."


def she_is_in_no_enclosure() -> Refusal:
    return Unsaid("is needed: she is in no box.", "Give the box they are in.")


def planned_for_later(plan: str, day: str) -> str:
    return f"{plan} is planned from {day} on."


def nothing_to_confirm(plan: str) -> Refusal:
    return Refusal(
        f"Nothing more is known of {plan} than when it was chosen.",
        f"It needs no confirming; `plan-made {plan}` carries it out.",
    )


def more_is_known(reason: str) -> str:
    return f"{reason[:1].upper()}{reason[1:]}."


def hindered(why: str) -> str:
    return f"{why}."


def was_made(plan: str, pairing: str, since: str) -> Refusal:
    begun = f" since {since}" if since else ""
    return Refusal(f"{plan} was made: {pairing}{begun}.", "Choose another, or plan it again.")


def given_up(plan: str, day: str, why: str) -> Refusal:
    return Refusal(f"{plan} was given up on {day}: {why}.", "Record `plan-pair` to plan it again.")


def not_promised(animal: str) -> Refusal:
    return Refusal(f"{animal} is not promised to anybody.", "There is nothing to record.")


def neither_place_nor_subspecies() -> Refusal:
    return Unsaid("is needed, unless the subspecies is known.", "Give one of the two.")
