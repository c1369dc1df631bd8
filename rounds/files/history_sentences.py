"""What is said about rows of visits, readings, walks, actions and acts that do not fit the others or the book."""

from __future__ import annotations

from rounds.files.row_sentences import KEEP, KEEP_ONE, MEND_ONE
from rounds.problems import Refusal
from rounds.values.value_sentences import quoted, shown

OTHERWISE_IN_THE_BOOK = Refusal("the book has this otherwise.", KEEP)
NO_VISIT_NAMED = Refusal("is empty; expected the visit's id.")
NO_SUCH_ACT = Refusal("there is no such act.", "Add it to acts.csv.")
ACT_TWICE = Refusal("this act stands further up already.", KEEP_ONE)
NO_SUCH_ACTION = Refusal("there is no such action.", "Add it to actions.csv.")
NO_NEW_ROW = Refusal("expected all columns of the new row as one JSON object.")


def same_already(line: int) -> Refusal:
    return Refusal(f"the same stands in line {line} already.", KEEP_ONE)


def none_there(what: str, name: str, hint: str) -> Refusal:
    return Refusal(f"there is no {what} {shown(name)}.", hint)


def add_it(file: str) -> str:
    return f"Add it to {file}."


# Visits and their readings.


def visit_twice(visit: str) -> Refusal:
    return Refusal(f"{quoted(visit)} stands further up already.", KEEP_ONE)


def no_walk_named(walk: str) -> Refusal:
    return Refusal(f"there is no walk {shown(walk)}.", "Add it to rounds.csv, or leave this empty.")


def walk_of_another(walk: str, keeper: str) -> Refusal:
    return Refusal(f"the walk {shown(walk)} is {shown(keeper)}'s.", MEND_ONE)


def number_taken(seq: int, keeper: str) -> Refusal:
    return Refusal(f"{seq} was given in this day's walk of {shown(keeper)} already.")


def visit_differs(held: str) -> Refusal:
    return Refusal(f"the book has {held} for this visit.", KEEP)


def the_walk(walk: str) -> str:
    return f"the walk {walk}"


def reading_twice(reading: str) -> Refusal:
    return Refusal(f"`{reading}` was given for this visit already.", KEEP_ONE)


def reading_differs(held: str, reading: str) -> Refusal:
    return Refusal(f"the book has {held} for `{reading}` at this visit.", KEEP)


def expected_differs(held: str, reading: str) -> Refusal:
    return Refusal(f"the book has {held} as usual for `{reading}` at this visit.", KEEP)


# Acts.


def change_twice(seq: int) -> Refusal:
    return Refusal(f"{seq} was given for this act already.", KEEP_ONE)


def no_such_column(table: str, column: str, nearest: str) -> Refusal:
    return Refusal(f"{table} has no column {shown(column)}.", nearest)


def no_span(name: str) -> Refusal:
    return Refusal(f'{name}: expected {{"span": "..."}}.')


def about_column(name: str, message: str, hint: str) -> Refusal:
    return Refusal(f"{name}: {message}", hint)
