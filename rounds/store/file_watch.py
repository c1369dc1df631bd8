"""Is the file that a connection has open still the book that stands at its path?

A book can be moved away, deleted, replaced by another file (``mv``) or written over in place
(``cp``) while it is open. SQLite would go on writing into a file nobody finds, or fold its
log into the other one.
"""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from rounds.problems import BookError
from rounds.store.log_stamps import belongs, has_log, log_of, stamp_in_file, stamps_in_log

LOG_REPLACED = (
    "the log beside the book was taken away or replaced while it was open, as programs do that synchronise folders."
    " End, and start again: what was shown as saved is in the book, and what was not is kept beside it."
)
REPLACED = "the book was moved or replaced while it was open. Put it back, or end and start again."


class FileWatch:
    """Remembers which file was opened. Made before the connection is, and kept as long as it.

    Looking costs one ``stat`` as long as the file did not change. It does when the log is
    folded in, by this program or another; then the stamps tell (see
    :mod:`rounds.store.log_stamps`). For that a log stays there while the book is open.
    """

    def __init__(self, path: Path) -> None:
        """Raises OSError and sqlite3's errors."""
        self.path = path
        found = os.stat(path)
        self._file = (found.st_dev, found.st_ino)
        self._state = _state(found)
        self._log: tuple[int, int] | None = None  # from the first look on at which there is one
        self._stamps = {stamp_in_file(path)}  # those the file may have once there is no log

    def check(self) -> None:
        """Raise BookError unless the file at the path is the one that was opened."""
        if not self.is_there():
            raise BookError(f"{self.path}: {REPLACED}")

    def is_there(self) -> bool:
        try:
            found = os.stat(self.path)
            if (found.st_dev, found.st_ino) != self._file:
                return False
            if _state(found) == self._state:
                return True
            # With nothing in the log nothing can have been folded in.
            same = belongs(self.path) if has_log(self.path) else stamp_in_file(self.path) in self._stamps
        except (OSError, sqlite3.Error):  # gone, or being written over
            return False
        if same:
            self._state = _state(found)
        return same

    def has_its_log(self) -> bool:
        """Is the log at its path the one that was there at the first look?

        SQLite takes it away only when nobody has the book open. Taken away by somebody else it is
        still written, but nobody finds it after a kill.
        """
        try:
            found = os.stat(log_of(self.path))
        except OSError:
            now = None
        else:
            now = found.st_dev, found.st_ino
        if self._log is None:
            self._log = now
        return now == self._log

    def was_closed(self) -> None:
        """The connection was closed, by this program, while the file was there.

        The last connection folds the log in and takes it away: no log is left in which the
        stamp of the opening could be found, so what the file holds now is what counts from
        here on. A writer that opens its book again after a full disk comes by here: then the
        log could not be folded in yet, and SQLite may do so later, when the error is
        forgotten that still held on to a statement.
        """
        self._log = None
        try:
            found = os.stat(self.path)
            if (found.st_dev, found.st_ino) == self._file:
                self._state = _state(found)
                self._stamps = {stamp_in_file(self.path), *stamps_in_log(self.path)}
        except (OSError, sqlite3.Error):
            return  # gone meanwhile: the next look says so


def _state(found: os.stat_result) -> tuple[int, int, int]:
    return found.st_size, found.st_mtime_ns, found.st_ctime_ns


def leave_open(connection: sqlite3.Connection) -> None:
    """Keep a connection from ever being closed: closing the last one folds the log into the file.

    It is not what it was opened on any more, and a log folded into another file ruins that.
    The log stays for the next start, as after a kill. A reference that is never given back
    is what keeps the interpreter from closing it at its own end.
    """
    import ctypes  # only then: a start should not load it

    ctypes.pythonapi.Py_IncRef(ctypes.py_object(connection))
