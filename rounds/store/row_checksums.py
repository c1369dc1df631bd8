"""A checksum in every row that holds what somebody said, written in the transaction that writes the row.

SQLite finds a page that is out of order, but not a number or a letter that another one has
taken the place of. So each row has the CRC-32 of its values in the column ``crc`` (signed:
four bytes). The cells of a visit have no column of their own: the checksum of the visit is that
of its row and those of its cells, each with its visit, put together by exclusive or. So a
cell that changes changes it by two checksums, and what is damaged beside it stays told.

Values are hashed as SQLite gives them back, written out by :func:`ascii`, which is the same in
every version of Python. NULL says that nobody vouches for the row. A row that does not agree
with its checksum any more keeps it, whatever is written into it later: damage must not be
made good by writing beside it. Verifying is in :mod:`rounds.store.row_verifying`.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any
from weakref import WeakKeyDictionary

from rounds.store.orm import pw, run

LEFT_OUT = {"round": ("at_enclosure",)}
"""Columns that are not hashed: where a round stands changes with every box."""
REMEMBERED = 20_000
"""Cells whose part of a checksum is kept at a time, where those of a whole book are made or verified."""
KEYS = {
    "flag": ("visit", "rule"),
    "act_change": ("act", "seq"),
    "not_seen": ("round", "enclosure"),
    "tagged": ("subject_table", "subject", "tag"),
}
"""What names a row where it is not its ``id``."""
CHUNK = 1_000
"""Visits that are sealed at once, with their cells."""

_READING = zlib.crc32(b"reading")
_columns: WeakKeyDictionary[pw.Database, dict[str, tuple[str, ...]]] = WeakKeyDictionary()
"""By connection: another book may be of another schema."""


def crc_of(table: str, values: Sequence[Any]) -> int:
    """The checksum of a row, from -2^31 to 2^31 - 1."""
    return signed(zlib.crc32(ascii(tuple(values)).encode("ascii"), zlib.crc32(table.encode())))


def signed(crc: int) -> int:
    """A checksum as its column holds it."""
    return crc - 2**32 if crc >= 2**31 else crc


def crc_of_cell(visit: int, kind: int, number: float | None, act: int | None) -> int:
    """The checksum of a row of ``reading``, as it is put into that of its visit."""
    return crc_of(
        "reading", (visit, kind, None if number is None else number + 0.0, act)
    )  # -0.0 comes back as 0.0


def before_cells(visit: int) -> int:
    """What the checksums of all cells of a visit begin with, to go on from by :func:`cell_ending`."""
    return zlib.crc32(b"(%d, " % visit, _READING)


def cell_ending(kind: Any, number: Any, act: Any) -> bytes:
    """The rest of what :func:`crc_of` reads of a cell: the same for every visit, and so worth keeping."""
    return ascii((kind, number, act))[1:].encode("ascii")


def columns_of(db: pw.Database, table: str) -> tuple[str, ...]:
    """The columns that are hashed, in the order of the table."""
    known = _columns.setdefault(db, {})
    found = known.get(table)
    if found is None:
        if isinstance(db, pw.SqliteDatabase):
            names = _names(db, table)
        else:
            from rounds.store.models import BY_NAME  # a server has no such question; these are no start's way

            names = [field.column_name for field in BY_NAME[table]._meta.sorted_fields]
        found = known[table] = hashed(table, names)
    return found


def hashed(table: str, names: Sequence[str]) -> tuple[str, ...]:
    """Those of a table's columns that are hashed."""
    return tuple(name for name in names if name != "crc" and name not in LEFT_OUT.get(table, ()))


def forget_columns(db: pw.Database) -> None:
    """The tables were changed."""
    _columns.pop(db, None)


def _rows(db: pw.Database, table: str, where: str, values: Sequence[Any]) -> list[tuple[Any, ...]]:
    """The hashed values of rows, and their checksum last."""
    names = ", ".join(f'"{name}"' for name in columns_of(db, table))
    found: list[tuple[Any, ...]] = run(
        db, f'SELECT {names}, crc FROM "{table}" WHERE {where}', values
    ).fetchall()
    if not isinstance(db, pw.SqliteDatabase):
        found = [tuple(map(_as_in_sqlite, row)) for row in found]
    return found


def _as_in_sqlite(value: Any) -> Any:
    if isinstance(value, memoryview):
        return bytes(value)
    return int(value) if isinstance(value, bool) else value


def seal(db: pw.Database, table: str, where: str, values: Sequence[Any]) -> None:
    """Give a row its checksum; ``where`` and ``values`` name one row, not a visit with cells."""
    for row in _rows(db, table, where, values):
        run(db, f'UPDATE "{table}" SET crc = ? WHERE {where}', (crc_of(table, row[:-1]), *values))


@contextmanager
def sealed(db: pw.Database, table: str, where: str, values: Sequence[Any]) -> Iterator[None]:
    """Around what writes a row: it gets a new checksum if it is new, or agreed with the one it had."""
    before = _rows(db, table, where, values)
    yield
    if all(row[-1] == crc_of(table, row[:-1]) for row in before):
        seal(db, table, where, values)


def seal_visit(db: pw.Database, uid: bytes) -> int:
    """Give a visit that was made just now, and has no cells, its checksum. Returns its id."""
    (row,) = _rows(db, "visit", "uid = ?", (uid,))
    run(db, "UPDATE visit SET crc = ? WHERE id = ?", (crc_of("visit", row[:-1]), row[0]))
    return int(row[0])


def put_into_visit(db: pw.Database, visit: int, changed: int) -> None:
    """Cells of a visit changed: ``changed`` is what those before and after come to, by exclusive or.

    A visit without a checksum stays without.
    """
    # SQL has no exclusive or on both kinds of database, but this is one.
    run(db, "UPDATE visit SET crc = (crc | ?) - (crc & ?) WHERE id = ?", (changed, changed, visit))


def seal_all(db: pw.Database) -> None:
    """Give every row that has none its checksum: after a load, and when a book gets the column."""
    for table in tables_of(db):
        if table == "visit":
            _seal_visits(db)
        else:
            _seal_table(db, table)


def tables_of(db: pw.Database) -> list[str]:
    """The tables whose rows have checksums."""
    if isinstance(db, pw.SqliteDatabase):
        named = run(db, "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name").fetchall()
        return [table for (table,) in named if "crc" in _names(db, table)]
    from rounds.store.models import MODELS

    return [m._meta.table_name for m in MODELS if "crc" in m._meta.columns]


def _names(db: pw.SqliteDatabase, table: str) -> list[str]:
    return [row[1] for row in run(db, f'PRAGMA table_info("{table}")').fetchall()]


def _seal_table(db: pw.Database, table: str) -> None:
    names, key = columns_of(db, table), KEYS.get(table, ("id",))
    at = [names.index(name) for name in key]
    where = " AND ".join(f'"{name}" = ?' for name in key)
    made = [(crc_of(table, row[:-1]), *(row[i] for i in at)) for row in _rows(db, table, "crc IS NULL", ())]
    _many(db, f'UPDATE "{table}" SET crc = ? WHERE {where}', made)


def _many(db: pw.Database, sql: str, rows: Sequence[Sequence[Any]]) -> None:
    db.cursor().executemany(sql.replace("?", db.param), rows)  # type: ignore[no-untyped-call]


def _seal_visits(db: pw.Database) -> None:
    after = 0
    while rows := _rows(db, "visit", "crc IS NULL AND id > ? ORDER BY id LIMIT ?", (after, CHUNK)):
        made = {row[0]: crc_of("visit", row[:-1]) for row in rows}
        first, after = rows[0][0], rows[-1][0]
        cells = run(
            db, "SELECT visit, kind, number, act FROM reading WHERE visit BETWEEN ? AND ?", (first, after)
        )
        for cell in cells:
            if cell[0] in made:
                made[cell[0]] ^= crc_of("reading", cell)
        _many(db, "UPDATE visit SET crc = ? WHERE id = ?", [(crc, id_) for id_, crc in made.items()])
