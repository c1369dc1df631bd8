"""A book in a folder that a program keeps the same on several machines: what that leaves beside it.

Such a program copies whole files, whenever it likes. A book and its log are copied at two
moments, so that on the other machine a log may lie beside a file it is not of (told by
:mod:`rounds.store.foreign_log`); and where the book was written on two machines at once, one of
the two is given another name beside the other. Nobody would look there for half a day of readings.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

_MARKS = (
    r"conflict",  # "(… conflicted copy 2026-11-29)", "_conflict-20261129", ".sync-conflict-20261129-…"
    r"\bkonflikt",
    r"\bcopy\b",  # "book (copy).sqlite", "book - Copy.sqlite"
    r"^ ?\(\d+\)$",  # "book (1).sqlite"
    r"^ \d{1,2}$",  # "book 2.sqlite"
)
"""What such a copy has in its name beside the book's own. Common practice of these programs, no source; lower case."""


def conflict_copies(path: Path) -> list[Path]:
    """Files beside the book that look like a copy of it, made where two machines wrote it, by name. Raises OSError."""
    folder, stem = path.absolute().parent, path.stem
    if not folder.is_dir():
        return []
    found = []
    with os.scandir(folder) as entries:
        for entry in entries:
            if not entry.name.startswith(stem):
                continue
            added = entry.name[len(stem) :].lower()
            for ending in (path.suffix, f"{path.suffix}-wal"):
                part = added.removesuffix(ending.lower())
                if len(part) + len(ending) == len(added) and _is_a_mark(part) and entry.is_file():
                    found.append(Path(entry.path))
                    break
    return sorted(found)


def _is_a_mark(added: str) -> bool:
    return any(re.search(mark, added) for mark in _MARKS)
