"""What is said when a backup is put back, and why it is not."""

from __future__ import annotations


def folder_there(book: str) -> str:
    return f"{book}: this is a folder, and a book is a file. Give the path of the file with --book."


def itself(book: str) -> str:
    return f"{book} is the book itself. Choose one of its backups: `rounds restore` lists them."


def changed(backup: str) -> str:
    return f"{backup} is not as it was made: its bytes have changed since. Choose another backup."


def another_house(backup: str, book: str) -> str:
    return f"{backup} is not a backup of {book} but of another book. Add --another-house if that is what you want."


def no_book_of_ours(backup: str) -> str:
    return f"{backup}: this is a SQLite file of another program, not a backup of a book."


def too_new(backup: str, needs: str) -> str:
    return f"{backup} was written by a newer program. It needs rounds {needs} or newer."


def in_use(book: str) -> str:
    return f"{book}: a walk or another program has the book open. Leave every walk, on every terminal and tablet, and restore again."


def not_restored(why: str, book: str) -> str:
    return f"{why} Nothing was restored; {book} is as it was."


def restored(when: str) -> str:
    return f"The book is as it was on {when}."


def kept(path: str) -> str:
    """What stood in the book's place."""
    return f"The book that stood there is kept as {path}; `rounds restore {path}` goes back to it."


def no_backups(folder: str) -> str:
    return f"There is no backup in {folder}. `rounds backup` makes one."


def none_of_day(day: str, before: str) -> str:
    """``before`` is when the newest one before that day was made; "" when there is none."""
    other = f" The newest before it is from {before}." if before else ""
    return f"There is no backup of {day}.{other} `rounds restore` lists them all."


def neither(which: str) -> str:
    return f"`{which}` is neither a file nor a day. `rounds restore` lists the backups."
