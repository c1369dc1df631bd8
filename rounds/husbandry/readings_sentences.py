"""Sentences about what is wrong in a file of readings and stages."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.problems import Refusal

REASONS_TO_SKIP = "reasons to skip"
REASONS_TO_PUT_OFF = "reasons to put work off"
EXPECTED_TRUE_OR_FALSE = "expected true or false"


def reading_twice(reading: str) -> Refusal:
    return Refusal(f"reading `{reading}` is defined twice.")


def a_stage(stage: str) -> str:
    return f"stage `{stage}`"


def unknown_stage(stage: str, stages: Iterable[str]) -> Refusal:
    return Refusal(f"unknown stage `{stage}`.", f"Stages: {', '.join(stages)}.")


def stage_missing(stage: str) -> Refusal:
    return Refusal(f"stage `{stage}` is missing.")


def a_reading(reading: str) -> str:
    return f"reading `{reading}`"


def no_limits(what: str) -> Refusal:
    return Refusal(f"{what}: a count needs `limits: [lowest, highest]`.")


def too_few_values(what: str) -> Refusal:
    return Refusal(f"{what}: a choice needs at least two `values`.")


def key_is_not_one_letter(what: str) -> Refusal:
    return Refusal(f"{what}: `key` must be one letter or sign (digits are answers).")


def too_many_decimals(what: str) -> Refusal:
    return Refusal(f"{what}: `decimals` must be 0 to 3.")


def limits_are_not_two_numbers(what: str) -> Refusal:
    return Refusal(f"{what}: `limits` must be two numbers, lowest and highest.")


def limits_fall(what: str, low: float, high: float) -> Refusal:
    return Refusal(f"{what}: `limits` must rise from 0 or more: [{low}, {high}] is empty.")


def plausible_without_a_count(what: str) -> Refusal:
    return Refusal(f"{what}: only a count has a `plausible` range.", "Leave it out.")


def plausible_outside(what: str, low: float, high: float) -> Refusal:
    return Refusal(f"{what}: `plausible` must be two rising numbers within the limits, {low:g} to {high:g}.")


def plausible_says_nothing(what: str) -> Refusal:
    return Refusal(
        f"{what}: `plausible` is as wide as the limits, so it says nothing.", "Narrow it, or leave it out."
    )


def an_answer(what: str, number: int) -> str:
    return f"{what}, answer {number}"


def answer_twice(what: str, answer: str) -> Refusal:
    return Refusal(f"{what}: the answer `{answer}` is given twice.")


def too_many_answers(what: str) -> Refusal:
    return Refusal(f"{what}: at most 9 answers, so that one digit gives each.")


def not_a_usual_value(what: str, expected: str, reading: str) -> Refusal:
    return Refusal(f"{what}: {expected} as the usual value of `{reading}`.")


def expected_one_of(answers: Iterable[str]) -> str:
    return f"expected one of {', '.join(answers)}"


def expected_a_number(low: float, high: float) -> str:
    return f"expected a number from {low:g} to {high:g}, or history,"


def key_shared(reading: str, other: str, key: str) -> str:
    return f"readings `{reading}` and `{other}` share the key `{key}`."
