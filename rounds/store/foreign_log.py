"""A log beside the book that is of another file: put aside, unless somebody still writes it."""

from __future__ import annotations

import contextlib
import os
import sys
import threading
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from rounds.problems import BookError
from rounds.store import disk
from rounds.store.log_stamps import belongs, log_of

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

ALIVE_AT = 128
"""The byte of ``-shm`` that everybody who has the log open holds a shared lock on (SQLite's ``wal.c``, ``os_unix.c``)."""

_changed = threading.Lock()
_open_here: Counter[Path] = Counter()


def note_opened(path: Path) -> None:
    """This process has one more connection to the book at ``path``."""
    with _changed:
        _open_here[path.absolute()] += 1


def note_closed(path: Path) -> None:
    with _changed:
        _open_here[path.absolute()] -= 1


def set_aside(path: Path) -> str:
    """Move the log beside the book to another name, and say so in a sentence. Nothing is deleted.

    Raises BookError while a program has it open, and OSError.
    """
    with nobody_else(path) as alone:
        if not alone:
            raise BookError(
                f"{path}: another file was put in the place of the book while a program had it open. End that"
                " program first: what it could not save it keeps in a file beside the book."
            )
        if belongs(path):
            return ""  # another start was quicker
        name = _another_name(path)
        aside = path.with_name(f"{name}-wal")
        os.rename(log_of(path), aside)
    shared = Path(f"{path}-shm")
    if shared.exists():
        os.rename(shared, path.with_name(f"{name}-shm"))
    disk.sync_folder(path.absolute().parent)
    return (
        f"The log beside the book was of another file, in whose place this one was put; it is kept as {aside}."
        f" To see what it holds, put the former file beside it as {name} and open that."
    )


def _another_name(path: Path) -> str:
    return f"{path.name}.other-{datetime.now(UTC):%Y%m%dT%H%M%S%fZ}"


def keep(path: Path) -> None:
    """Give a log that was put beside the open book in place of its own another name. Raises OSError."""
    with contextlib.suppress(FileNotFoundError):
        os.rename(log_of(path), path.with_name(f"{_another_name(path)}-wal"))


def gone(path: Path) -> str:
    """A sentence when the log that was beside the book was taken away by somebody else, or "".

    Raises BookError while a program has the book open: a log made anew would not be the one it writes.

    SQLite itself takes the two files beside a book away together, the shared memory first: that it
    is alone means that only half of what belongs together was copied, moved or synchronised.
    """
    if os.path.exists(f"{path}-shm") and not log_of(path).exists():
        from rounds.store import backup_sentences  # no start needs it

        with nobody_else(path) as alone:
            if not alone:
                raise BookError(backup_sentences.log_gone_in_use(str(path)))
        return backup_sentences.log_gone(str(path))
    return ""


@contextmanager
def nobody_else(path: Path) -> Iterator[bool]:
    """Has nobody the log open? If so, nobody can open it inside this block."""
    with _changed:
        here = _open_here[path.absolute()] > 0
    if here:  # and closing the file by hand would take the locks of this process away
        yield False
        return
    try:
        handle = os.open(f"{path}-shm", os.O_RDWR)
    except FileNotFoundError:
        yield True
        return
    try:
        yield _locked(handle)
    finally:
        os.close(handle)


def _locked(handle: int) -> bool:
    try:
        if sys.platform == "win32":
            os.lseek(handle, ALIVE_AT, os.SEEK_SET)  # there a lock begins where the file stands
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.lockf(
                handle, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, ALIVE_AT
            )  # counted from the file's beginning
    except OSError:
        return False
    return True
