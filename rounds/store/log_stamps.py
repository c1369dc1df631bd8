"""Does the log beside a book belong to it? A stamp in both tells.

SQLite's log (``-wal``) holds whole pages and does not say of which file. It is left behind by
a program that was killed, and whatever file then stands at the path of the book has these
pages put into it: right for the book itself, the ruin of any other file, an older copy of
the same book included.

So every transaction gives the book a new stamp (``PRAGMA user_version``, 32 bits at a fixed
place in page 1): 16 random bits, and 16 bits of a hash over them and the stamp before.
Page 1 with the stamp is thus in the log once per transaction; what stands in the file itself
is the stamp of the last transaction that was folded in. A log belongs to a file exactly if
the file's stamp is

- one of those in the log (some or all of it was folded in, perhaps not to the end), or
- the one that the first stamp in the log was made after (nothing was folded in yet).

Why that holds in every state a book can be left in: SQLite begins the log anew only when all
of it is in the file, so the first stamp of a log always follows on the file's own; and while
it is folded in, page 1 is either still the old one or one from the log. Killed in the middle
of it, or of writing a transaction, changes nothing in this. Nothing outside the two files is
asked (no inode, no time, no third file), so a folder that was moved, copied or restored
whole still belongs together and its log is read in. A backup is given a stamp of its own
(:func:`restamp`), or one of the same day could carry a stamp that is in the log. A file is
taken for another one by mistake never, another one for it once in about 60,000 times.

What has no stamp (0: the book was last written by a program that made none) can only be
told by chance, and is trusted; it gets its first stamp when it is opened. A log that holds no
stamp at all although the file has one was not written by this program and is not trusted,
unless SQLite would read nothing in from it: a power cut can leave the beginning of one.
"""

from __future__ import annotations

import os
import sqlite3
import struct
import time
import zlib
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from rounds.store.orm import pw, run

MAGIC = (0x377F0682, 0x377F0683)
"""First four bytes of a log (SQLite's file format, section 4.1: checksums little- or big-endian)."""
HEAD, FRAME_HEAD = 32, 24
"""Bytes before the first frame, and before the page in each frame (the same section)."""
STAMP_AT = 60
"""Where ``user_version`` stands in page 1 (SQLite's file format, section 1.3)."""
TRIES, PAUSE = 20, 0.005
"""How often two files that another program is writing are looked at, and the seconds between."""


def log_of(path: Path) -> Path:
    return Path(f"{path}-wal")


def _hash(before: int, drawn: int) -> int:
    return zlib.crc32(struct.pack(">II", before, drawn)) & 0xFFFF


def next_stamp(before: int) -> int:
    """A new stamp, from 1 to 2^32 - 1, that :func:`follows` on ``before``."""
    while True:
        drawn = int.from_bytes(os.urandom(2), "big")
        if made := drawn << 16 | _hash(before, drawn):
            return made


def follows(stamp: int, before: int) -> bool:
    """Was ``stamp`` made after ``before``? For another stamp than that, true once in 65,536 times."""
    return stamp & 0xFFFF == _hash(before, stamp >> 16)


def stamp_of(db: pw.Database) -> int:
    """The stamp that this connection sees, log included. Raises peewee's errors."""
    return int(run(db, "PRAGMA user_version").fetchone()[0]) & 0xFFFFFFFF


def put_next_stamp(db: pw.Database) -> None:
    """Inside a transaction that writes: mark what it writes. Raises peewee's errors."""
    run(db, f"PRAGMA user_version = {_signed(next_stamp(stamp_of(db)))}")


def restamp(db: sqlite3.Connection) -> None:
    """Give a copy a stamp that no log has and that follows on none. Raises sqlite3's errors."""
    db.execute(f"PRAGMA user_version = {_signed(int.from_bytes(os.urandom(4), 'big') or 1)}")


def _signed(stamp: int) -> int:
    return stamp - 2**32 if stamp >= 2**31 else stamp


def stamp_in_file(path: Path) -> int:
    """The stamp in the file itself, its log left aside. Raises sqlite3's errors, for a file that is no book too.

    Read by SQLite, without locks: opened and closed by hand the file would lose every lock
    that this process has on it (POSIX locks). Cut off while the log was folded in, the file can
    be shorter than its first page says; the log makes that good, and ``writable_schema`` lets SQLite
    look at the page all the same.
    """
    uri = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
    with closing(sqlite3.connect(uri, uri=True, isolation_level=None)) as db:
        db.execute("PRAGMA writable_schema = ON")
        return int(db.execute("PRAGMA user_version").fetchone()[0]) & 0xFFFFFFFF


def _frames(path: Path) -> Iterator[tuple[int, int]]:
    """Page number of each frame that SQLite would read in, and, of page 1, the stamp in it.

    Frames of an earlier log further on in the file bear other salts. Checksums are not
    checked: a frame that was not written to its end makes nothing belong together that does
    not.
    """
    try:
        file = log_of(path).open("rb", buffering=0)
    except FileNotFoundError:
        return
    with file:
        head = file.read(HEAD)
        if len(head) < HEAD:
            return
        magic, _, page_size = struct.unpack_from(">III", head)
        if magic not in MAGIC or not 512 <= page_size <= 65536:
            return  # SQLite does not read it either
        at = HEAD
        while len(frame := file.read(FRAME_HEAD + STAMP_AT + 4)) == FRAME_HEAD + STAMP_AT + 4:
            if frame[8:16] != head[16:24]:
                return
            (page,) = struct.unpack_from(">I", frame)
            (stamp,) = struct.unpack_from(">I", frame, FRAME_HEAD + STAMP_AT)
            yield page, stamp if page == 1 else 0
            at += FRAME_HEAD + page_size
            file.seek(at)


def belongs(path: Path) -> bool:
    """Does the log beside the file at ``path`` belong to it? True where there is none, or nothing in it.

    Another program may be writing both meanwhile. Raises sqlite3's errors and OSError.
    """
    if not has_log(path):
        return True
    for _ in range(TRIES):
        stamp, head = stamp_in_file(path), _head(path)
        if _fits(stamp, path):
            return True
        if (stamp_in_file(path), _head(path)) == (stamp, head):
            return not _holds_a_transaction(path)
        time.sleep(PAUSE)
    return False


def _holds_a_transaction(path: Path) -> bool:
    """Would SQLite read anything in from the log? Not where the power was cut before its first transaction was flushed.

    Checked as SQLite checks it (its file format, section 4.2): frames whose checksums fit, up to one that commits.
    """
    with log_of(path).open("rb", buffering=0) as file:
        head = file.read(HEAD)
        (magic, _, page_size) = struct.unpack_from(">III", head)
        order = "<" if magic == MAGIC[0] else ">"
        sums = _checksums(order, head[:24], (0, 0))
        if struct.pack(">II", *sums) != head[24:]:
            return False
        while len(frame := file.read(FRAME_HEAD + page_size)) == FRAME_HEAD + page_size:
            sums = _checksums(order, frame[:8] + frame[FRAME_HEAD:], sums)
            if frame[8:FRAME_HEAD] != head[16:24] + struct.pack(">II", *sums):
                return False
            if any(frame[4:8]):  # the size of the database after this transaction, which it ends
                return True
    return False


def _checksums(order: str, data: bytes, before: tuple[int, int]) -> tuple[int, int]:
    one, other = before
    for first, second in struct.iter_unpack(f"{order}II", data):
        one = (one + first + other) & 0xFFFFFFFF
        other = (other + second + one) & 0xFFFFFFFF
    return one, other


def has_log(path: Path) -> bool:
    """Is there a log with anything in it beside the file at ``path``?"""
    return next(_frames(path), None) is not None


def stamps_in_log(path: Path) -> list[int]:
    """The stamps in the log beside the file at ``path``, the oldest first. Raises OSError."""
    return [stamp for page, stamp in _frames(path) if page == 1]


def _head(path: Path) -> bytes:
    try:
        with log_of(path).open("rb", buffering=0) as file:
            return file.read(HEAD)
    except FileNotFoundError:
        return b""


def _fits(stamp: int, path: Path) -> bool:
    first = True
    for page, found in _frames(path):
        if page == 1:
            if found == stamp or (first and follows(found, stamp)):
                return True
            first = False
    return first and stamp == 0
