"""Verified copies of a book: one that was not opened again and compared is not a backup.

``python -m rounds.store.backup PATH`` makes one in a process of its own and prints where
it is, so that a walk need not wait for it.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
import sys
from collections.abc import Sequence
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path

from rounds.named_tuple import NamedTuple
from rounds.problems import BookError, no_book
from rounds.store import backup_sentences, backup_state, damage, database_errors, disk, log_stamps
from rounds.store.backup_ladder import file_name, folder_of, to_thin_out
from rounds.store.connection import WITHOUT_LOG, where_it_lies
from rounds.store.row_verifying import verify

CHUNK = 20_000  # rows whose text is hashed at once: a few MB
BLOCK = 1 << 20  # bytes of a file that are hashed at once


class Counted(NamedTuple):
    """What a book holds, for comparing two: rows by table, and one hash over every value."""

    rows: dict[str, int]
    hash: str


def back_up(path: Path, *, reason: str = "", folder: Path | None = None, now: datetime | None = None) -> Path:
    """Copy the book, open the copy again and compare it, then thin out older copies.

    Returns the copy's path. Beside it stands its hash (:func:`hash_file_of`), and in the
    book's own folder of backups how this one ended (:mod:`rounds.store.backup_state`).
    ``reason`` marks a copy made before something (``before-load``); those are never thinned
    out, and neither is anything in another ``folder`` than the book's own, where copies of
    other books may lie. ``now`` is an aware instant (default: the clock). The book may be
    written meanwhile: the copy is of one moment. Raises BookError, leaving no half copy.
    """
    path = where_it_lies(path)
    if not path.is_file():
        raise BookError(backup_sentences.not_made(no_book(path)))
    at = now or datetime.now(UTC)
    at_ms = int(at.timestamp() * 1000)
    try:
        backup_state.begin(path, at_ms)
        done = _verified_copy(path, folder or folder_of(path), reason, at)
        backup_state.succeed(path, at_ms, done)
    except (BookError, *database_errors.FROM_SQLITE, OSError) as error:
        why = str(error) if isinstance(error, BookError) else database_errors.sentence(error, path)
        said = backup_sentences.not_made(why)
        try:
            backup_state.fail(path, at_ms, why)
        except OSError as also:
            said += f" {database_errors.sentence(also, backup_state.file_of(path))}"
        raise BookError(said) from error
    _sweep(folder or folder_of(path), path.stem, at_ms)
    if folder is None and not reason:
        for old in to_thin_out(folder_of(path).glob("*.book"), path.stem, {done}):
            old.unlink()
            hash_file_of(old).unlink(missing_ok=True)
    return done


def _sweep(folder: Path, stem: str, now_ms: int) -> None:
    """Remove what backups left half made that were cut off; each may be as big as the book."""
    for part in folder.glob(f".{stem}-*.book.*.part"):
        with suppress(OSError):  # another program may be sweeping, too
            if now_ms - part.stat().st_mtime * 1000 > backup_state.LONGEST_MS:
                disk.remove_database(part)


def _verified_copy(path: Path, folder: Path, reason: str, at: datetime) -> Path:
    part = folder / f".{file_name(path.stem, reason, at)}.{os.getpid()}.part"
    try:
        disk.private_folder(folder)
        copy_verified(path, part)
        done = _settle(part, folder, path.stem, reason, at)
        disk.sync_folder(folder)
    finally:
        disk.remove_database(part)
    return done


def _settle(part: Path, folder: Path, stem: str, reason: str, at: datetime) -> Path:
    """Give the copy its name, never that of another one made in the same second, and write its hash beside it."""
    for again in range(1000):
        done = folder / file_name(stem, reason, at, again)
        if not done.exists():
            with disk.private():
                hash_file_of(done).write_text(f"{hash_of(part)}  {done.name}\n", encoding="utf-8")
            disk.sync_file(hash_file_of(done))
            os.rename(part, done)
            return done
    raise OSError(backup_sentences.too_many(str(folder)))


def hash_file_of(copy: Path) -> Path:
    """The file with the hash of a backup, as ``sha256sum -c`` reads it."""
    return copy.with_name(f"{copy.name}.sha256")


def hash_of(file: Path) -> str:
    """SHA-256 of a file's bytes in hex. Raises OSError."""
    digest = hashlib.sha256()
    with file.open("rb") as opened:
        while block := opened.read(BLOCK):
            digest.update(block)
    return digest.hexdigest()


def is_as_made(copy: Path) -> bool | None:
    """Has a backup still the bytes it was made with? None where no hash was kept. Raises OSError."""
    try:
        kept = hash_file_of(copy).read_text(encoding="utf-8", errors="replace").split()
    except FileNotFoundError:
        return None
    return bool(kept) and kept[0] == hash_of(copy)


def copy_verified(path: Path, part: Path, *, at_rest: bool = False) -> None:
    """Make a private copy of the book at ``path``, open it again, check and compare it, and flush it to the disk.

    ``at_rest``: nobody writes it, and where it has no log nothing is made beside it (it may
    lie where nothing can be written). Raises BookError for a damaged book or a copy that differs, sqlite3's errors and OSError;
    what there is of ``part`` is then the caller's to remove.
    """
    if not log_stamps.belongs(path):
        raise BookError(f"{path}: {backup_sentences.FOREIGN_LOG}")
    with disk.private():
        part.touch(exist_ok=False)
    mode = WITHOUT_LOG if at_rest and not log_stamps.has_log(path) else "ro"
    uri = f"{path.absolute().as_uri()}?mode={mode}"
    with closing(sqlite3.connect(uri, uri=True, isolation_level=None)) as source:
        # One read transaction for the copy and the count: both see the same moment.
        source.execute("BEGIN")
        source.execute("SELECT count(*) FROM sqlite_master").fetchone()
        with closing(sqlite3.connect(part, isolation_level=None)) as target:
            source.backup(target)
            log_stamps.restamp(target)
        wanted = count(source)
    with closing(sqlite3.connect(part, isolation_level=None)) as copy:
        said = [row[0] for row in copy.execute("PRAGMA integrity_check(1)")]
        if said != ["ok"]:
            raise BookError(backup_sentences.damaged(str(path), said[0]))
        if found := damage.named_rows(verify(copy).damaged):
            raise BookError(backup_sentences.damaged(str(path), found))
        if count(copy) != wanted:
            raise BookError(backup_sentences.differs(str(path)))
    disk.sync_file(part)


def count(db: sqlite3.Connection) -> Counted:
    """Rows by table, and a hash over all values of all tables in the order of their keys."""
    rows: dict[str, int] = {}
    digest = hashlib.blake2b(digest_size=16)
    tables = db.execute(
        "SELECT name, sql FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
    )
    for table, sql in tables.fetchall():
        digest.update(f"{table}\0{sql}\0".encode())
        info = db.execute(f'PRAGMA table_info("{table}")').fetchall()
        values = "||','||".join(f'quote("{column[1]}")' for column in info)
        keys = [c[1] for c in sorted(info, key=lambda c: c[5]) if c[5]]
        order = ", ".join(f'"{key}"' for key in keys) or "rowid"
        rows[table] = 0
        cursor = db.execute(f'SELECT {values} FROM "{table}" ORDER BY {order}')
        while some := cursor.fetchmany(CHUNK):
            rows[table] += len(some)
            digest.update("\n".join([row[0] for row in some]).encode("utf-8", "surrogatepass"))
            digest.update(b"\n")
    return Counted(rows, digest.hexdigest())


def main(arguments: Sequence[str]) -> int:
    """Back up the book whose path is the only argument: its copy on stdout, 0; or 2, or 3."""
    if len(arguments) != 1:
        print("usage: python -m rounds.store.backup PATH", file=sys.stderr)
        return 2
    try:
        print(back_up(Path(arguments[0])))
    except BookError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
