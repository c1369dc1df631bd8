"""Sentences about what would be wrong with the books; without a full stop, so that they can be quoted."""

from __future__ import annotations

FEWER_THAN_NONE = "a group would hold fewer than none"


def in_several_places(animal: str, places: int) -> str:
    return f"{animal} is in {places} places at once"


def in_no_enclosure(animal: str) -> str:
    return f"{animal} is alive and in no box"


def still_in_an_enclosure(animal: str, state: str) -> str:
    return f"{animal} is {state} and still in a box"


def own_ancestor(animal: str) -> str:
    return f"{animal} would be its own ancestor"


def father_would_not_be(animal: str, father: str, sex: str) -> str:
    return f"the father of {animal}, {father}, would not be {sex}"


def mother_would_not_be(animal: str, mother: str, sex: str) -> str:
    return f"the mother of {animal}, {mother}, would not be {sex}"


def female_would_be_male(animal: str, pairing: str) -> str:
    return f"{animal}, the female of {pairing}, would be male"


def male_would_be_female(animal: str) -> str:
    return f"{animal}, a male of a pairing, would be female"


def more_than_found(table: str, name: str, counted: int, found: int) -> str:
    return f"{table} {name} would have {counted} where {found} were found"


def fewer_than_found(table: str, name: str, counted: int, found: int) -> str:
    return f"{table} {name} would have {counted} left where {found} were found"


def refers_to_what_was_taken_back(table: str, row: int, other: str) -> str:
    return f"{table} {row} would refer to a {other} that was taken back"


def runs_backwards(column: str, table: str, row: int) -> str:
    return f"{column} of {table} {row} would run backwards"


def ends_before_it_began(row: int) -> str:
    return f"content {row} would end before it began"


def paired_with_itself(plan: str, animal: str) -> str:
    return f"{plan} would pair {animal} with itself"


def plan_runs_backwards(plan: str) -> str:
    return f"the days of {plan} would run backwards"


def made_and_given_up(plan: str) -> str:
    return f"{plan} would be both made and given up"


def two_open_plans(animal: str, plan: str, other: str) -> str:
    return f"{animal} would have two open plans, {plan} and {other}"


def made_of_others(plan: str) -> str:
    return f"{plan} would be made as a pairing of others"


def trial_would_end(trial: str) -> str:
    return f"the trial {trial} would end before it began"


def trial_would_be_closed(trial: str) -> str:
    return f"the trial {trial} would be closed before it began"


def pairing_of_another(animal: str) -> str:
    return f"{animal} would be in a trial with the pairing of another"
