"""What is said where there is no book yet: the questions that make one, and what became of the answers."""

from __future__ import annotations

HELP = (
    "Type an answer and Enter; Enter alone takes what stands in brackets. "
    "back goes one question back, quit leaves."
)
START = "1 try it in an invented house, 2 make your own book and rack, 3 leave"
HOUSE = "What is your house called?"
KEEPER = "What is your name? It stands beside what you see."
BAYS = "How many bays, side by side? They are called A, B, C and so on."
SHELVES = "How many shelves has each bay?"
SLOTS = "How many boxes fit side by side on a shelf?"
CODE = "What is the code of the first box? The others count on from it."
FILLED = "Is there substrate in them already? 1 yes, 2 no"
CONFIRM = "1 make it, 2 change an answer, 3 leave"
NO_WORD = "Use 1 to 60 letters, digits or signs that can be printed, without a comma."
NO_CODE = "A code needs letters, and a number from 1 at its end, such as T-01."
CLOCK_IS_WRONG = "Nothing was recorded. Set the clock, or say which day it is: rounds --today DATE walk."
ONE_TO_THREE = "Type 1, 2 or 3 and Enter."
LEFT = "Nothing was made. `rounds` asks again, `rounds demo` shows the invented house."
MAKING = "Making the book …"
BEGINS = "Enter begins the first round"


def which_day(clock: str, last: str, *, earlier: bool) -> str:
    """Days in words. ``earlier``: the clock's lies before the last round's, else long after it."""
    gap = "before" if earlier else "long after"
    return (
        f"This machine's clock says {clock}. That is {gap} the last round in the book, {last}. Whatever you record"
        " gets the day of the round."
    )


def days_to_choose(clock: str, last: str) -> str:
    return f"1 the clock is right: {clock}, 2 it is still {last}, 3 leave and set the clock"


def no_book_yet(path: str) -> str:
    return (
        f"There is no book yet at {path}. If you have one elsewhere, leave and say where: rounds --book PATH."
    )


def asked(question: str, usual: str) -> str:
    """``usual`` is what Enter alone answers ("" where nothing is)."""
    return f"{question} [{usual}]" if usual else question


def boxes(most: int) -> str:
    """``most``: the slots of the rack."""
    return f"How many boxes do you begin with? There are {most} slots; more boxes can come at any time."


def one_of_these(most: int) -> str:
    return f"Type a number from 1 to {most}."


def and_why(said: str, slots: int) -> str:
    return f"{said} A first rack has at most {slots} slots; a larger one comes out of tables: rounds load."


def rack(
    house: str, keeper: str, last_bay: str, shelves: int, slots: int, first_place: str, last_place: str
) -> str:
    """What will be made; ``last_bay`` is the letter of the last bay, A where there is one."""
    bays = "bay A" if last_bay == "A" else f"bays A to {last_bay}"
    return (
        f"{house}, kept by {keeper}. Rack: {bays}, shelves {shelves} high, {slots} side by side: "
        f"{first_place} to {last_place}."
    )


def first_boxes(number: int, first: str, last: str, place: str, *, filled: bool) -> str:
    state = "prepared" if filled else "empty"
    if number == 1:
        return f"One box, {state}: {first} at {place}."
    return f"{number} boxes, {state}: {first} to {last}, the first at {place}, the others along the shelves."


def made(path: str) -> str:
    return f"Made: {path}. `rounds` alone opens it from now on."


def next_steps(first: str) -> str:
    return f"At {first} press y for what happened there: animals arrived, a box moved. ? lists every key."


def next_steps_in_lines(first: str) -> str:
    return f"At {first} type record for what happened there: animals arrived, a box moved. help lists every word."
