"""What is said of worked cases that cannot be read, that come out otherwise, or that are lacking."""

from __future__ import annotations

from rounds.problems import Refusal

CASES_FILE = "cases file"
NO_CASES = Refusal("the list `cases` is missing.")
NO_LAST_VISIT = Refusal("`visits` must end with a visit.")
HOURS = Refusal("`hours` must be over 0.")
COUNT_IS_RANGE = Refusal("a confirmed count is a range, [lowest, highest].")

A_CASE = "a case"
LOCK_REASON = "as the case says"
DOES_NOT_APPLY = "the rule does not apply to this stage and species"


def case(name: str, rule: str) -> str:
    return f"case `{name}` of rule `{rule}`" if name else f"case of rule `{rule}`"


def visit(case_words: str, number: int) -> str:
    return f"{case_words}, visit {number}"


def no_such_answer(number: int, known: tuple[str, ...]) -> Refusal:
    return Refusal(f"`expect` must be {', '.join(known)} for visit {number}.")


def nobody_came(number: int) -> Refusal:
    return Refusal(f"`expect` must be `_`, for nobody came for visit {number}.")


def not_as_many(visits: int, expected: int) -> Refusal:
    return Refusal(f"{visits} visits, but `expect` has {expected}.")


def out_of_range(reading: str, least: float, most: float) -> Refusal:
    return Refusal(f"`{reading}` must be {least:g} to {most:g}.")


def came_out_otherwise(rule: str, name: str, number: int, expected: str, got: str, why: str) -> Refusal:
    """``why``: each clause with its value, or :data:`DOES_NOT_APPLY`."""
    said = f"rule `{rule}`, {name}, visit {number}: expected {expected}, got {got}."
    return Refusal(said, f"({why})")


def no_case(rule: str, kinds: tuple[str, ...]) -> Refusal:
    """``kinds``: :data:`FIRING`, :data:`SILENT`."""
    return Refusal(f"rule `{rule}` has no {' and no '.join(kinds)} case.", "Add one under `cases:`.")


FIRING = "firing"
SILENT = "silent"
