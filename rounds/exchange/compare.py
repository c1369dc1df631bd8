"""Rows of a table against each other, against other tables and against the book."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from rounds.exchange.cells import shown
from rounds.exchange.sheets import Row, Sheet
from rounds.husbandry.spans import Span, shifted
from rounds.problems import nearest
from rounds.store.held import Held

KEEP = "Loading adds rows with new ids and never changes what the book has."
_WHAT = {
    "keepers": "keeper", "places": "slot", "lines": "line", "animals": "animal", "enclosures": "enclosure",
    "visits": "visit",
}  # fmt: skip


class Checker:
    def __init__(self, sheets: Mapping[str, Sheet], held: Held, shift: int) -> None:
        self.sheets, self.held, self.shift = sheets, held, shift
        self._known: dict[str, dict[Any, None]] = {}

    def known(self, name: str) -> dict[Any, None]:
        """Keys of a table, of the file (bad rows too) and the book."""
        if name not in self._known:
            have: Iterable[Any] = getattr(self.held, name)
            own = (self.key(self.sheets[name], r) for r in self.sheets[name].rows)
            self._known[name] = dict.fromkeys([*have, *(k for k in own if k is not None)])
        return self._known[name]

    def whole(self, name: str) -> bool:
        """Was the table read to its end? If not, what it lacks says nothing."""
        return self.sheets[name].whole

    @staticmethod
    def key(sheet: Sheet, row: Row) -> Any:
        parts = tuple(row[c] for c in sheet.table.key)
        if any(p is None for p in parts):
            return None
        return parts[0] if len(parts) == 1 else parts

    def refers(self, sheet: Sheet, row: Row, column: str, key: Any = None, of: str = "") -> bool:
        """Is what the cell names there? An empty or unreadable cell is no problem of reference."""
        key = row[column] if key is None else key
        of = of or next(c.of for c in sheet.table.columns if c.name == column)
        if key is None or key in self.known(of) or not self.whole(of):
            return True
        names = [named(of, k) for k in self.known(of)]
        hint = ""
        if sheet.sink.room(sheet.table.file):  # looking for near names is slow; do it only for what is told
            hint = nearest(named(of, key), names) or f"Add it to {of}.csv."
        sheet.problem(row, column, f"there is no {_WHAT[of]} {shown(named(of, key))}.", hint)
        return False

    def new(self, name: str, held: Mapping[Any, Any], make: Any) -> list[Any]:
        """Rows the book does not have; a repeated key or a row unlike the book's is a problem."""
        sheet = self.sheets[name]
        first: dict[Any, int] = {}
        out = []
        for row in sheet.rows:
            key = self.key(sheet, row)
            if key is None:
                continue
            if key in first:
                column = sheet.table.key[-1]
                sheet.problem(
                    row,
                    column,
                    f"{shown(named(name, key))} stands in line {first[key]} already.",
                    "Keep one.",
                )
                continue
            first[key] = row.line
            if not row.good:
                continue
            made = make(row)
            if key not in held:
                out.append(made)
            elif held[key] != made:
                self.differs(sheet, row, held[key], made)
        return out

    def differs(self, sheet: Sheet, row: Row, has: Any, says: Any) -> None:
        for column, a, b in zip(has._fields, has, says, strict=True):
            if a != b:
                name = "from" if column == "from_day" else column
                sheet.problem(row, name, f"the book has {said(a)} here, this row {said(b)}.", KEEP)

    def span(self, row: Row, column: str) -> Span | None:
        value: Span | None = row[column]
        return shifted(value, self.shift) if value is not None and self.shift else value


def named(table: str, key: Any) -> str:
    """A key as the keeper writes it."""
    if table == "places":
        return f"{key[0]}{key[1]}-{key[2]}"
    if table == "due":
        return f"`{key[1]}` at {key[0]} from {date.fromordinal(key[2]).isoformat()}"
    return "/".join(map(str, key)) if isinstance(key, tuple) else str(key)


def said(value: Any) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple) and not isinstance(value, Span):
        return named("places" if len(value) == 3 else "", value)
    return f"`{shown(str(value))}`"
