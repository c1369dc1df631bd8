"""Putting a backup in the place of the book, in an order in which nothing can be lost.

The chosen backup is copied beside the book and verified there; what stands in the book's
place is copied beside it under a dated name, its log first; only then the new file takes
the place. Cut off anywhere, there is the old book with its log, or the new one beside a log
that is not its own, which the next opening tells by its stamp and puts aside
(:mod:`rounds.store.log_stamps`). SQLite's file of shared memory is never taken away by hand:
that would part somebody who is just opening the book from the others.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from rounds.named_tuple import NamedTuple
from rounds.problems import BookError, no_book
from rounds.store import database_errors, disk, restore_sentences
from rounds.store.backup import copy_verified, is_as_made
from rounds.store.book import APPLICATION
from rounds.store.connection import refuse_network
from rounds.store.foreign_log import nobody_else
from rounds.store.log_stamps import log_of
from rounds.store.migration_steps import SCHEMA


class _Told(NamedTuple):
    """What a book says of itself."""

    identity: bytes
    schema: int
    needs: str


def restore(
    path: Path, source: Path, *, another_house: bool = False, now: datetime | None = None
) -> Path | None:
    """Put a verified copy of ``source`` in the place of the book at ``path``.

    Returns where what stood there is kept, or None when nothing did. ``another_house``: also
    when ``source`` is not a backup of this very book. ``now`` is an aware instant. Raises
    BookError, with the book as it was: the backup was changed, is damaged, is no book or too new, is
    another house's; somebody has the book open; there is no room.
    """
    if not source.is_file():
        raise BookError(no_book(source))
    if path.is_dir():
        raise BookError(restore_sentences.folder_there(str(path)))
    if path.exists() and path.samefile(source):
        raise BookError(restore_sentences.itself(str(path)))
    refuse_network(path)
    place = path.resolve()
    part = place.with_name(f".{place.name}.{os.getpid()}.restored")
    try:
        if is_as_made(source) is False:
            raise BookError(restore_sentences.changed(str(source)))
        disk.private_folder(place.parent)
        copy_verified(source, part, at_rest=True)
        told = _told(part, source)
        if not another_house and place.exists() and _identity(place) not in (b"", told.identity):
            raise BookError(restore_sentences.another_house(str(source), str(path)))
        with nobody_else(place) as alone:
            if not alone:
                raise BookError(restore_sentences.in_use(str(path)))
            kept = _keep(place, now or datetime.now(UTC))
            disk.sync_folder(place.parent)  # its name, too, before anything takes its place
            os.replace(part, place)
            disk.sync_folder(place.parent)  # or a power cut may leave the old book without its log
            log_of(place).unlink(missing_ok=True)  # kept with the rest
            disk.sync_folder(place.parent)
        with closing(sqlite3.connect(place)) as db:
            db.execute("SELECT count(*) FROM meta")  # the last to close takes the shared memory away
        return kept
    except (*database_errors.FROM_SQLITE, OSError) as error:
        at = path if isinstance(error, OSError) else source
        raise BookError(
            restore_sentences.not_restored(database_errors.sentence(error, at), str(path))
        ) from error
    finally:
        disk.remove_database(part)


def _told(file: Path, source: Path) -> _Told:
    """What the copy says of itself. Raises BookError when this program cannot open such a book."""
    with closing(sqlite3.connect(file)) as db:
        (application,) = db.execute("PRAGMA application_id").fetchone()
        if application != APPLICATION:
            raise BookError(restore_sentences.no_book_of_ours(str(source)))
        row = db.execute("SELECT book, schema, needs FROM meta").fetchone()
    if row is None:
        raise BookError(restore_sentences.no_book_of_ours(str(source)))
    told = _Told(bytes(row[0]), int(row[1]), str(row[2]))
    if told.schema > SCHEMA:
        raise BookError(restore_sentences.too_new(str(source), told.needs))
    return told


def _identity(path: Path) -> bytes:
    """The identity of the book in its file, its log left aside; empty when it cannot be told."""
    try:
        uri = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
        with closing(sqlite3.connect(uri, uri=True)) as db:
            row = db.execute("SELECT book FROM meta").fetchone()
            return bytes(row[0]) if row else b""
    except (*database_errors.FROM_SQLITE, TypeError):
        return b""  # damaged: then it is the more in need of its backup


def _keep(place: Path, now: datetime) -> Path | None:
    """Copy what stands at the place of the book, with its log, under a name that nothing has.

    None where no book stands; a log alone is kept all the same.
    """
    name = f"{place.name}.kept-{now.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    kept, again = place.with_name(name), 0
    while os.path.lexists(kept) or log_of(kept).exists():
        again += 1
        kept = place.with_name(f"{name}.{again}")
    for there, to in ((log_of(place), log_of(kept)), (place, kept)):
        if there.exists() and (there == place or there.stat().st_size):
            _copy_file(there, to)
    return kept if kept.exists() else None


def _copy_file(there: Path, to: Path) -> None:
    part = to.with_name(f".{to.name}.{os.getpid()}.part")
    try:
        with disk.private():
            part.touch(exist_ok=False)
        shutil.copyfile(there, part)
        disk.sync_file(part)
        os.rename(part, to)
    finally:
        part.unlink(missing_ok=True)
