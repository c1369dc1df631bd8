"""Do the rows of a book still agree with their checksums? Reads all of it; never on the way of a key."""

from __future__ import annotations

import marshal
import sqlite3
import zlib
from collections.abc import Iterator
from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.store.database_errors import FROM_SQLITE
from rounds.store.row_checksums import KEYS, REMEMBERED, before_cells, cell_ending, crc_of, hashed, signed

_NONE_LEFT = (2**63, 0)

_META = (
    "SELECT (SELECT count(*) FROM meta) = 1 AND typeof(m.schema) = 'integer' AND typeof(m.needs) = 'text'"
    " AND typeof(m.book) = 'blob' AND length(m.book) = 16 AND typeof(m.made_ms) = 'integer'"
    " AND m.schema = coalesce((SELECT max(version) FROM schema_step), m.schema)"
    " AND m.made_ms = coalesce((SELECT at_ms FROM schema_step ORDER BY version LIMIT 1), m.made_ms) FROM meta m"
)
"""1 where what a book says of itself can be: the first and the last step of its schema say it once more."""


class DamagedRow(NamedTuple):
    """A row that is not what was written, by its key; an empty key is a table that cannot be read to its end."""

    table: str
    key: tuple[Any, ...]

    def __str__(self) -> str:
        return f"{self.table} {'/'.join(map(str, self.key))}" if self.key else self.table


class Verified(NamedTuple):
    """``unvouched`` rows have no checksum: they were written by a program that made none."""

    rows: int
    unvouched: int
    damaged: tuple[DamagedRow, ...]


def verify(db: sqlite3.Connection) -> Verified:
    """Look at every row of every table that has checksums. Raises sqlite3's errors where not even its tables can be listed."""
    before = db.text_factory
    db.text_factory = _any_text
    try:
        rows = unvouched = 0
        damaged: list[DamagedRow] = []
        for table, names in _tables(db):
            try:
                for key, agrees in _visits(db, names) if table == "visit" else _rows(db, table, names):
                    rows += 1
                    unvouched += agrees is None
                    if agrees is False:
                        damaged.append(DamagedRow(table, key))
            except FROM_SQLITE:
                damaged.append(DamagedRow(table, ()))
        if meta_disagrees(db):
            damaged.append(DamagedRow("meta", ()))
        damaged += [DamagedRow(table, ()) for table in _misshapen(db)]
        return Verified(rows, unvouched, tuple(damaged))
    finally:
        db.text_factory = before


def meta_disagrees(db: sqlite3.Connection) -> bool:
    """Is what the book says of itself (``meta``, which has no checksum) something else than it was?

    That it is another book of the same kind cannot be seen: nothing else says which it is.
    """
    tables = {
        name for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    }
    if not {"meta", "schema_step"} <= tables:
        return False
    try:
        return bool(db.execute(_META).fetchone() != (1,))
    except FROM_SQLITE:
        return True


def _misshapen(db: sqlite3.Connection) -> list[str]:
    """Tables of a book of the present schema that are not there, or not with their columns.

    A letter of the schema itself may be another: then a table is not among those that are verified,
    or has no checksums any more.
    """
    from rounds.store.migration_steps import SCHEMA
    from rounds.store.models import BY_NAME

    try:
        found = db.execute("SELECT max(schema) FROM meta").fetchone()
    except FROM_SQLITE:
        return []  # no book, or told already
    if found != (SCHEMA,):
        return []
    there = {name for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    return [
        table
        for table, model in BY_NAME.items()
        if table not in there
        or {row[1] for row in db.execute(f'PRAGMA table_info("{table}")')} != set(model._meta.columns)
    ]


def _any_text(raw: bytes) -> str:
    """Damaged text is compared, not refused."""
    return raw.decode("utf-8", "surrogateescape")


def _tables(db: sqlite3.Connection) -> list[tuple[str, tuple[str, ...]]]:
    """Tables with checksums, and the columns that are hashed."""
    out = []
    for (table,) in db.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name"
    ).fetchall():
        names = [row[1] for row in db.execute(f'PRAGMA table_info("{table}")')]
        if "crc" in names:
            out.append((table, hashed(table, names)))
    return out


def _select(table: str, names: tuple[str, ...]) -> str:
    return f'SELECT {", ".join(f"{chr(34)}{name}{chr(34)}" for name in names)}, crc FROM "{table}"'


def _rows(
    db: sqlite3.Connection, table: str, names: tuple[str, ...]
) -> Iterator[tuple[tuple[Any, ...], bool | None]]:
    """Each row's key, and whether it agrees with its checksum (None: it has none)."""
    at = [names.index(name) for name in KEYS.get(table, ("id",))]
    for row in db.execute(_select(table, names)):
        agrees = None if row[-1] is None else row[-1] == crc_of(table, row[:-1])
        yield tuple(row[i] for i in at), agrees


def _visits(db: sqlite3.Connection, names: tuple[str, ...]) -> Iterator[tuple[tuple[Any, ...], bool | None]]:
    """The same of visits with their cells, both read in the order of visits side by side."""
    cells = _cells_of_visits(db)
    visit, together = next(cells, _NONE_LEFT)
    for row in db.execute(f"{_select('visit', names)} ORDER BY id"):
        id_, crc = row[0], crc_of("visit", row[:-1])
        while visit < id_:  # cells of a visit that is not there: the check of references tells
            visit, together = next(cells, _NONE_LEFT)
        if visit == id_:
            crc ^= signed(together)
        yield (id_,), None if row[-1] is None else row[-1] == crc


def _cells_of_visits(db: sqlite3.Connection) -> Iterator[tuple[int, int]]:
    """Each visit with cells, and their checksums by exclusive or.

    Most cells of a book say what many others say, and the rest of a checksum is the same for those. They are told
    apart by :mod:`marshal`, which, unlike ``==``, holds 1 and 1.0 and 0.0 and -0.0 for different.
    """
    endings: dict[bytes, bytes] = {}
    before, seed, together = None, 0, 0
    crc32, written = zlib.crc32, marshal.dumps
    for visit, kind, number, act in db.execute("SELECT visit, kind, number, act FROM reading ORDER BY visit"):
        if type(visit) is not int:
            continue  # of no visit any more: the one it was written for does not agree without it
        if visit != before:
            if before is not None:
                yield before, together
            before, seed, together = visit, before_cells(visit), 0
        said = written((kind, number, act), 2)
        ending = endings.get(said)
        if ending is None:
            if len(endings) > REMEMBERED:
                endings.clear()
            ending = endings[said] = cell_ending(kind, number, act)
        together ^= crc32(ending, seed)
    if before is not None:
        yield before, together
