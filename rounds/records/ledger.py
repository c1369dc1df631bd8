"""The books as plain values: the records of every table (:mod:`rounds.records.tables`), and changes to them.

A :class:`Ledger` is a snapshot; ``after`` gives the next one and leaves the first as it was.
A record is never removed: one that an undone act had added is ``void`` and counts for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, TypeVar, cast

from rounds.named_tuple import NamedTuple
from rounds.records.column import Column, Condition, Row, Value
from rounds.records.record import Record
from rounds.records.tables import TABLES

T = TypeVar("T")
R = TypeVar("R", bound=Record)


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

    def __init__(self, tables: Mapping[str, Mapping[int, Record]] | None = None) -> None:
        given = tables or {}
        self._tables: dict[str, Mapping[int, Record]] = {name: given.get(name, {}) for name in TABLES}

    def rows(self, of: type[R], *conditions: Condition) -> Iterator[R]:
        """Records that count (not void) and meet every condition, by rising id."""
        found: Iterator[Any] = self._meeting(of.table, conditions)
        return found

    def _meeting(self, table: str, conditions: tuple[Condition, ...]) -> Iterator[Record]:
        for record in self._tables[table].values():
            values = record.__dict__
            if values["void"]:
                continue
            for column, value in conditions:
                if values[column] != value:
                    break
            else:
                yield record

    def row(self, of: type[R], id_: int | None) -> R:
        """One record, void or not; KeyError when there is none, as for an id that is None."""
        if id_ is None:
            raise KeyError(f"no {of.table} is named here")
        found: Any = self._tables[of.table][id_]
        return cast("R", found)

    def table(self, name: str) -> Mapping[int, Record]:
        """Every record of a table by id, void ones too: for what handles all tables alike."""
        return self._tables[name]

    def find(self, of: type[Record], *key: Value) -> int | None:
        """The id of the record with this key, or None; void ones are not found."""
        conditions = tuple(map(Condition, of.key, key))
        return next((record.id for record in self._meeting(of.table, conditions)), None)

    def next_id(self, of: type[Record]) -> int:
        """The lowest id above every one in use."""
        return max(self._tables[of.table], default=0) + 1

    def after(self, changes: Iterable[Change]) -> Ledger:
        """The books once ``changes`` were made, in order."""
        touched: dict[str, dict[int, Record]] = {}
        for change in changes:
            rows = touched.setdefault(change.table, dict(self._tables[change.table]))
            if isinstance(change, Add):
                rows[change.id] = TABLES[change.table].from_values(change.id, dict(change.values))
            else:
                before = rows[change.id]
                rows[change.id] = before.changed(before.column(change.column), change.after)
        return self.narrowed(touched)

    def narrowed(self, tables: Mapping[str, Mapping[int, Record]]) -> Ledger:
        """These books with the given tables in place of their own: a part of them to look at."""
        new = Ledger()
        new._tables = {**self._tables, **tables}
        return new

    def __eq__(self, other: object) -> bool:
        """Equal in everything that counts: void records do not."""
        if not isinstance(other, Ledger):
            return NotImplemented
        return all(list(self._meeting(t, ())) == list(other._meeting(t, ())) for t in TABLES)

    __hash__ = None  # type: ignore[assignment]


class Draft:
    """Changes in the making: each is seen by what is drafted after it."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.changes: list[Change] = []

    def add(self, record: Record) -> int:
        """Add a record and return its id.

        A void record of the same key is taken back into use, so that a name can be given
        again after an undo.
        """
        table, full = record.table, dict(record.values)
        void = self._void(table, full)
        if void is not None:
            for name, value in full.items():
                self._set(table, void, name, value)
            return void
        id_ = self.ledger.next_id(type(record))
        self._make(Add(table, id_, full))
        return id_

    def set(self, column: Column[T], id_: int, after: T) -> None:
        """Give a column another value; nothing happens when it has that value already."""
        self._set(column.table, id_, column.name, after)

    def _set(self, table: str, id_: int, column: str, after: Any) -> None:
        before = self.ledger.table(table)[id_].__dict__[column]
        if before != after:
            self._make(Set(table, id_, column, before, after))

    def _make(self, change: Change) -> None:
        self.changes.append(change)
        self.ledger = self.ledger.after([change])

    def _void(self, table: str, values: Row) -> int | None:
        key = TABLES[table].key
        if not key:
            return None
        for record in self.ledger.table(table).values():
            if record.void and all(record.__dict__[name] == values[name] for name in key):
                return record.id
        return None
