"""The books as plain values: the rows of every table (:mod:`rounds.records.tables`), and changes to them.

A :class:`Ledger` is a snapshot; ``after`` gives the next one and leaves the first as it
was. Rows are mappings from column to value, by row id. A row is never removed: one that
an undone act had added is ``void`` and counts for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from rounds.records.tables import (
    ANSWERS,
    ARMS,
    FEWER,
    PATERNITY,
    PURPOSES,
    SEXES,
    STATES,
    SURE,
    TABLES,
    TYPES,
    Column,
    Row,
    Table,
    Value,
)

__all__ = [
    "ANSWERS", "ARMS", "FEWER", "PATERNITY", "PURPOSES", "SEXES", "STATES", "SURE", "TABLES", "TYPES",
    "Add", "Change", "Column", "Draft", "Ledger", "Row", "Set", "Table", "Value",
]  # fmt: skip


class Add(NamedTuple):
    """A new row with all its columns."""

    table: str
    id: int
    values: Row


class Set(NamedTuple):
    """One column of one row, from ``before`` to ``after``."""

    table: str
    id: int
    column: str
    before: Value
    after: Value


Change = Add | Set


class Ledger:
    """A snapshot of the books."""

    def __init__(self, tables: Mapping[str, Mapping[int, Row]] | None = None) -> None:
        given = tables or {}
        self._tables: dict[str, Mapping[int, Row]] = {name: given.get(name, {}) for name in TABLES}

    def rows(self, table: str, **columns: Value) -> Iterator[tuple[int, Row]]:
        """Rows that count (not void) whose columns have these values, by rising id."""
        wanted = tuple(columns.items())
        for id_, row in self._tables[table].items():
            if row.get("void"):
                continue
            for name, value in wanted:
                if row[name] != value:
                    break
            else:
                yield id_, row

    def row(self, table: str, id_: int) -> Row:
        """One row; KeyError when there is none."""
        return self._tables[table][id_]

    def find(self, table: str, *key: Value) -> int | None:
        """The id of the row with this key, or None; void rows are not found."""
        names = TABLES[table].key
        return next((i for i, r in self.rows(table) if tuple(r[n] for n in names) == key), None)

    def next_id(self, table: str) -> int:
        return max(self._tables[table], default=0) + 1

    def after(self, changes: Iterable[Change]) -> Ledger:
        """The books once ``changes`` were made, in order."""
        touched: dict[str, dict[int, Row]] = {}
        for change in changes:
            rows = touched.setdefault(change.table, dict(self._tables[change.table]))
            if isinstance(change, Add):
                rows[change.id] = change.values
            else:
                rows[change.id] = {**rows[change.id], change.column: change.after}
        new = Ledger()
        new._tables = {**self._tables, **touched}
        return new

    def narrowed(self, tables: Mapping[str, Mapping[int, Row]]) -> Ledger:
        """These books with the given tables in place of their own: a part of them to look at."""
        new = Ledger()
        new._tables = {**self._tables, **tables}
        return new

    def __eq__(self, other: object) -> bool:
        """Equal in everything that counts: void rows do not."""
        if not isinstance(other, Ledger):
            return NotImplemented
        return all(dict(self.rows(t)) == dict(other.rows(t)) for t in TABLES)

    __hash__ = None  # type: ignore[assignment]


class Draft:
    """Changes in the making: each is seen by what is drafted after it."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.changes: list[Change] = []

    def add(self, table: str, **values: Value) -> int:
        """Add a row (columns left out take their defaults) and return its id.

        A void row of the same key is taken back into use, so that a name can be given
        again after an undo.
        """
        full = {c.name: values.get(c.name, c.default) for c in TABLES[table].columns} | {"void": False}
        unknown = values.keys() - full.keys()
        if unknown:
            raise KeyError(f"{table} has no column {', '.join(sorted(unknown))}")
        void = self._void(table, full)
        if void is not None:
            for name, value in full.items():
                self.set(table, void, name, value)
            return void
        id_ = self.ledger.next_id(table)
        self._make(Add(table, id_, full))
        return id_

    def set(self, table: str, id_: int, column: str, after: Value) -> None:
        """Give a column another value; nothing happens when it has that value already."""
        before = self.ledger.row(table, id_)[column]
        if before != after:
            self._make(Set(table, id_, column, before, after))

    def _make(self, change: Change) -> None:
        self.changes.append(change)
        self.ledger = self.ledger.after([change])

    def _void(self, table: str, values: Row) -> int | None:
        key = TABLES[table].key
        if not key:
            return None
        wanted = tuple(values[n] for n in key)
        every = self.ledger._tables[table].items()
        return next((i for i, r in every if r.get("void") and tuple(r[n] for n in key) == wanted), None)
