"""What line mode says of the books' pages."""

from __future__ import annotations

LOOK_FOR_WHAT = "Look for what, a part of a name or words of a note? back leaves."
LOOK_FOR_ELSE = "Words look for something else; "
WHAT_CAN_BE_TYPED = "A number goes to its row, Enter opens what the row is about, back leaves the page."
ABOUT_THE_ROW = "record, done, put off, correct, note, skip and closer are about the box of the row."
NO_MORE_ROWS = "There are no more rows."
NO_KEY_OPENS_PAGES = "No key opens pages."


def page(title: str) -> str:
    return f"Page: {title}"


def drawing(lines: int) -> str:
    return f"A drawing of {lines} lines is not read out."


def rows_of(first: int, last: int, of: int) -> str:
    return f"Rows {first} to {last} of {of}; the word more reads on."


def shelf(name: str) -> str:
    return f"Shelf {name}"


def nothing_to_open(look: str) -> str:
    return f"{look}back leaves this page, close all pages."


def at_row(look: str, row: int, of: int) -> str:
    return f"{look}Enter opens row {row} of {of}, a number goes to its row, back leaves."


def other_pages(titles: tuple[str, ...]) -> str:
    return f"Other pages: {', '.join(titles)}"


def no_row(typed: str, rows: int) -> str:
    return f"{typed} is no row of this page: there are {rows}."


def not_understood(typed: str, near: str) -> str:
    return f"Not understood on this page: {typed}. {near}".rstrip()


def at_most_looked_for(characters: int) -> str:
    return f"At most {characters} characters can be looked for."
