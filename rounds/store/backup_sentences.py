"""What is said about backups: making one, the last one, going back to one."""

from __future__ import annotations

FOREIGN_LOG = "the log beside the book is of another file. Open the book once; it is put aside."
DID_NOT_END = "The backup after your last round did not come to its end. `rounds backup` makes one now."


def not_made(why: str) -> str:
    return f"The backup could not be made. {why}"


def damaged(file: str, first: str) -> str:
    """``first`` is what was found first, in SQLite's words or ours."""
    return f"{file}: it is damaged ({first})."


def differs(book: str) -> str:
    return f"{book}: the backup does not hold the same as the book. Nothing was kept of it."


def too_many(folder: str) -> str:
    return f"{folder} holds too many backups of one second"


def failed(when: str, why: str) -> str:
    return f"The backup of {when} failed: {why} `rounds checkup` says more."


def old(when: str, days: int) -> str:
    return f"The newest backup is from {when}, {days} days ago. `rounds backup` makes one now."


def none_yet(days: int) -> str:
    return f"This book has no backup, after {days} days. `rounds backup` makes one now."


def not_begun(book: str, why: str) -> str:
    return f"{book}: no backup can be made ({why}). Everything is in the book itself."


def copies_beside(first: str, more: int) -> str:
    """A cloud folder has made a copy of the book where two machines wrote it; its name, and how many others."""
    others = f" (and {more} more)" if more else ""
    return f"Beside the book lies {first}{others}, made by a cloud folder: a round may be missing here. `rounds checkup` says more."


def log_gone_in_use(book: str) -> str:
    return (
        f"{book}: the log beside the book was taken away while a program has it open. End that program first."
    )


def log_gone(book: str) -> str:
    return (
        f"{book}: the log that belonged beside the book is gone, so that what was recorded last may be missing."
        " Always copy or move the book together with the files of its name that end in -wal and -shm."
    )
