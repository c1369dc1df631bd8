"""Which backups of a book there are, and which of them are kept: a ladder of days, weeks and months."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from datetime import UTC, datetime
from pathlib import Path

from rounds.named_tuple import NamedTuple

DAILY, WEEKLY, MONTHLY = 7, 4, 12

STEPS = ((DAILY, "%Y-%m-%d"), (WEEKLY, "%G-W%V"), (MONTHLY, "%Y-%m"))
"""How many of the newest days, weeks (ISO 8601) and months that have a backup keep their last one."""


class BackupFile(NamedTuple):
    """A backup by its name: when it was made (UTC), and the reason it was made for ("" after a round)."""

    at: datetime
    reason: str
    path: Path


def folder_of(path: Path) -> Path:
    """Where the backups of the book at ``path`` are kept."""
    path = path.resolve() if path.is_symlink() else path
    return path.with_name(path.name + ".backups")


def file_name(stem: str, reason: str, at: datetime, again: int = 0) -> str:
    """What a backup is called; ``again`` counts those of the same second."""
    named = f"{stem}-{reason}" if reason else stem
    return f"{named}-{at.astimezone(UTC):%Y%m%dT%H%M%SZ}{f'.{again}' if again else ''}.book"


def named(file: Path, stem: str) -> BackupFile | None:
    """``file`` as a backup of the book whose file is called ``stem`` without its ending; None if its name is not one's."""
    pattern = rf"{re.escape(stem)}(?:-(before-[a-z0-9-]+))?-(\d{{8}}T\d{{6}}Z)(?:\.\d+)?\.book"
    match = re.fullmatch(pattern, file.name)
    try:
        return match and BackupFile(datetime.strptime(match[2], "%Y%m%dT%H%M%S%z"), match[1] or "", file)
    except ValueError:  # digits that are no date
        return None


def backups_in(folder: Path, stem: str) -> list[BackupFile]:
    """Backups of the book ``stem`` in a folder, the newest first; none where there is no such folder. Raises OSError."""
    if not folder.is_dir():
        return []
    found = [backup for file in folder.iterdir() if (backup := named(file, stem)) and file.is_file()]
    return sorted(found, key=_made, reverse=True)


def _made(backup: BackupFile) -> tuple[datetime, int, str]:
    """Sorts backups as they were made, those of one second too."""
    return backup.at, len(backup.path.name), backup.path.name


def kept(dates: Iterable[datetime]) -> set[datetime]:
    """Those of ``dates`` (aware) that the ladder keeps: the last of each of its days, weeks and months."""
    newest_first = sorted(set(dates), reverse=True)
    out: set[datetime] = set()
    for limit, period in STEPS:
        last: dict[str, datetime] = {}
        for at in newest_first:
            last.setdefault(at.astimezone(UTC).strftime(period), at)
        out.update(list(last.values())[:limit])
    return out


def to_thin_out(files: Iterable[Path], stem: str, verified: Collection[Path] = ()) -> list[Path]:
    """Those of ``files`` that need not be kept: backups made after rounds that the ladder has no step for.

    Files of other names and backups made for a reason are never among them, nor is one of
    ``verified``: the backup that was compared with the book just now stays, also where a
    clock that was set back makes it the oldest by its name.
    """
    backups = (named(file, stem) for file in files)
    found = sorted((b for b in backups if b and not b.reason), key=_made, reverse=True)
    stay = kept(backup.at for backup in found)
    out: list[Path] = []
    for backup in found:
        if backup.at in stay:
            stay.discard(backup.at)  # of several of one second only the last
        elif backup.path not in verified:
            out.append(backup.path)
    return out
