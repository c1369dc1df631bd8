"""Rows of a table against each other, against other tables and against the book."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from rounds.files import row_sentences as sentences
from rounds.files.csv_tables import BY_NAME
from rounds.files.typed_tables import Sheet, TypedRow
from rounds.problems import nearest
from rounds.store.snapshot import Snapshot
from rounds.values.span_parser import shifted
from rounds.values.spans import Span
from rounds.values.value_sentences import quoted

_WHAT = {"places": "slot", "batches": "batch", "searches": "search"}


class Checker:
    """What the tables of a folder (``sheets``) and the book (``held``) have between them."""

    def __init__(self, sheets: Mapping[str, Sheet], held: Snapshot, shift: int) -> None:
        self.sheets, self.held, self.shift = sheets, held, shift
        self._known: dict[str, dict[Any, None]] = {}

    def known(self, name: str) -> dict[Any, None]:
        """Keys of a table, of the file (bad rows too) and the book."""
        if name not in self._known:
            own = (self.key(self.sheets[name], r) for r in self.sheets[name].rows)
            self._known[name] = dict.fromkeys([*self.holding(name), *(k for k in own if k is not None)])
        return self._known[name]

    def holding(self, name: str) -> Collection[Any]:
        """Keys of a table that the book has."""
        of = BY_NAME[name].ledger
        return self.held.tables[of] if of else self.held.keepers

    @staticmethod
    def key(sheet: Sheet, row: TypedRow) -> Any:
        parts = tuple(row[c] for c in sheet.table.key)
        if any(p is None for p in parts):
            return None
        return parts[0] if len(parts) == 1 else parts

    def refers(self, sheet: Sheet, row: TypedRow, column: str, key: Any = None) -> bool:
        """Is what the cell names there? An empty or unreadable cell is no problem of reference."""
        key = row[column] if key is None else key
        of = next(c.of for c in sheet.table.columns if c.name == column)
        if key is None or key in self.known(of) or not self.sheets[of].whole:
            return True
        names = [named(of, k) for k in self.known(of)]
        hint = ""
        if sheet.sink.room(sheet.table.file):  # looking for near names is slow; do it only for what is told
            hint = nearest(named(of, key), names)
        sheet.problem(row, column, *sentences.none_there(what(of), named(of, key), hint, f"{of}.csv"))
        return False

    def differs(self, sheet: Sheet, row: TypedRow, has: Mapping[str, Any], says: Mapping[str, Any]) -> None:
        """A problem for every column of the file in which a row is not as the book has it."""
        for c in sheet.table.columns:
            if c.holds and sheet.has(c.name) and has[c.holds] != says[c.holds]:
                held, told = said(has[c.holds], c.of), said(says[c.holds], c.of)
                sheet.problem(row, c.name, *sentences.book_has(held, told))

    def moved(self, value: Any, type_: str) -> Any:
        """A day or a span, shifted as the folder is."""
        if self.shift and value is not None:
            if type_ == "span":
                return shifted(value, self.shift)
            if type_ == "day":
                return value + self.shift
        return value


def what(table: str) -> str:
    """One row of a table in words."""
    return _WHAT.get(table, table.removesuffix("s"))


def named(table: str, key: Any) -> str:
    """A key as the keeper writes it."""
    if table == "places":
        return f"{key[0]}{key[1]}-{key[2]}"
    return "/".join(map(str, key)) if isinstance(key, tuple) else str(key)


def said(value: Any, of: str = "") -> str:
    if value is None or value == "":
        return sentences.NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple) and not isinstance(value, Span):
        return named("places" if of == "places" or len(value) == 3 else of, value)
    return quoted(str(value))


def free_ids(taken: Iterable[int]) -> Iterable[int]:
    """Row ids above every one that is taken."""
    next_ = max(taken, default=0)
    while True:
        next_ += 1
        yield next_
