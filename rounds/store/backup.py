"""Verified copies of a book: one that was not opened again and compared is not a backup.

``python -m rounds.store.backup PATH`` makes one in a process of its own and prints where
it is, so that a walk need not wait for it.
"""

from __future__ import annotations

import hashlib
import os
import re
import sqlite3
import sys
from collections.abc import Iterable, Sequence
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from rounds.named_tuple import NamedTuple
from rounds.problems import BookError
from rounds.store import database_errors, disk, log_stamps

DAILY, WEEKLY, MONTHLY = 7, 4, 12
CHUNK = 20_000  # rows whose text is hashed at once: a few MB

_NAME = re.compile(r"(?P<stem>.+)-(?P<at>\d{8}T\d{6}Z)(?P<again>\.\d+)?\.book")


class Counted(NamedTuple):
    """What a book holds, for comparing two: rows by table, and one hash over every value."""

    rows: dict[str, int]
    hash: str


def folder_of(path: Path) -> Path:
    """Where the backups of the book at ``path`` are kept."""
    return path.with_name(path.name + ".backups")


def back_up(path: Path, *, label: str = "", now: datetime | None = None) -> Path:
    """Copy the book, open the copy again and compare it, then thin out older copies.

    Returns the copy's path. ``label`` marks a copy made for a reason; labelled ones are
    never thinned out. ``now`` is an aware instant (default: the clock). The book may be
    written meanwhile: the copy is of one moment. Raises BookError, leaving no half copy.
    """
    folder = folder_of(path)
    stem = f"{path.stem}-{label}" if label else path.stem
    at = (now or datetime.now(UTC)).astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    part = folder / f".{stem}-{at}.{os.getpid()}.part"
    try:
        disk.private_folder(folder)
        with disk.private():
            part.touch(exist_ok=False)
        _copy(path, part)
        disk.sync_file(part)
        done = _settle(part, folder, f"{stem}-{at}")
        disk.sync_folder(folder)
    except (sqlite3.Error, OSError) as error:
        raise BookError(f"The backup could not be made. {database_errors.sentence(error, path)}") from error
    finally:
        disk.remove_database(part)
    if not label:
        for old in to_thin_out(sorted(folder.glob("*.book")), path.stem):
            old.unlink()
    return done


def _settle(part: Path, folder: Path, name: str) -> Path:
    """Give the copy its name, never that of another one made in the same second."""
    for again in range(1000):
        done = folder / (f"{name}.{again}.book" if again else f"{name}.book")
        if not done.exists():
            os.rename(part, done)
            return done
    raise OSError(f"{folder} holds too many backups of one second")


def _copy(path: Path, part: Path) -> None:
    if not log_stamps.belongs(path):
        raise BookError(
            f"{path}: the log beside the book is of another file. Open the book once; it is put aside."
        )
    with closing(
        sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, isolation_level=None)
    ) as source:
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
            raise BookError(f"{path}: the backup is damaged ({said[0]}). The book may be, too: check it.")
        if count(copy) != wanted:
            raise BookError(f"{path}: the backup does not hold the same as the book. Nothing was kept of it.")


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


def to_thin_out(copies: Iterable[Path], stem: str) -> list[Path]:
    """Those of ``copies`` of the book called ``stem`` that need not be kept.

    Kept are the newest of each of the last 7 days, 4 weeks and 12 months that have any
    (UTC; weeks are ISO 8601's). Other files, labelled copies among them, are not touched.
    """
    dated: list[tuple[datetime, str, Path]] = []
    for copy in copies:
        match = _NAME.fullmatch(copy.name)
        if match and match["stem"] == stem:
            dated.append((datetime.strptime(match["at"], "%Y%m%dT%H%M%S%z"), copy.name, copy))
    dated.sort(key=lambda found: (found[0], len(found[1]), found[1]), reverse=True)
    kept: set[Path] = set()
    for limit, period in ((DAILY, "%Y-%m-%d"), (WEEKLY, "%G-W%V"), (MONTHLY, "%Y-%m")):
        newest: dict[str, Path] = {}
        for at, _, copy in dated:
            newest.setdefault(at.strftime(period), copy)
        kept.update(list(newest.values())[:limit])
    return [copy for _, _, copy in dated if copy not in kept]


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
