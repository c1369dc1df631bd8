"""What is said about a file of a folder that is no such table as it should be: form, header, length of rows."""

from __future__ import annotations

from rounds.problems import Refusal
from rounds.values.value_sentences import quoted, shown

NOTHING_LOADED = "Nothing was loaded."
KEEP_ONE = "Keep one."
SAVE_AS_UTF8 = "Save it as CSV in UTF-8."

_QUOTE_MISSING = "Is a closing quote missing?"
UTF16 = Refusal("is UTF-16 text.", SAVE_AS_UTF8)
LINE_TOO_LONG = Refusal("the line is longer than 1 MiB.", _QUOTE_MISSING)
NOT_UTF8 = Refusal("is not UTF-8 text.", "Save the file as CSV in UTF-8.")
HOLDS_NUL = Refusal("holds a NUL character.", "Take it out.")
QUOTE_NOT_CLOSED = Refusal("a quote that begins in this row is never closed.", "Close it, or take it away.")
LONE_RETURN = Refusal("the line ends in a lone carriage return.", "Save it with ordinary line ends.")
AFTER_A_QUOTE = Refusal(
    "a cell goes on after its closing quote.", 'Double a quote inside a quoted cell: "12 "" wide".'
)
SEMICOLONS, TABS = "semicolons (`;`)", "tabs"

PACKAGE_TOO_LARGE = "is larger than 1 MiB."
NO_PACKAGE = "is not a data package."
TAKE_PACKAGE_AWAY = "Take it away: the tables load without it."


def left_out(more: tuple[tuple[int, str], ...]) -> str:
    """How many problems of which files were not told."""
    counted = ", ".join(f"{n} more in {file}" for n, file in more)
    return f"{f'And {counted}. ' if counted else ''}{NOTHING_LOADED}"


def cell_too_long(most: int) -> Refusal:
    return Refusal(f"a cell is longer than {most} characters.", _QUOTE_MISSING)


def cannot_be_read(why: str) -> Refusal:
    return Refusal(f"cannot be read: {why}.")


def parted_wrongly(sign: str) -> Refusal:
    return Refusal(
        f"has {sign} between its columns; expected commas.",
        "Open it in the spreadsheet again and save it as CSV with commas: where it asks for the "
        "separator, choose the comma; for the character set, UTF-8.",
    )


def quote_inside(near: str) -> Refusal:
    return Refusal(
        f"a quote stands inside a cell that does not begin with one, near {quoted(near)}.",
        'Put the whole cell in quotes and double the quote inside: "12 "" wide".',
    )


def not_csv(why: str) -> Refusal:
    return Refusal(f"is not CSV: {why}.")


# The header, and rows against it.


def column_twice(name: str) -> Refusal:
    return Refusal(f"the column {quoted(name)} is here a second time.", KEEP_ONE)


def unknown_column(name: str, nearest: str, file: str, known: tuple[str, ...]) -> Refusal:
    what = f"{quoted(name)} is not a column of this table." if name else "a column has no name."
    return Refusal(what, nearest or f"Columns of {file}: {', '.join(known)}.")


def column_missing(name: str, meaning: str) -> Refusal:
    return Refusal(f"the column `{name}` ({meaning}) is missing.")


def row_of_another_length(cells: int, header: int) -> Refusal:
    return Refusal(
        f"the row has {cells} cells, the header {header}.",
        "Put a cell that holds a comma in quotes." if cells > header else "Is a comma missing?",
    )


def no_header(columns: tuple[str, ...]) -> Refusal:
    return Refusal(f"is empty; expected the header {','.join(columns)}.")


def column_of(column: str, whose: str, meaning: str) -> str:
    """How a problem of a day's cell begins, for tables have many days in a row."""
    return f"{column}{f' of {shown(whose)}' if whose else ''} ({meaning})"
