"""The schema's history. Older books are brought up to date by these steps, in order.

To change :mod:`rounds.store.models` or the registry of :mod:`rounds.records.tables`: add a
:class:`MigrationStep` with the next version to ``STEPS`` that does the same to an existing book, the
new schema's file, and a small book of the schema before to the tests. A step and its file are never
changed once the main branch has had them: somebody's book may be of that schema.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from rounds.named_tuple import NamedTuple
from rounds.store.orm import pw, run

SCHEMAS = Path(__file__).with_name("schemas")
"""``N.sql``: every statement of schema N, one a line, as the step to it has to leave them."""


class MigrationStep(NamedTuple):
    """From the version before to ``version``; ``run`` gets the connection inside a transaction.

    Foreign keys are not enforced while it runs, so that tables can be rebuilt; they are
    checked before it is committed.
    """

    version: int
    title: str
    run: Callable[[pw.SqliteDatabase], None]


def statements(db: pw.SqliteDatabase) -> list[str]:
    """Every statement of a book's schema, blanks made one, views and tables before indexes."""
    rows = run(
        db,
        "SELECT sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' ORDER BY type DESC, name",
    )
    return [re.sub(r"\s+", " ", sql) for (sql,) in rows.fetchall()]


def reshape(db: pw.SqliteDatabase, version: int) -> None:
    """Give the book the tables, indexes and views of ``N.sql``, keeping every row.

    A table that differs is made anew and filled from the old one, column by column of the
    same name; new columns take their default. A table that is not in the file stays.
    """
    wanted = (SCHEMAS / f"{version}.sql").read_text(encoding="utf-8").replace(";\n", "\n").splitlines()
    have = statements(db)
    for sql in have:
        if sql.startswith("CREATE VIEW"):
            run(db, f'DROP VIEW "{_named(sql)}"')  # a view would look for a table while it is exchanged
    old = {_named(sql) for sql in have if sql.startswith("CREATE TABLE")}
    for sql in wanted:
        if sql.startswith("CREATE TABLE") and sql not in have:
            if _named(sql) in old:
                _rebuild(db, _named(sql), sql)
            else:
                run(db, sql)
    for sql in statements(db):
        if re.match("CREATE (UNIQUE )?INDEX", sql) and sql not in wanted:
            run(db, f'DROP INDEX "{_named(sql)}"')
    now = statements(db)
    for sql in sorted(wanted, reverse=True):  # views last or first: only tables must be there
        if sql not in now and not sql.startswith("CREATE TABLE"):
            run(db, sql)


def _named(sql: str) -> str:
    found = re.match(r'CREATE (?:UNIQUE )?(?:TABLE|INDEX|VIEW) "?(\w+)"?', sql)
    assert found is not None, sql
    return found[1]


def _rebuild(db: pw.SqliteDatabase, table: str, sql: str) -> None:
    """Exchange a table as SQLite's documentation of ALTER TABLE says: make, copy, drop, rename."""
    before = _columns(db, table)
    run(db, sql.replace(f'CREATE TABLE "{table}"', f'CREATE TABLE "new_{table}"', 1))
    both = ", ".join(f'"{c}"' for c in _columns(db, f"new_{table}") if c in before)
    run(db, f'INSERT INTO "new_{table}" ({both}) SELECT {both} FROM "{table}"')
    run(db, f'DROP TABLE "{table}"')
    run(db, f'ALTER TABLE "new_{table}" RENAME TO "{table}"')


def _columns(db: pw.SqliteDatabase, table: str) -> list[str]:
    return [row[1] for row in run(db, f'PRAGMA table_info("{table}")').fetchall()]


def _books(db: pw.SqliteDatabase) -> None:
    """Books for every act, and the acts themselves."""
    run(db, "UPDATE due SET words = '' WHERE words IS NULL")
    # An animal whose state nobody wrote down was meant to be alive, here as elsewhere.
    run(db, "UPDATE animal SET state = 'alive' WHERE state = ''")
    reshape(db, 2)


def _plans(db: pw.SqliteDatabase) -> None:
    """Pairings planned and not made, sib trials, and what keeps animals and lines apart."""
    reshape(db, 3)


def _vague_counts(db: pw.SqliteDatabase) -> None:
    """Rough counts, the act that a reading states, files and tags: in an older book NULL, nothing was recorded."""
    reshape(db, 4)


def _checksums(db: pw.SqliteDatabase) -> None:
    """A place for the checksum of every row; whoever takes the step puts them in."""
    reshape(db, 5)


FIRST = 1
STEPS: tuple[MigrationStep, ...] = (
    MigrationStep(2, "books for every act, and the acts themselves", _books),
    MigrationStep(3, "planned pairings, sib trials, promises and localities", _plans),
    MigrationStep(4, "vague counts, acts of readings, check sums, files and tags", _vague_counts),
    MigrationStep(5, "a checksum of every row", _checksums),
)
SCHEMA = STEPS[-1].version if STEPS else FIRST
"""The schema that :mod:`rounds.store.models` describes and new books are made with."""
