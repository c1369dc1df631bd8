"""Sentences of acts about pairings, and who may be put together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rounds.problems import Refusal, Unsaid

HIS_TIME_WITH_HER = "his time with her"


def another_paternity(derived: str, paternity: str, why: str) -> str:
    return f"The book says {derived}, not {paternity}: {why}."


def together_since(when: str) -> str:
    return f"together since {when}"


def stands_nowhere(pairing: str) -> Refusal:
    return Refusal(f"{pairing} stands in no box.", "Record `parted`, then `pair`.")


def has_no_female(pairing: str) -> Refusal:
    return Refusal(f"{pairing} has no female in the book.", "Give a pairing of two animals.")


def male_in_already(male: str, pairing: str) -> Refusal:
    return Refusal(f"{male} is in {pairing} already.", "There is nothing to record.")


def not_in_this_pairing(males: Iterable[str]) -> Refusal:
    return Refusal("is not in this pairing.", f"Males in it now: {', '.join(males) or 'none'}.")


def which_male(males: Iterable[str]) -> Refusal:
    return Unsaid("is needed.", f"Males in it now: {', '.join(males) or 'none'}.")


def where_the_pairing_is(box: str) -> Refusal:
    return Refusal(f"{box} is where the pairing is.", "Give another box.")


def none_open(box: str) -> Refusal:
    return Refusal(f"none was open in {box} then.", "Record `pair` first.")


def which_pairing(pairings: Iterable[str]) -> Refusal:
    return Unsaid("is needed.", f"Pairings here now: {', '.join(pairings)}.")


def not_open(box: str, pairings: Sequence[str]) -> Refusal:
    return Refusal(
        f"was not open in {box} then.",
        f"Pairings here then: {', '.join(pairings)}." if pairings else "Record `pair` first.",
    )


def was_not_its_male(pairing: str, males: Iterable[str]) -> Refusal:
    return Refusal(f"was not in {pairing} then.", f"Its males: {', '.join(males)}.")


def no_female_to_move(pairing: str) -> Refusal:
    return Refusal(f"{pairing} has no female in the book.", "Leave it out.")


def still_together(box: str) -> Refusal:
    return Unsaid(
        f"is needed: they would still be together in {box}.",
        "Say where she is now (female_to), where he is (males_to), or both.",
    )


def where_is_she() -> Refusal:
    return Unsaid("is needed.", "Give the box she is in now.")


def she_stayed(who: str) -> Refusal:
    return Refusal(f"is given, and who={who} says that she stayed.", "Leave one of them out.")


def where_is_he() -> Refusal:
    return Unsaid("is needed.", "Give the box the male is in now.")


def he_stayed(who: str) -> Refusal:
    return Refusal(f"is given, and who={who} says that the male stayed.", "Leave one of them out.")


def is_over(pairing: str, when: str) -> Refusal:
    return Refusal(f"{pairing} is over since {when}.", "Record `pair` to begin a new one.")


def before_it_began(pairing: str, when: str) -> Refusal:
    return Refusal(f"is before {pairing} began ({when}).", "Give a later day, or undo the earlier act.")


def before_it_came(animal: str, box: str, when: str) -> Refusal:
    return Refusal(
        f"is before {animal} came to {box} ({when}).", "Give a later day, or undo the earlier act."
    )


def stage_does_not_fit(box: str, stage: str, stages: Iterable[str]) -> Refusal:
    return Refusal(f"{box} is in stage {stage}.", f"Give one in stage {', '.join(stages)}.")


def is_a_male(animal: str) -> Refusal:
    return Refusal(f"{animal} is a male.", "Correct the sex first if that is wrong.")


def paired_already(female: str, pairing: str) -> Refusal:
    return Refusal(
        f"{female} is in {pairing} already.", f"Record `male-in {pairing}`, or `parted {pairing}` first."
    )


def is_the_female(animal: str) -> Refusal:
    return Refusal(f"{animal} is the female.", "Give another animal.")


def is_a_female(animal: str) -> Refusal:
    return Refusal(f"{animal} is a female.", "Correct the sex first if that is wrong.")


def in_another_pairing(male: str, pairing: str) -> Refusal:
    return Refusal(f"{male} is in {pairing}.", f"Record `male-out {pairing}` first.")


def name_taken(table: str, name: str) -> Refusal:
    return Refusal(
        f"there is a {table} `{name}` already.", "Give another, or leave it out for the next free one."
    )


def not_sexed(animal: str) -> str:
    return f"{animal} has not been sexed."


def not_ready_before(animal: str, when: str) -> str:
    return f"{animal} was not ready to breed before {when}."


def did_not_feed_before(animal: str, when: str) -> str:
    return f"{animal} did not feed before {when}."


def are_kin(female: str, male: str, how: str) -> str:
    return f"{female} and {male} are {how} (purpose=sibs where sibs are meant)."


def not_known_as_sibs(female: str, male: str) -> str:
    return f"The book does not show that {female} and {male} are full sibs."


def another_male_there(male: str, box: str) -> str:
    return f"{male} is in {box} too and is not named."
