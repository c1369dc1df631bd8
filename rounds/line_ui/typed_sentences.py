"""Why line mode does not take a typed line, or not all of it."""

from __future__ import annotations

AT_AN_ENCLOSURE = "Readings are taken at a box, and this is the summary."
NOTHING_LISTED = "Nothing is listed."
NO_QUESTION = "No question is open here; Enter goes on, up goes back to the last reading."


def no_key_gives(command: str) -> str:
    return f"No key of this layout gives {command}."


def not_read_here(reading: str) -> str:
    return f"{reading} is not read here."


def no_row(typed: str, rows: int) -> str:
    return f"{typed} is no row of the summary: they are 1 to {rows}."


def no_answer(typed: str, reading: str) -> str:
    return f"{typed} is no answer to {reading}."


def not_a_value(reading: str, why: str) -> str:
    return f"{reading}: {why}"


def several_digits(typed: str) -> str:
    return f"{typed} is more than one digit; put blanks between several answers."


def no_whole_number(typed: str) -> str:
    return f"{typed} is not a whole number."


def too_many_decimals(typed: str, most: int) -> str:
    return f"{typed} does not have 1 to {most} decimal places."


def too_many_digits(typed: str) -> str:
    return f"{typed} has too many digits."


def none_of_these(typed: str, near: str) -> str:
    return f"{typed} is none of these. {near}".rstrip()


def no_enclosure(typed: str, near: str) -> str:
    return f"There is no box {typed} on this walk; it stays here. {near}".rstrip()


def no_days(typed: str, most: int) -> str:
    return f"{typed} is not 1 to {most} days."


def too_long(characters: int, most: int) -> str:
    return f"That has {characters} characters, and at most {most} fit. Nothing of it was taken."


def left_out(signs: int) -> str:
    return f"{signs} signs that are no text were left out."


def only_the_first(characters: int, rest: str) -> str:
    return f"Only its first {characters} characters fit; not taken: {rest}"


def not_understood(typed: str, near: str) -> str:
    said = f"Not understood: {typed}. Nothing of this line was taken. {near}".rstrip()
    return f"{said} The word help lists what can be typed."
