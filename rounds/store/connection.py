"""Connections to the file of a book, and what its path must be before one is made."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

from rounds.problems import BookError, no_book
from rounds.store import database_errors, disk
from rounds.store.orm import pw, run

WITHOUT_LOG = "ro&immutable=1"
"""To :func:`connect`: look at the file as it is; SQLite reads no log then."""
LONGEST_LOG = 8000
"""Pages of a log that a commit folds into the file by itself. A walk does so in a lull, long before: a commit
that also folds in takes many times as long as one that does not."""
BUSY_SECONDS = 0.25  # short: the writer thread would rather tell the keeper and try again


def connect(path: Path, mode: str = "rw") -> pw.SqliteDatabase:
    """A connection to an existing file with the settings every writer of a book must have.

    ``mode`` is SQLite's: ``rw``, ``ro``, or ``ro&immutable=1``. Raises peewee's errors.
    """
    pragmas: list[tuple[str, Any]] = []
    if mode == "rw":
        pragmas = [
            ("foreign_keys", 1),
            ("synchronous", "FULL"),  # with WAL: a COMMIT that returned survives a power cut
            ("wal_autocheckpoint", LONGEST_LOG),
        ]
        if sys.platform == "darwin":  # there an ordinary sync does not reach the platter
            pragmas += [("fullfsync", 1), ("checkpoint_fullfsync", 1)]
    db = pw.SqliteDatabase(
        f"{path.absolute().as_uri()}?mode={mode}",
        pragmas=pragmas,
        timeout=BUSY_SECONDS,
        uri=True,
        autoconnect=False,
    )
    db.connect()
    return db


def connect_readonly(path: Path) -> pw.SqliteDatabase:
    db = connect(path, "ro")
    try:
        run(db, "SELECT count(*) FROM sqlite_master").fetchone()
        return db
    except pw.DatabaseError as error:
        db.close()
        if not isinstance(error, pw.OperationalError):
            raise
        wal = Path(f"{path}-wal")
        # In a folder that may not be written SQLite cannot share memory with a writer. A
        # log that exists means there is one, or was: without reading it we would show old data.
        if database_errors.is_lock(error) or (wal.exists() and wal.stat().st_size):
            raise
    return connect(path, WITHOUT_LOG)


def where_it_lies(path: Path) -> Path:
    """The file itself where ``path`` is a link: SQLite keeps its log beside the file, and there all else belongs."""
    return path.resolve() if path.is_symlink() else path


def refuse_what_is_no_book(path: Path) -> None:
    if not os.path.lexists(path):
        raise BookError(no_book(path))
    if path.is_dir():
        raise BookError(
            f"{path}: this is a folder, and a book is a file. Give the path of the file inside it."
        )
    # Never open the file to look at its head: closing it would drop every lock this process has
    # on it, also those of a connection in another thread (POSIX locks), and lose its log.
    if not os.access(path, os.R_OK):
        raise BookError(f"{path}: the book cannot be read. Check the rights of the file.")
    if path.stat().st_size == 0:  # to SQLite that is an empty database
        raise BookError(
            f"{path}: this file is empty and not a book. Make one with `rounds new`, or check the path."
        )


def refuse_network(path: Path) -> None:
    kind = disk.network_file_system(path)
    if kind:
        raise BookError(
            f"{path}: this folder is on a network file system ({kind}), where a book can be damaged."
            " Keep it on a disk of this machine."
        )


def refuse_unwritable(path: Path) -> None:
    if not os.access(path, os.W_OK):
        raise BookError(f"{path}: the book is read-only. Check the rights of the file.")
    if not os.access(path.absolute().parent, os.W_OK):
        raise BookError(
            f"{path}: the folder of the book is read-only. A book needs to write files beside itself."
        )
