"""Sentences of acts about laying females, searches and whose eggs were found."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.problems import Refusal, Unsaid

NO_PAIRING_BEFORE = "no pairing was recorded before she laid"
MAY_BE_COUNTED_BEFORE = "may be among those counted here before"


def no_pairing_with_a_male(female: str) -> Refusal:
    return Refusal(f"{female} is in no open pairing with a male.", "Record `pair` first, or with_male=no.")


def male_still_with_her(male: str) -> Refusal:
    return Refusal(f"{male} is still with her.", "Say with_male=yes, or record `male-out` first.")


def female_not_there(female: str, box: str) -> Refusal:
    return Refusal(f"{female} is not in {box}.", "Record it for the box she is in.")


def not_a_female(animal: str) -> Refusal:
    return Refusal(f"{animal} is a male.", "Give a female.")


def which_female(females: Iterable[str]) -> Refusal:
    return Unsaid("is needed.", f"Females here: {', '.join(females)}.")


def no_female_here(box: str) -> Refusal:
    return Refusal(f"none is recorded in {box}.", "Record who is here first.")


def another_female_there(animal: str, box: str) -> str:
    return f"{animal} is in {box} too, so whose eggs they are could not be told."


def female_in_since(female: str, when: str) -> str:
    return f"{female} has been in it since {when}"


def may_have_laid(female: str, when: str) -> str:
    return f"{female} was in it until {when} and may have laid there"


def mother_is_one_of(females: Iterable[str], *, or_a_group: bool) -> str:
    return f"the mother is one of {', '.join([*females, *(['a group'] if or_a_group else [])])}"


def cannot_be_sexed_yet() -> Refusal:
    return Refusal("cannot be sexed yet.", "Give a plain count.")


def female_was_not_there(box: str, females: Iterable[str]) -> Refusal:
    return Refusal(f"its female was not in {box}.", f"Females there: {', '.join(females)}.")


def doubt(what: str) -> str:
    return f"{what[0].upper()}{what[1:]}."


def no_female_recorded(box: str, when: str) -> str:
    return f"No female is recorded in {box} before {when}."


def searched(when: str, eggs: int, *, at_least: bool) -> str:
    left = f", {'at least ' if at_least else ''}{eggs} eggs left in place" if eggs or at_least else ""
    return f"searched {when}{left}"
