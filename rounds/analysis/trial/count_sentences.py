"""What is said of tables of counts that cannot be read, and of counts that cannot be compared."""

from __future__ import annotations

from rounds.analysis.pedigree.pedigree_sentences import CHECK_QUOTES
from rounds.problems import Refusal, nearest

COUNTS = "counts of a trial"
PAIRS = "pairs of a trial"
LEVELS = "levels of F"

ONLY_HEADER = Refusal("holds a header and no rows.")


def no_rows(needed: tuple[str, ...]) -> Refusal:
    return Refusal("holds no rows.", f"The first line is `{','.join(needed)}`.")


def no_column(name: str, table: str, known: tuple[str, ...]) -> Refusal:
    return Refusal(f"`{name}` is no column of {table}, expected {', '.join(known)}.", nearest(name, known))


def column_twice(name: str) -> Refusal:
    return Refusal(f"the column `{name}` is given twice.", "Keep one.")


def column_missing(name: str, about: str) -> Refusal:
    return Refusal(f"the column `{name}` ({about}) is missing.")


def empty_cell(name: str, about: str) -> Refusal:
    return Refusal(f"`{name}` is empty.", f"Write {about}.")


def control_character(text: str) -> Refusal:
    return Refusal(f"{text!r:.40} holds a control character.", CHECK_QUOTES)


def no_number(reason: str, expected: str, hint: str) -> Refusal:
    """What is wrong with a number, what it should be, and what to do if that can be said."""
    return Refusal(f"{reason} Expected {expected}.", hint)


# Rows against each other.


def more_alive_than_eggs(alive: int, eggs: int) -> Refusal:
    said = f"{alive} alive of {eggs} eggs."
    return Refusal(said, "Count the eggs at first sight: no more can live than were found.")


def more_survived_than_were(survived: int, of: int) -> Refusal:
    return Refusal(f"{survived} survived of {of}.", "No more can survive than there were.")


def arms_alike(one: str, other: str) -> Refusal:
    return Refusal(f"the arms `{one}` and `{other}` differ only in capitals.", "Write one arm one way.")


def one_arm(arm: str) -> Refusal:
    return Refusal(f"holds one arm, `{arm}`.", "A trial compares two: sib and outcross.")


def many_arms(number: int, arms: tuple[str, ...]) -> Refusal:
    said = f"holds {number} arms ({', '.join(arms)}); a verdict compares two."
    return Refusal(said, "Several levels of F are compared with --levels.")


def one_level(f: float) -> Refusal:
    return Refusal(f"holds one level of F, {f:g}.", "A cost needs two or more.")


def female_again(female: str, line_number: int) -> Refusal:
    said = f"the female {female} is in line {line_number} already."
    return Refusal(said, "One brood each: name another.")


def not_two_arms(number: int, arms: tuple[str, ...]) -> Refusal:
    return Refusal(f"holds {number} arms ({', '.join(arms)}).", "A trial compares two.")


# Why a brood drops out, and what counts as one.

NO_EGGS = "no eggs, so no share of them"


def female_in_both(female: str) -> str:
    return f"the female {female} is in both arms"


def male_in_both(male: str) -> str:
    return f"the male {male} was used in both arms, so its broods are not apart"


def shared_male(arm: str, females: tuple[str, ...], males: tuple[str, ...]) -> str:
    return f"{arm}: {', '.join(females)} shared {', '.join(males)}, so their broods count as one"


def same_female(arm: str, broods: int, female: str) -> str:
    return f"{arm}: {broods} broods of {female} count as one"
