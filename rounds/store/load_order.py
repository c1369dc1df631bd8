"""In which order the books' tables are filled, so that what a row refers to is there before it."""

from __future__ import annotations

from typing import Any

from rounds.records.column import Column
from rounds.records.record import Record
from rounds.records.tables import TABLES


def late(table: type[Record], column: Column[Any]) -> bool:
    """A reference that is filled in once all rows are there, because it may point forward."""
    return column.type == "ref" and (
        column.of == table.table or (table.table, column.name) == ("animal", "brood")
    )


def _in_order() -> tuple[type[Record], ...]:
    """The books' tables, each after those it refers to. Raises RecursionError if two refer to each other."""
    out: dict[str, type[Record]] = {}

    def visit(table: type[Record]) -> None:
        for c in table.columns:
            if c.type == "ref" and not late(table, c) and c.of not in out:
                visit(TABLES[c.of])
        out.setdefault(table.table, table)

    for table in TABLES.values():
        visit(table)
    return tuple(out.values())


ORDER = _in_order()
