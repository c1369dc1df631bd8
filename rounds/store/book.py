"""Opening and making a book: one SQLite file, written so that what is committed stays.

A :class:`Book` belongs to the thread that opened it; open another for another thread.

Before SQLite opens a book, its log must be its own (:mod:`rounds.store.log_stamps`); one that
is another file's is put aside (:mod:`rounds.store.foreign_log`), and a book opened only to
look is read without it. While it is open, every transaction makes sure before it
begins, before it is committed and before it is called saved that the file is still there
(:mod:`rounds.store.file_watch`). Nothing is written otherwise, and the connection is left
open: to close it could fold its log into the file that was put in its place.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any

from rounds import __version__
from rounds.problems import BookError
from rounds.records.observations import House
from rounds.store import database_errors, disk, foreign_log, log_stamps
from rounds.store.connection import (
    WITHOUT_LOG,
    connect,
    connect_readonly,
    refuse_network,
    refuse_unwritable,
    refuse_what_is_no_book,
    where_it_lies,
)
from rounds.store.file_watch import LOG_REPLACED, FileWatch, leave_open
from rounds.store.ids import now_ms
from rounds.store.migration_steps import SCHEMA, STEPS, MigrationStep
from rounds.store.orm import ask, pw, run

APPLICATION = 0x526E6473  # "Rnds" in the header of the file: this SQLite file is a book


class Book:
    """An open book. ``notes`` are sentences about what opening it did, usually none."""

    def __init__(
        self,
        path: Path,
        db: pw.SqliteDatabase,
        watch: FileWatch,
        *,
        readonly: bool,
        notes: Sequence[str] = (),
    ) -> None:
        self.path = path
        self.db = db
        self.watch = watch
        self.readonly = readonly
        self._open = True
        foreign_log.note_opened(path)
        watch.has_its_log()  # the first look
        self.notes = tuple(notes)

    def run(self, sql: str, values: Sequence[Any] = ()) -> Any:
        """Run one statement (``?`` per value); returns the cursor. Raises peewee's errors."""
        return run(self.db, sql, values)

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        found: list[tuple[Any, ...]] = run(self.db, sql, values).fetchall()
        return found

    def row(self, sql: str, values: Sequence[Any] = ()) -> tuple[Any, ...] | None:
        found: tuple[Any, ...] | None = run(self.db, sql, values).fetchone()
        return found

    def ask(self, query: Any) -> list[tuple[Any, ...]]:
        """The rows that a query of peewee's builder gives. Raises peewee's errors."""
        found: list[tuple[Any, ...]] = ask(self.db, query).fetchall()
        return found

    def do(self, query: Any) -> int:
        """Run a query of peewee's builder that writes; returns how many rows it touched."""
        return int(ask(self.db, query).rowcount)

    @contextmanager
    def writing(self, wait: float = 0.0) -> Iterator[None]:
        """One transaction that may write, locked from its start; any exception rolls it back.

        It has been saved when the block was left without an exception, not before. While
        another program writes, its start is tried again for ``wait`` seconds. Raises
        BookError, with nothing written, if the book is not at its path any more.
        """
        self._check()
        until = time.monotonic() + wait
        while True:
            try:
                self.run("BEGIN IMMEDIATE")
                break
            except pw.OperationalError as error:
                if not database_errors.is_lock(error) or time.monotonic() >= until:
                    raise
        try:
            log_stamps.put_next_stamp(self.db)
            yield
            self.watch.check()
            self.run("COMMIT")
        except BaseException:
            self._roll_back()
            raise
        self._check()  # replaced just now, it is not saved: the log is no more this file's

    def _check(self) -> None:
        """Raise BookError unless file and log are those that were opened.

        What is in a log that nobody else finds any more is put into the file first.
        """
        self.watch.check()
        if not self.watch.has_its_log():
            self.run("PRAGMA wal_checkpoint(FULL)")
            raise BookError(f"{self.path}: {LOG_REPLACED}")

    @contextmanager
    def reading(self) -> Iterator[None]:
        """One view of the book for several queries; inside another transaction it is that one."""
        if self.db.connection().in_transaction:  # type: ignore[no-untyped-call]
            yield
            return
        self.run("BEGIN")
        try:
            yield
        finally:
            self._roll_back()

    def _roll_back(self) -> None:
        # After a full disk or an I/O error SQLite may have rolled back by itself.
        if self.db.connection().in_transaction:  # type: ignore[no-untyped-call]
            self.run("ROLLBACK")

    def tidy(self) -> None:
        """Refresh the planner's statistics and fold the log into the file: at the end of a round."""
        with self.writing():
            self.run("PRAGMA optimize")
        self.fold_in()

    def fold_in(self) -> None:
        """Fold the log into the file, and begin it anew with the next transaction."""
        self.watch.check()
        self.run(
            "PRAGMA wal_checkpoint(RESTART)"
        )  # the log keeps what is in it: other watches look for their stamp

    def fold_in_some(self) -> None:
        """Fold as much of the log into the file as nobody reads just now; waits for nobody."""
        self.watch.check()
        self.run("PRAGMA wal_checkpoint(PASSIVE)")

    @property
    def identity(self) -> bytes:
        """16 bytes that every copy of this book has, and no other book."""
        found = self.row("SELECT book FROM meta")
        assert found is not None
        return bytes(found[0])

    def close(self) -> None:
        if not self._open:
            return
        self._open = False
        foreign_log.note_closed(self.path)
        if self.readonly:
            self.db.close()
        elif self.watch.is_there():
            if not self.watch.has_its_log():
                foreign_log.keep(self.path)  # closing the last connection deletes what stands there
            self.db.close()
            self.watch.was_closed()
        else:
            leave_open(self.db.connection())  # type: ignore[no-untyped-call]

    def __enter__(self) -> Book:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def create(path: Path | str, house: House, first: Callable[[Book], object] | None = None) -> Book:
    """Make a book for ``house`` at ``path`` and open it. Nothing is left half made.

    It is empty, or has what ``first`` wrote into it before it was put in its place. Raises
    BookError if something is there already or the place cannot hold a book, and what
    ``first`` raises.
    """
    path = Path(path)
    if os.path.lexists(path):
        what = "a folder" if path.is_dir() else "a file"
        raise BookError(
            f"{path}: there is {what} of this name already. Choose another name for the new book."
        )
    refuse_network(path)
    made = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        disk.private_folder(path.parent)
        with disk.private():
            made.touch(exist_ok=False)
        _fill(made, house)
        if first is not None:
            with open_book(made) as book:
                first(book)
                book.fold_in()
        disk.sync_file(made)
        try:
            disk.put_in_place(made, path)
        except FileExistsError:
            raise BookError(f"{path}: there is a file of this name already. Choose another name.") from None
    except (pw.DatabaseError, OSError) as error:
        raise BookError(database_errors.sentence(error, path)) from error
    finally:
        disk.remove_database(made)
    return open_book(path)


def _fill(path: Path, house: House) -> None:
    from rounds.store import models
    from rounds.store.row_checksums import seal_all

    db = connect(path)
    try:
        run(db, f"PRAGMA application_id = {APPLICATION}")
        run(db, "BEGIN IMMEDIATE")
        for model in models.MODELS:
            pw.SchemaManager(model, database=db).create_all()
        for view in models.VIEWS:
            run(db, view)
        log_stamps.put_next_stamp(db)
        now = now_ms()
        for query in models.first_rows(SCHEMA, __version__, os.urandom(16), now, house):
            ask(db, query)
        seal_all(db)
        run(db, "COMMIT")
        run(db, "PRAGMA journal_mode = WAL")
    finally:
        db.close()


def open_book(path: Path | str, *, readonly: bool = False, steps: Sequence[MigrationStep] = STEPS) -> Book:
    """Open the book at ``path``; a book of an older schema is backed up and brought up to date.

    ``readonly`` only looks, also where nothing may be written. ``steps`` are the schema's
    steps (tests bring their own). Raises BookError: missing, a folder, not a book, made by a
    newer program, locked, not writable, no space, on a network file system.
    """
    path = where_it_lies(Path(path))
    refuse_what_is_no_book(path)
    refuse_network(path)
    if not readonly:
        refuse_unwritable(path)
    notes: list[str] = []
    try:
        watch = FileWatch(path)
        own_log = log_stamps.belongs(path)
        if not readonly:
            notes += filter(None, [foreign_log.gone(path) if own_log else foreign_log.set_aside(path)])
        if readonly:
            db = connect_readonly(path) if own_log else connect(path, WITHOUT_LOG)
        else:
            db = connect(path)
        try:
            notes += _check(db, path, steps, readonly=readonly)
        except BaseException:
            db.close()
            raise
    except (pw.DatabaseError, *database_errors.FROM_SQLITE, OSError) as error:
        raise BookError(database_errors.sentence(error, path)) from error
    book = Book(path, db, watch, readonly=readonly, notes=notes)
    if not readonly:
        _first_stamp(book)
    return book


def _first_stamp(book: Book) -> None:
    """A book that no program with stamps has written yet gets its first one, in the file itself."""
    try:
        if not log_stamps.stamp_of(book.db):
            with book.writing():
                pass  # every transaction gives a stamp
            book.fold_in()
    except pw.OperationalError as error:
        if not database_errors.is_lock(error):
            book.close()
            raise BookError(database_errors.sentence(error, book.path)) from error
        # Another program writes: the next transaction of either gives it.
    except BookError:
        book.close()
        raise


def _check(db: pw.SqliteDatabase, path: Path, steps: Sequence[MigrationStep], *, readonly: bool) -> list[str]:
    application = run(db, "PRAGMA application_id").fetchone()[0]
    tables = {name for (name,) in run(db, "SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()}
    if application != APPLICATION or "meta" not in tables:
        raise BookError(f"{path}: this is a SQLite file of another program, not a book.")
    found = run(db, "SELECT schema, needs FROM meta").fetchone()
    if found is None or not isinstance(found[0], int):
        raise BookError(f"{path}: the book does not say which schema it has. Restore a backup.")
    version, needs = found
    newest = steps[-1].version if steps else SCHEMA
    if version > newest:
        raise BookError(
            f"{path}: this book was written by a newer program (schema {version}, this one knows {newest})."
            f" It needs rounds {needs} or newer."
        )
    if version < newest and readonly:
        raise BookError(
            f"{path}: this book has the older schema {version}. Open it once for writing to bring it up to {newest}."
        )
    # Before anything is written: what is written without a log leaves no trace of the stamp before it.
    if not readonly and run(db, "PRAGMA journal_mode").fetchone()[0] != "wal":
        run(db, "PRAGMA journal_mode = WAL")
    if version == newest:
        return []
    from rounds.store.migrations import migrate

    return [migrate(db, path, steps)]
