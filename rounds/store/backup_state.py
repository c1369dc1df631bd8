"""How the last backup of a book ended: a small file among its backups, read at the next start.

A backup is made by a process of its own after the walk has left the terminal, so nobody
hears what it says. It writes down here that it began, and then that it ended and how; one
that was cut off leaves the first of the two.
"""

from __future__ import annotations

import json
import os
from datetime import datetime
from pathlib import Path

from rounds.named_tuple import NamedTuple
from rounds.store import backup_sentences, disk
from rounds.store.backup_ladder import backups_in, folder_of

OLD_DAYS = 7
"""A book that was written since its last backup is told of when that is older than this."""
LONGEST_MS = 600_000
"""A backup that began longer ago than this and has not ended was cut off."""
DAY_MS = 86_400_000
NEWEST = (
    "SELECT max(coalesce((SELECT at_ms FROM visit ORDER BY id DESC LIMIT 1), 0),"
    " coalesce((SELECT at_ms FROM act ORDER BY id DESC LIMIT 1), 0))"
)
"""When something was last written into a book, by its newest visit and act: two look-ups."""


class BackupState(NamedTuple):
    """Times are UTC epoch milliseconds. ``began_ms`` is 0 when none is under way; ``failed`` says why the last
    one failed, and is empty when it did not."""

    began_ms: int = 0
    failed: str = ""
    failed_ms: int = 0
    verified: str = ""
    verified_ms: int = 0


def file_of(path: Path) -> Path:
    return folder_of(path) / "state.json"


def read(path: Path) -> BackupState:
    """What was written down for the book at ``path``; nothing where there is no such file, or no sound one."""
    try:
        found = json.loads(file_of(path).read_text(encoding="utf-8"))
        state = BackupState(**found)
        whole = all(type(value) is type(default) for value, default in zip(state, BackupState(), strict=True))
    except (OSError, ValueError, TypeError):
        return BackupState()  # the names of the backups still tell when the last one was made
    return state if whole else BackupState()


def _write(path: Path, state: BackupState) -> None:
    file = file_of(path)
    disk.private_folder(file.parent)
    part = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        with disk.private():
            part.write_text(json.dumps(state._asdict()), encoding="utf-8")
        disk.sync_file(part)
        os.replace(part, file)
        disk.sync_folder(file.parent)
    finally:
        part.unlink(missing_ok=True)


def begin(path: Path, now_ms: int) -> None:
    """A backup begins. Raises OSError."""
    _write(path, read(path)._replace(began_ms=now_ms))


def fail(path: Path, now_ms: int, why: str) -> None:
    """It failed. Raises OSError; what :func:`begin` wrote then tells as much."""
    _write(path, read(path)._replace(began_ms=0, failed=why, failed_ms=now_ms))


def succeed(path: Path, now_ms: int, copy: Path) -> None:
    """``copy`` was made and compared with the book. Raises OSError."""
    _write(path, BackupState(verified=str(copy), verified_ms=now_ms))


def verified_ms(path: Path) -> int:
    """When the newest backup of the book was made that was compared with it; 0 for none. Raises OSError."""
    newest = max((int(b.at.timestamp() * 1000) for b in backups_in(folder_of(path), path.stem)), default=0)
    return max(newest, read(path).verified_ms)


def what_is_wrong(path: Path, written_ms: int, made_ms: int, now_ms: int) -> str:
    """A sentence when the backups of a book need somebody, or "". Reads no book.

    ``written_ms`` is when something was last written into the book, ``made_ms`` when it was
    made. Raises OSError.
    """
    state = read(path)
    if state.failed:
        return backup_sentences.failed(day_of(state.failed_ms), state.failed)
    if state.began_ms and now_ms - state.began_ms > LONGEST_MS:
        return backup_sentences.DID_NOT_END
    last = verified_ms(path)
    days = (now_ms - (last or made_ms)) // DAY_MS
    if days <= OLD_DAYS or written_ms <= last:
        return ""
    return backup_sentences.old(day_of(last), days) if last else backup_sentences.none_yet(days)


def day_of(ms: int) -> str:
    """The day of an instant by this machine's zone, as people read it."""
    from rounds.text.cleaning import long_day

    return long_day(datetime.fromtimestamp(ms / 1000).astimezone().toordinal())
