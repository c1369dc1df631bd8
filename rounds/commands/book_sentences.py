"""What is said about the book, and about files that are read into it or written from it."""

from __future__ import annotations

NO_BOOK_YET = "The book is not there yet: `rounds new` makes one."
NOTHING_NEW = "nothing new: the book has every row already"
LOADED = "Loaded. Next: rounds"
LOAD_NEEDS_FOLDER = "load needs a folder of tables; `rounds load --columns` lists what it may hold."


def no_time_zone(zone: str, meant: str) -> str:
    """``meant`` is the hint with the nearest one, if any is near; so in what follows."""
    return f"--zone: there is no time zone `{zone}`. {meant}".rstrip()


def made(path: str) -> str:
    return f"made {path}. Next: rounds --book {path} load FOLDER (`rounds help tables` says what goes in, `rounds demo` shows an invented house)."


def no_tables(names: tuple[str, ...]) -> str:
    return f"not loaded, because they are no tables: {', '.join(names)}"


def loading(table: str, done: int, total: int) -> str:
    return f"{table}: {done} of {total}"


def written(folder: str) -> str:
    return f"written to {folder}"
