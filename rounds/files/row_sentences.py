"""What is said about a row of the books' tables: against others, against the book, against what an animal can be."""

from __future__ import annotations

from rounds.problems import Refusal
from rounds.values.value_sentences import quoted, shown

KEEP = "Loading adds rows with new ids and never changes what the book has."
KEEP_ONE = "Keep one."
MEND_ONE = "Correct one of the two."

NOTHING = "nothing"
"""What the book has, or a row says, in an empty cell."""

SECOND_HOUSE = Refusal("a book holds one house; this is a second row.", KEEP_ONE)
COUNTS_OF_AN_ANIMAL = Refusal("counts are for groups; this row names one animal.", "Leave them empty.")
WHOSE_ARE_THEY = Refusal("the row names no line, brood or arrival.", "Say whose they are.")
NOBODY_THERE = Refusal("the row names no animal and counts none.", "Say who is there.")
NEITHER_OF_BOTH = Refusal("the row names neither a box nor an animal.", "Name one.")
MADE_ALREADY = Refusal("the plan was made already, by its pairing.", "Leave one of them empty.")


ROUGH_AND_EXACT = Refusal("says no, but `high` says that the count is rough.", MEND_ONE)


def most_not_above_counted(most: int, counted: int) -> Refusal:
    return Refusal(f"{most} is not above the {counted} counted here.", "Leave it empty for an exact count.")


def book_has(held: str, said: str) -> Refusal:
    return Refusal(f"the book has {held} here, this row {said}.", KEEP)


def stands_already(name: str, line: int) -> Refusal:
    return Refusal(f"{shown(name)} stands in line {line} already.", KEEP_ONE)


def same_already(line: int) -> Refusal:
    return Refusal(f"the same stands in line {line} already.", "Join them, or give each an id.")


def none_there(what: str, name: str, nearest: str, file: str) -> Refusal:
    return Refusal(f"there is no {what} {shown(name)}.", nearest or f"Add it to {file}.")


def not_its_own_name(name: str, own: str) -> Refusal:
    return Refusal(f"{shown(name)} is not this row's {own}.", "Correct it, or leave it empty.")


def no_inmate(text: str) -> Refusal:
    return Refusal(f"expected LINE/NUMBER, or a line beside it, not {quoted(text)}.")


def lock_on_one_of_both(*, names_both: bool) -> Refusal:
    named = "names both" if names_both else "names neither"
    return Refusal(
        f"a lock is on a box or on an animal; this row {named}.", "Fill in one of the two columns."
    )


def before_the_lock(until: str) -> Refusal:
    return Refusal(f"{until} is before the lock begins.", "Correct one of the two days.")


def out_of_order(column: str, day: str, order: str) -> Refusal:
    return Refusal(f"is before `{column}` ({day}).", f"Write {order} in order.")


def paired_with_itself(animal: str) -> Refusal:
    return Refusal(f"{animal} cannot be paired with itself.", MEND_ONE)


def where_in_the_book(name: str) -> str:
    return f"{name} in the book"


def where_in_line(name: str, line: int) -> str:
    return f"{shown(name)} in line {line}"


def number_taken(number: int, whose: str) -> Refusal:
    return Refusal(f"{number} is the number of {whose}.", "Give it another.")


IN_THE_BOOK = "in the book"


def in_line(line: int) -> str:
    return f"in line {line}"


def in_two_places(animal: str, box: str, where: str) -> Refusal:
    return Refusal(
        f"{animal} is in {shown(box)} ({where}); it cannot be in two places.", "Keep the row that is true."
    )


def cannot_be_here(animal: str, state: str) -> Refusal:
    return Refusal(
        f"{animal} is {state} in animals.csv, so it cannot be here.",
        "Correct its state, or give the day until which it was here.",
    )


def has_an_open_plan(animal: str, plan: str, where: str) -> Refusal:
    return Refusal(
        f"{animal} has an open plan, {shown(plan)} ({where}).",
        "Fill in `pairing` or `dropped` for the one that is over.",
    )


# Parents.


def no_parent(animal: str, nearest: str) -> Refusal:
    return Refusal(f"there is no animal {animal}.", nearest)


def parent_of_wrong_sex(animal: str, role: str) -> Refusal:
    word = "female" if role == "sire" else "male"
    return Refusal(f"{animal} is {word}; a {role} cannot be.", "Correct the sex or the parent.")


def parent_too_young(parent: str, parent_born: str, animal: str, animal_born: str) -> Refusal:
    return Refusal(
        f"{parent} ({parent_born}) was not born before its young {animal} ({animal_born}).",
    )


def step_before(when: str, column: str, earlier: str) -> Refusal:
    return Refusal(f"{when} is before `{column}` ({earlier}).")


def own_ancestor(chain: tuple[str, ...]) -> Refusal:
    return Refusal(f"an animal cannot be its own ancestor: {' <- '.join(chain)}.")


# What is right and yet worth telling.


def pairing_not_recorded(box: str) -> str:
    return (
        f"{shown(box)} is for pairing, and no pairing is on record there. Record `put together` at it, with the"
        " day, or add rows to pairings.csv and pairing_males.csv."
    )


def laying_without_a_lock(box: str, since: str) -> str:
    return (
        f"{shown(box)} is laying since {since} and has no lock: nothing keeps it from being dug."
        " Add a row to locks.csv, or record `lock` for it."
    )
