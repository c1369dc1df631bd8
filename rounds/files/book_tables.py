"""The tables of the books: read, checked against each other and the book, made into rows.

A row whose other cells are bad still counts as being there, so that one slip is one
problem and not one for every row that refers to it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path
from typing import Any

from rounds.files import book_checks as checks
from rounds.files import row_sentences
from rounds.files.csv_rows import Sink
from rounds.files.csv_tables import BOOKS, CsvTable
from rounds.files.row_comparison import Checker, free_ids, named
from rounds.files.typed_tables import Sheet, TypedRow, sheet
from rounds.named_tuple import NamedTuple
from rounds.records.tables import TABLES
from rounds.store.snapshot import Address, HouseRow, Key, Snapshot
from rounds.values.rough_width import USUAL, RoughWidth

NAMES = ("house", "keepers", *(t.name for t in BOOKS))

# What tells rows without an id apart, beside being equal in every cell.
_ALIKE: dict[str, tuple[str, ...]] = {
    "content": ("enclosure", "animal", "line", "brood", "lot", "instar"),
    "due": ("enclosure", "animal", "what", "earliest"),
}


class Books(NamedTuple):
    """New rows only: ``tables`` by the book's table and key, columns as the book has them.

    ``names`` is what other tables may refer to, of the tables and the book; ``stands`` where
    each enclosure stands.
    """

    house: HouseRow | None
    new_house: bool
    keepers: list[str]
    tables: dict[str, dict[Key, dict[str, Any]]]
    names: Mapping[str, Collection[Any]]
    stands: dict[str, Address | None]

    def counts(self) -> dict[str, int]:
        """New rows by file."""
        return {"house": int(self.new_house), "keepers": len(self.keepers)} | {
            t.name: len(self.tables[t.ledger]) for t in BOOKS
        }


def read(folder: Path, held: Snapshot, sink: Sink, shift_days: int = 0, about: RoughWidth = USUAL) -> Books:
    """Read and check every table of the books in ``folder``; problems go to ``sink``."""
    sheets = {name: sheet(name, folder, sink, about=about) for name in NAMES}
    check = Checker(sheets, held, shift_days)
    house, new_house = _house(check)
    keepers = [k for k, _ in _unique(check, sheets["keepers"]) if k not in held.keepers]
    tables = {t.ledger: _Rows(check, sheets[t.name]).new() for t in BOOKS}
    for special in checks.WHOLE:
        special(check)
    stands = {c: e["place"] for c, e in held.tables["enclosure"].items()}
    stands |= {r["code"]: r["place"] for r in sheets["enclosures"].rows if r["code"] is not None}
    names = {name: check.known(name) for name in ("keepers", "places", "enclosures")}
    return Books(house, new_house, keepers, tables, names, stands)


def _house(check: Checker) -> tuple[HouseRow | None, bool]:
    sheet, held = check.sheets["house"], check.held
    for row in sheet.rows[1:]:
        sheet.problem(row, "name", *row_sentences.SECOND_HOUSE)
    if not sheet.good():
        return held.house, False
    row = sheet.good()[0]
    starts = 240 if row["day_starts"] is None else row["day_starts"]
    house = HouseRow(row["name"], row["zone"], starts, row["order"] or "straight")
    if held.house is not None and not held.empty and house != held.house:
        checks.house_differs(sheet, row, held.house, house)
    return house, house != held.house


def _unique(check: Checker, sheet: Sheet) -> Iterator[tuple[Key, TypedRow]]:
    """Good rows by key; a key that stands there twice is a problem."""
    first: dict[Key, int] = {}
    for row in sheet.rows:
        key = check.key(sheet, row)
        if key is None:
            continue
        if key in first:
            told = row_sentences.stands_already(named(sheet.table.name, key), first[key])
            sheet.problem(row, sheet.table.key[-1], *told)
            continue
        first[key] = row.line
        if row.good:
            yield key, row


class _Rows:
    """One table's rows as the book's columns."""

    def __init__(self, check: Checker, sheet: Sheet) -> None:
        self.check, self.sheet = check, sheet
        self.table: CsvTable = sheet.table
        self.held: Mapping[Key, Mapping[str, Any]] = check.held.tables[sheet.table.ledger]
        self.defaults = {c.name: c.default for c in TABLES[sheet.table.ledger].columns} | {"void": False}
        self.fill: Callable[[Checker, Sheet, TypedRow, dict[str, Any]], None] = checks.BY_ROW.get(
            sheet.table.name, lambda *_: None
        )
        boxes = sheet.table.name == "enclosures"
        self.orders = checks.Orders(check) if boxes else None
        self.numbers = checks.Numbers(check) if boxes else None

    def new(self) -> dict[Key, dict[str, Any]]:
        """Rows the book has not; one unlike the book's is a problem."""
        rows = {row.line: self._made(row) for row in self.sheet.rows}
        out: dict[Key, dict[str, Any]] = {}
        for key, row in _unique(self.check, self.sheet):
            made = rows[row.line]
            if key not in self.held:
                out[key] = made
            else:
                self.check.differs(self.sheet, row, self.held[key], made)
        if self.table.key == ("id",):
            self._without_id(rows, out)
        return out

    def _made(self, row: TypedRow) -> dict[str, Any]:
        made = dict(self.defaults)
        for c in self.table.columns:
            value = row[c.name]
            if c.of and c.type != "inmate":
                self.check.refers(self.sheet, row, c.name)
            if c.holds and value is not None:
                made[c.holds] = " ".join(value) if c.type == "words" else self.check.moved(value, c.type)
        if self.orders is not None:
            made["slot_order"] = self.orders.of(row)
        if self.numbers is not None:
            made["number"] = self.numbers.of(row)
        self.fill(self.check, self.sheet, row, made)
        return made

    def _without_id(self, rows: Mapping[int, dict[str, Any]], out: dict[Key, dict[str, Any]]) -> None:
        """Rows that name no id: those the book has already are found by what they say."""
        given = [c.holds for c in self.table.columns if c.holds and self.sheet.has(c.name)]
        alike = _ALIKE.get(self.table.ledger, ())
        same: dict[Any, list[Mapping[str, Any]]] = {}
        near: dict[Any, Mapping[str, Any]] = {}
        for held in self.held.values():
            if not held["void"]:
                same.setdefault(tuple(held[c] for c in given), []).append(held)
                if alike and held.get("until") is None:
                    near[tuple(held[c] for c in alike)] = held
        first: dict[Any, int] = {}
        free = iter(free_ids([*self.held, *(k for k in self.check.known(self.table.name))]))
        for row in self.sheet.rows:
            if row["id"] is not None or not row.good:
                continue
            made = rows[row.line]
            if found := same.get(tuple(made[c] for c in given)):
                found.pop()
                continue
            if alike and made.get("until") is None:
                key = tuple(made[c] for c in alike)
                if key in first:
                    self.sheet.problem(row, "enclosure", *row_sentences.same_already(first[key]))
                    continue
                first[key] = row.line
                if key in near:
                    self.check.differs(self.sheet, row, near[key], made)
                    continue
            out[next(free)] = made
