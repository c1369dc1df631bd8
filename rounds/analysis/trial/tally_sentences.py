"""Why a brood of the books does not count in a trial, and what to know about one that does."""

from __future__ import annotations

FATHER_OPEN = "the father is open"
FATHER_LIKELY = "the father is likely, not certain"
LIVING_AT_LEAST = "what lives was counted as at least so many"

COMING = "are not there yet"
"""How the reason ends that leaves out a brood of which some may still come as far."""


def counted_at_least(number: int) -> str:
    return f"counted as at least {number}"


def counted_between(fewest: int, most: int) -> str:
    return f"{fewest} to {most} eggs, some may have been counted twice"


def first_counted_as(instar: str) -> str:
    return f"first counted as {instar}, so what was lost before is not known"


def still_coming(number: int) -> str:
    return f"{number} {COMING}"


def too_many_given_away(away: int, eggs: int) -> str:
    return f"{away} of {eggs} were given away before: nobody knows how many would have come so far"


def more_came_than_counted(alive: int, eggs: int) -> str:
    return f"{alive} came of {eggs} counted: some were not counted at first sight"


def given_away(number: int) -> str:
    return f"{number} given away before that, not counted"


def missing(number: int) -> str:
    return f"{number} missing, counted as lost"


def too_late(number: int) -> str:
    return f"{number} not there by the last day, counted as lost"


def grouped_later(number: int) -> str:
    return f"{number} are in groups made up after the last day, counted as far as they are now"


# A female of a trial that the books keep.


def not_paired(*, over: bool) -> str:
    return "never paired" if over else "not paired yet"


def not_searched(*, over: bool) -> str:
    return "never searched" if over else "not searched yet"


def another_male(drawn: str, paired: tuple[str, ...]) -> str:
    return f"drawn for {drawn}, paired with {' and '.join(paired) or 'no male'}"


def dropped_out(day: str, why: str) -> str:
    return f"dropped out on {day}: {why}"


def not_full_sibs(how: str) -> str:
    return f"the book does not show that they are full sibs, but {how or 'no relation'}"


def related(how: str) -> str:
    return f"they are {how}"


# Why an animal cannot go into a trial.


def in_trial(trial: str) -> str:
    return f"in the trial {trial}"


def drawn_for(trial: str) -> str:
    return f"drawn for the trial {trial}"


def open_plan(plan: str) -> str:
    return f"has an open plan ({plan})"


def earlier_male(why: str) -> str:
    return f"may lay eggs of an earlier male: {why}"


def lacking(number: int, wanted: int, arm: str) -> str:
    return f"{number} of {wanted} for {arm}"
