"""A new book of every row that can still be read in a damaged one, with a list of what could not.

The damaged file is only read. Rows are read in the order of their keys; where SQLite finds a
page it cannot follow, the stretch of keys is halved again and again until only those are
left out that cannot be read one by one. What then refers to a row that is gone loses that
reference, or is left out too where it cannot be without it.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.problems import BookError
from rounds.records.observations import House
from rounds.store import damage, database_errors, disk, log_stamps, salvage_sentences
from rounds.store.book import APPLICATION, open_book
from rounds.store.cell_codec import PHRASE, REMARK
from rounds.store.connection import refuse_network, refuse_what_is_no_book
from rounds.store.ids import now_ms
from rounds.store.orm import pw
from rounds.store.row_checksums import seal_all
from rounds.store.row_verifying import meta_disagrees, verify

STEP = 20_000
"""Keys that are read at once."""
FAR = 50_000_000
"""No table has more rows than this; a key beyond it is damage."""
PROBE = 4
"""Every fourth key is tried before a stretch is given up: a page has more rows than that, or they are few anyway."""


class Lost(NamedTuple):
    """Something that is not in the new book as it was said: where, and a sentence."""

    table: str
    what: str


def salvage(path: Path, new: Path) -> tuple[int, list[Lost]]:
    """Make a book at ``new`` of what can be read at ``path``. Returns how many rows it has, and what is not in it.

    Raises BookError, with nothing made: nothing can be read, or there is something at ``new``.
    """
    refuse_what_is_no_book(path)
    refuse_network(new)
    if os.path.lexists(new):
        raise BookError(salvage_sentences.in_the_way(str(new)))
    part = new.with_name(f".{new.name}.{os.getpid()}.salvaged")
    lost: list[Lost] = []
    try:
        disk.private_folder(new.absolute().parent)
        with disk.private():
            part.touch(exist_ok=False)
        with (
            closing(damage.opened(path)) as old,
            closing(sqlite3.connect(part, isolation_level=None)) as made,
        ):
            rows = _Copying(old, made, lost).all()
        with open_book(part) as book:
            with book.writing():
                seal_all(book.db)
            book.fold_in()
        disk.sync_file(part)
        os.rename(part, new)
        disk.sync_folder(new.absolute().parent)
    except (pw.DatabaseError, *database_errors.FROM_SQLITE, OSError) as error:
        raise BookError(salvage_sentences.nothing_made(database_errors.sentence(error, path))) from error
    finally:
        disk.remove_database(part)
    return rows, lost


class _Rows(NamedTuple):
    """How the rows of a table are asked for; ``key`` is what they are in order by."""

    table: str
    columns: str
    key: str


class _Copying:
    def __init__(self, old: sqlite3.Connection, made: sqlite3.Connection, lost: list[Lost]) -> None:
        self.old, self.made, self.lost = old, made, lost
        self._stretch: tuple[str, int, int] | None = None  # what was told last, if it was a stretch of keys

    def all(self) -> int:
        """Copy everything. Raises sqlite3's errors when not even the tables can be told."""
        doubtful = verify(self.old).damaged
        self.old.text_factory = _text
        schema = self.old.execute(
            "SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL"
        ).fetchall()
        tables = [name for kind, name, _ in schema if kind == "table" and not name.startswith("sqlite_")]
        if "meta" not in tables:
            raise sqlite3.DatabaseError("it is no book")
        self.made.execute("PRAGMA foreign_keys = OFF")
        self.made.execute("BEGIN")
        for kind in ("table", "view", "index"):
            for sql in (s[2] for s in schema if s[0] == kind and not s[1].startswith("sqlite_")):
                self.made.execute(sql)
        rows = sum(self._table(table) for table in tables)
        self._essentials()
        self._references(tables)
        for table, key in doubtful:
            if key:
                self._says(table, salvage_sentences.doubtful(table, "/".join(map(str, key))))
        for table in tables:
            if "crc" in self._columns(table):  # what is here now is vouched for from here on
                self.made.execute(f'UPDATE "{table}" SET crc = NULL')
        self.made.execute("COMMIT")
        self.made.execute(f"PRAGMA application_id = {APPLICATION}")
        log_stamps.restamp(self.made)
        return rows

    def _says(self, table: str, what: str) -> None:
        if not (self._stretch and self._stretch[0] == table):
            self._stretch = None
        self.lost.append(Lost(table, what))

    def _columns(self, table: str) -> list[str]:
        return [row[1] for row in self.made.execute(f'PRAGMA table_info("{table}")')]

    def _table(self, table: str) -> int:
        names = self._columns(table)
        keys = [row[1] for row in self.made.execute(f'PRAGMA table_info("{table}")') if row[5]]
        (sql,) = self.made.execute("SELECT sql FROM sqlite_master WHERE name = ?", (table,)).fetchone()
        key = f'"{keys[0]}"' if "WITHOUT ROWID" in sql.upper() else "rowid"
        columns = ", ".join(f'"{name}"' for name in names)
        marks = ", ".join("?" * len(names))
        n = 0
        for some in self._stretches(table, columns, key):
            for row in some:
                try:
                    self.made.execute(f'INSERT INTO "{table}" ({columns}) VALUES ({marks})', row)
                    n += 1
                except sqlite3.IntegrityError:
                    self._says(table, salvage_sentences.in_conflict(table, str(row[0])))
        return n

    def _stretches(self, table: str, columns: str, key: str) -> Iterator[Sequence[tuple[Any, ...]]]:
        first, last, guessed = self._ends(table, key)
        at = first
        while at <= last:
            read = 0
            for some in self._between(_Rows(table, columns, key), at, min(at + STEP - 1, last)):
                read += len(some)
                yield some
            if guessed and not read:
                return  # beyond the last row, or under a page at the top that nothing leads past
            at += STEP

    def _ends(self, table: str, key: str) -> tuple[int, int, bool]:
        """The first and the last key, and whether they had to be guessed. Where keys are names all is one stretch."""
        try:
            first, last = (
                self.old.execute(f'SELECT {end}({key}) FROM "{table}"').fetchone()[0]
                for end in ("min", "max")
            )
        except database_errors.FROM_SQLITE:
            return 1, FAR, True
        if first is None:
            return 1, 0, False
        if isinstance(first, str):
            return 0, 0, False
        return max(first, 0), min(last, FAR), False

    def _between(self, rows: _Rows, first: int, last: int) -> Iterator[Sequence[tuple[Any, ...]]]:
        try:
            yield self._read(rows, first, last)
            return
        except database_errors.FROM_SQLITE:
            pass
        if first == last or not any(self._reads(rows, at) for at in range(first, last + 1, PROBE)):
            self._unread(rows.table, first, last)
            return
        middle = (first + last) // 2
        yield from self._between(rows, first, middle)
        yield from self._between(rows, middle + 1, last)

    def _read(self, rows: _Rows, first: int, last: int) -> list[tuple[Any, ...]]:
        sql = f'SELECT {rows.columns} FROM "{rows.table}"'
        if (first, last) == (0, 0):
            return self.old.execute(sql).fetchall()
        return self.old.execute(f"{sql} WHERE {rows.key} BETWEEN ? AND ?", (first, last)).fetchall()

    def _reads(self, rows: _Rows, at: int) -> bool:
        """Can SQLite follow its pages to this key?"""
        try:
            self._read(rows, at, at)
        except database_errors.FROM_SQLITE:
            return False
        return True

    def _unread(self, table: str, first: int, last: int) -> None:
        """Keys that follow each other are told as one stretch; some may never have been given to a row."""
        before = self._stretch
        if before is not None and (before[0], before[2]) == (table, first - 1):
            first = before[1]
            self.lost.pop()
        self._stretch = (table, first, last)
        self._says(table, salvage_sentences.unread(table, first, last))

    def _essentials(self) -> None:
        """A book without these rows cannot be opened."""
        from rounds import __version__
        from rounds.store.migration_steps import SCHEMA
        from rounds.store.models import first_rows

        queries = dict(
            zip(
                ("meta", "schema_step", "house"),
                first_rows(SCHEMA, __version__, os.urandom(16), now_ms(), House("My house", "UTC")),
                strict=True,
            )
        )
        for table in ("meta", "house"):
            if not self.made.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0]:
                sql, values = queries[table].sql()
                self.made.execute(sql, values)
                self._says(table, salvage_sentences.made_anew(table))
        if meta_disagrees(self.made):
            self._agree()

    def _agree(self) -> None:
        """Have the book say one thing of itself: what of it cannot be is made anew."""
        from rounds.store.migration_steps import SCHEMA

        ((schema, needs, book, made_ms),) = self.made.execute("SELECT schema, needs, book, made_ms FROM meta")
        (newest,) = self.made.execute("SELECT max(version) FROM schema_step").fetchone()
        known = [v for v in (schema, newest) if isinstance(v, int) and 1 <= v <= SCHEMA]
        made_ms = made_ms if isinstance(made_ms, int) else now_ms()
        self.made.execute(
            "UPDATE meta SET schema = ?, needs = ?, book = ?, made_ms = ?",
            (
                max(known, default=SCHEMA),
                needs if isinstance(needs, str) else "",
                book if isinstance(book, bytes) and len(book) == 16 else os.urandom(16),
                made_ms,
            ),
        )
        self.made.execute("DELETE FROM schema_step")
        self.made.execute(
            "INSERT INTO schema_step (version, title, at_ms) SELECT schema, ?, made_ms FROM meta",
            (salvage_sentences.SALVAGED,),
        )
        self._says("meta", salvage_sentences.made_anew("meta"))

    def _references(self, tables: Sequence[str]) -> None:
        """Take away references to rows that are not there, until there are none."""
        while True:
            found = 0
            for table in tables:
                needed = {
                    row[1] for row in self.made.execute(f'PRAGMA table_info("{table}")') if row[3] or row[5]
                }
                for link in self.made.execute(f'PRAGMA foreign_key_list("{table}")').fetchall():
                    found += self._reference(
                        table, link[3], link[2], link[4] or "id", needed=link[3] in needed
                    )
            if not found:
                break
        for form, to in ((PHRASE, "phrase"), (REMARK, "remark")):
            n = self.made.execute(
                "UPDATE reading SET number = NULL WHERE number IS NOT NULL AND kind IN (SELECT id FROM kind WHERE form = ?)"
                f' AND number NOT IN (SELECT id FROM "{to}")',
                (form,),
            ).rowcount
            if n > 0:
                self._says("reading", salvage_sentences.reference_gone("reading", n, to))

    def _reference(self, table: str, column: str, to: str, key: str, *, needed: bool) -> int:
        where = f'"{column}" IS NOT NULL AND "{column}" NOT IN (SELECT "{key}" FROM "{to}")'
        act = (
            f'DELETE FROM "{table}" WHERE {where}'
            if needed
            else f'UPDATE "{table}" SET "{column}" = NULL WHERE {where}'
        )
        n = self.made.execute(act).rowcount
        if n > 0:
            said = salvage_sentences.left_out if needed else salvage_sentences.reference_gone
            self._says(table, said(table, n, to))
        return max(n, 0)


def _text(raw: bytes) -> str:
    """What is no text any more is marked where it is none."""
    return raw.decode("utf-8", "replace")
