"""The books as plain values: the records of every table (:mod:`rounds.records.tables`), and changes to them.

A :class:`Ledger` is a snapshot; ``after`` gives the next one and leaves the first as it was.
A record is never removed: one that an undone act had added is ``void`` and counts for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple, TypeVar, overload

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

    @overload
    def rows(self, of: type[R], *conditions: Condition) -> Iterator[R]: ...
    @overload
    def rows(self, of: str, **columns: Value) -> Iterator[tuple[int, Any]]: ...
    def rows(self, of: Any, *conditions: Condition, **columns: Value) -> Iterator[Any]:
        """Records that count (not void) and meet every condition, by rising id."""
        if isinstance(of, str):  # SHIM: the string form goes once every room asks by record class
            wanted = tuple(Condition(*item) for item in columns.items())
            return ((r.id, r) for r in self._meeting(of, wanted))
        return self._meeting(of.table, conditions)

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

    @overload
    def row(self, of: type[R], id_: int | None) -> R: ...
    @overload
    def row(self, of: str, id_: int | None) -> Any: ...
    def row(self, of: Any, id_: int | None) -> Any:
        """One record, void or not; KeyError when there is none (no table has a record None)."""
        return self._tables[of if isinstance(of, str) else of.table][id_]  # type: ignore[index]

    def table(self, name: str) -> Mapping[int, Record]:
        """Every record of a table by id, void ones too: for what handles all tables alike."""
        return self._tables[name]

    def find(self, of: type[Record] | str, *key: Value) -> int | None:
        """The id of the record with this key, or None; void ones are not found."""
        table = of if isinstance(of, str) else of.table
        conditions = tuple(map(Condition, TABLES[table].key, key))
        return next((record.id for record in self._meeting(table, conditions)), None)

    def next_id(self, of: type[Record] | str) -> int:
        """The lowest id above every one in use."""
        return max(self._tables[of if isinstance(of, str) else of.table], default=0) + 1

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

    def add(self, record: Record | str, **values: Value) -> int:
        """Add a record and return its id.

        A void record of the same key is taken back into use, so that a name can be given
        again after an undo.
        """
        if isinstance(record, str):  # SHIM: the string form goes once every room adds records
            of = TABLES[record]
            unknown = values.keys() - of.defaults.keys()
            if unknown:
                raise KeyError(f"{record} has no column {', '.join(sorted(unknown))}")
            table, full = record, {**of.defaults, **values}
        else:
            table, full = record.table, dict(record.values)
        void = self._void(table, full)
        if void is not None:
            for name, value in full.items():
                self._set(table, void, name, value)
            return void
        id_ = self.ledger.next_id(table)
        self._make(Add(table, id_, full))
        return id_

    @overload
    def set(self, column: Column[T], id_: int, after: T, /) -> None: ...
    @overload
    def set(self, table: str, id_: int, column: str, after: Value, /) -> None: ...
    def set(self, of: Any, id_: int, *rest: Any) -> None:
        """Give a column another value; nothing happens when it has that value already."""
        if isinstance(of, str):  # SHIM: the string form goes once every room names columns
            self._set(of, id_, *rest)
        else:
            self._set(of.table, id_, of.name, *rest)

    def _set(self, table: str, id_: int, column: str, after: Value) -> None:
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
