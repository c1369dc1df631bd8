"""Looking over what is around a book: what lies beside it, its backups, the disk, SQLite, the clock."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path

from rounds.store import backup_state, database_errors, rescue, synced_folder
from rounds.store import checkup_sentences as say
from rounds.store.backup import is_as_made
from rounds.store.backup_ladder import backups_in, folder_of
from rounds.store.checkup import Finding, good, wrong
from rounds.store.connection import where_it_lies
from rounds.text.cleaning import long_day

SLACK_MS = 5 * 60_000
"""A clock may be behind the newest entry by so much: two machines never agree to the second."""

BAD_SQLITE = (
    ((3, 35, 0), (3, 37, 1), "can damage a book when part of a transaction is taken back"),
    ((3, 52, 0), (3, 52, 0), "was withdrawn by its makers"),
)
"""First and last version, and what is wrong with it. From SQLite's release notes of 3.37.2 and 3.51.3 (sqlite.org/changes.html)."""

RARE_TROUBLE = (
    ((3, 7, 0), (3, 51, 2)),
    ((3, 44, 6), (3, 44, 99)),
    ((3, 50, 7), (3, 50, 99)),
)
"""Versions whose log can very rarely be damaged when two programs write and tidy at the same moment, and then those
among them that were mended (sqlite.org/wal.html, section "WAL-Reset Bug"; the two mended branches from memory)."""


def around_the_book(path: Path, now_ms: int) -> Iterator[Finding]:
    """What lies beside the book, its backups, the disk, SQLite and the clock."""
    path = where_it_lies(path)
    yield _rescued(path)
    yield _copies(path)
    yield from _backups(path, now_ms)
    yield _room(path)
    yield sqlite_version(sqlite3.sqlite_version_info)
    yield _clock(path, now_ms)


def _rescued(path: Path) -> Finding:
    waiting = rescue.pending(path)
    if waiting:
        return wrong("rescued entries", say.rescued(len(waiting)), say.START_ONCE)
    refused = tuple(sorted(file.name for file in rescue.refused(path)))
    if refused:
        return Finding("rescued entries", "note", say.refused(refused))
    return good("rescued entries", say.NOTHING_RESCUED)


def _copies(path: Path) -> Finding:
    found = tuple(file.name for file in synced_folder.conflict_copies(path))
    if found:
        return wrong("other copies", say.conflict_copies(found), say.LOOK_AT_COPIES)
    return good("other copies", say.ALONE)


def _backups(path: Path, now_ms: int) -> Iterator[Finding]:
    try:
        told = backup_state.what_is_wrong(path, _newest(path), _made(path), now_ms)
        last = backup_state.verified_ms(path)
        changed = [b.path for b in backups_in(folder_of(path), path.stem) if is_as_made(b.path) is False]
    except OSError as error:
        yield wrong("backup", database_errors.sentence(error, folder_of(path)), say.BACK_UP)
        return
    if told:
        yield wrong("backup", told.removesuffix(say.BACK_UP).strip().rstrip("."), say.BACK_UP)
    elif last:
        yield good("backup", say.backed_up(_moment(last)))
    else:
        yield Finding("backup", "note", say.never_backed_up(), say.BACK_UP)
    for file in changed:
        yield wrong("backup", say.backup_changed(str(file)), say.TAKE_AWAY)


def _room(path: Path) -> Finding:
    folder = path.absolute().parent
    needed = 3 * path.stat().st_size if path.exists() else 0
    try:
        free = shutil.disk_usage(folder).free
    except OSError as error:
        return wrong("room", database_errors.sentence(error, folder), say.MAKE_ROOM)
    if free < needed:
        return wrong("room", say.little_room(_size(free), _size(needed)), say.MAKE_ROOM)
    return good("room", say.room(_size(free)))


def sqlite_version(version: tuple[int, int, int]) -> Finding:
    """Is this version of SQLite known to damage books?"""
    name = ".".join(map(str, version))
    for first, last, why in BAD_SQLITE:
        if first <= version <= last:
            return wrong("SQLite", say.sqlite_bad(name, why), say.UPDATE_SQLITE)
    (first, last), *mended = RARE_TROUBLE
    if first <= version <= last and not any(a <= version <= b for a, b in mended):
        return Finding("SQLite", "note", say.sqlite_rare(name))
    return good("SQLite", say.sqlite(name))


def _clock(path: Path, now_ms: int) -> Finding:
    newest = _newest(path)
    if newest > now_ms + SLACK_MS:
        return wrong("the clock", say.clock_behind(_moment(newest)), say.SET_CLOCK)
    return good("the clock", say.CLOCK)


def _asked(path: Path, sql: str) -> int:
    """One number of the book; 0 when it cannot be told, which the checks of the book itself tell of."""
    try:
        uri = f"{path.absolute().as_uri()}?mode=ro"
        with closing(sqlite3.connect(uri, uri=True)) as db:
            row = db.execute(sql).fetchone()
            return int(row[0] or 0) if row else 0
    except (sqlite3.Error, TypeError, ValueError):
        return 0


def _newest(path: Path) -> int:
    return _asked(path, backup_state.NEWEST)


def _made(path: Path) -> int:
    return _asked(path, "SELECT made_ms FROM meta")


def _size(n: float) -> str:
    for unit in ("bytes", "kB", "MB"):
        if n < 1000:
            return f"{n:.0f} {unit}"
        n /= 1000
    return f"{n:.0f} GB"


def _moment(ms: int) -> str:
    """Day and time of an instant by this machine's zone."""
    at = datetime.fromtimestamp(ms / 1000).astimezone()
    return f"{long_day(at.toordinal())}, {at:%H:%M}"
