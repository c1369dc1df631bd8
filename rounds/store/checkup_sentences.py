"""What a checkup finds, good and bad, and what to do about it."""

from __future__ import annotations

from rounds.text.plurals import many

IN_PLACE = "it is there and can be written"
WHOLE = "SQLite finds no damage in it"
REFERENCES = "every row it refers to is there"
BOOKS = "animals, boxes and counts agree with each other"
NO_LOG = "none is beside it that is of another file"
NOTHING_RESCUED = "nothing waits beside it to be taken in"
ALONE = "no copy of it made by a cloud folder is beside it"
CLOCK = "it is not behind what the book holds"
CONFIG = "it has no mistakes"

GO_BACK = "Leave the book as it is: `rounds restore` lists the backups you can go back to."
SALVAGE = "`rounds restore` goes back to a backup; `rounds restore --salvage FILE` makes a new book of all that can be read."
BACK_UP = "`rounds backup` makes one now."
OPEN_ONCE = "Start `rounds` once: it brings the book up to date, after a backup."
SET_CLOCK = "Set the clock of this machine before the next round."
MAKE_ROOM = "Make room, or move backups to another disk."
UPDATE_SQLITE = "Use a Python with another SQLite; this one can damage a book."
LOOK_AT_COPIES = "Only the book itself is walked. Open the other with --book to see whether it holds a round that is missing; keep the book outside folders that a program synchronises."
START_ONCE = "Start `rounds` once: it takes them in."
TAKE_AWAY = "Do not rely on it; take it away once you have another."
RULES_CHECK = "`rounds rules check` shows each mistake."
LOOK_AT_BOOKS = "`rounds record history` shows what was recorded; correct it with the act it belongs to."
FOREIGN_LOG = "the log beside the book is of another file"
LOG_ASIDE = "Start `rounds` once: it puts the log aside and says where."


def damaged(first: str, more: int) -> str:
    """``first`` in SQLite's words; ``more`` faults beside it."""
    return f"it is damaged: {first}" + (f" (and {more} more)" if more else "")


def no_row(table: str, to: str, rows: int) -> str:
    return f"{many(rows, 'row')} of `{table}` {'names' if rows == 1 else 'name'} a row of `{to}` that is not there"


def faults(first: str, more: int) -> str:
    return first + (f" (and {more} more)" if more else "")


def older_schema(schema: int) -> str:
    return f"it is of an earlier version (schema {schema})"


def rescued(files: int) -> str:
    return f"{many(files, 'file')} with entries that could not be saved {'lies' if files == 1 else 'lie'} beside the book"


def refused(files: tuple[str, ...]) -> str:
    return f"entries that could never be written into the book are kept in {', '.join(files)}"


def conflict_copies(files: tuple[str, ...]) -> str:
    return f"beside the book lie copies that a cloud folder has made: {', '.join(files)}"


def backed_up(when: str) -> str:
    return f"the newest one that was compared with the book is from {when}"


def never_backed_up() -> str:
    return "there is none yet"


def backup_changed(file: str) -> str:
    return f"{file} is not as it was made"


def room(free: str) -> str:
    return f"{free} are free"


def little_room(free: str, needed: str) -> str:
    return f"only {free} are free; a backup, and what a restore keeps, need {needed}"


def sqlite(version: str) -> str:
    return f"version {version}"


def sqlite_bad(version: str, why: str) -> str:
    return f"version {version} {why}"


def clock_behind(newest: str) -> str:
    return f"the book's newest entry is of {newest}, which this clock has not reached yet"


def sqlite_rare(version: str) -> str:
    return f"version {version}; before 3.51.3 a book could very rarely be damaged while two programs wrote to it at the same moment"


def agreeing(rows: int) -> str:
    return f"all of {many(rows, 'row')} agree with what was written"


def unvouched(rows: int, of_rows: int) -> str:
    return f"{rows} of {many(of_rows, 'row')} were written without a checksum: nobody can tell whether they are as they were"
