"""What is said about a book that was made of what could be read in a damaged one."""

from __future__ import annotations

from rounds.text.plurals import many

SALVAGED = "salvaged from a damaged book"
"""In place of the steps that the book's schema went through."""


def in_the_way(path: str) -> str:
    return f"{path}: there is a file of this name already. Choose another name for the new book."


def nothing_made(why: str) -> str:
    return f"{why} No new book was made of it."


def unread(table: str, first: int, last: int) -> str:
    if first == last:
        return f"row {first} of `{table}` could not be read"
    return f"what there was of rows {first} to {last} of `{table}` could not be read"


def in_conflict(table: str, row: str) -> str:
    return f"row {row} of `{table}` is there twice or lacks what it needs; it was left out"


def doubtful(table: str, row: str) -> str:
    return f"row {row} of `{table}` is not what was written; look at it"


def left_out(table: str, rows: int, to: str) -> str:
    return f"{many(rows, 'row')} of `{table}` belonged to a row of `{to}` that could not be read and {'was' if rows == 1 else 'were'} left out"


def reference_gone(table: str, rows: int, to: str) -> str:
    return (
        f"{many(rows, 'row')} of `{table}` named a row of `{to}` that could not be read; that is unknown now"
    )


def made_anew(table: str) -> str:
    return f"`{table}` could not be read; it was made anew and has to be looked at"


def made(path: str, rows: int) -> str:
    return f"made {path} of the {many(rows, 'row')} that could be read. The damaged book is as it was. Next: rounds --book {path} checkup"


def all_read() -> str:
    return "Every row could be read."
