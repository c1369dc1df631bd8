"""Walks, flags, actions, changes and acts as tables: what rules raised and keepers did.

They are what :mod:`rounds.files.write` makes of a book; hardly anybody writes them by
hand. They are checked all the same: what they name must be there.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from rounds.files import history_sentences as sentences
from rounds.files import row_sentences
from rounds.files.act_tables import Acts
from rounds.files.book_tables import Books
from rounds.files.csv_rows import Sink
from rounds.files.local_times import Clock
from rounds.files.row_comparison import said
from rounds.files.typed_tables import Sheet, TypedRow, sheet
from rounds.files.visit_tables import Visits
from rounds.husbandry.stages import DEPTHS
from rounds.named_tuple import NamedTuple
from rounds.problems import nearest
from rounds.store.book import Book
from rounds.store.bulk import Loading
from rounds.store.snapshot import RoundRow, Snapshot, uid
from rounds.store.snapshot_history import KEPT, history_rows, plain
from rounds.store.snapshot_visits import held_visits

_CSV = {"at_ms": "at", "uid": "id", "kind": "reading"}
"""What a column of the book is called in its file, where it is not its own name."""


class History(NamedTuple):
    """New rows by file, as :func:`rounds.store.snapshot_history.history_rows` would give them."""

    new: dict[str, list[dict[str, Any]]]
    acts: Acts

    def counts(self) -> dict[str, int]:
        return {name: len(rows) for name, rows in self.new.items()} | self.acts.counts()

    def store(self, into: Loading) -> None:
        for name, rows in self.new.items():
            if rows:
                into.history(name, rows)
        if self.acts.acts or self.acts.changes:
            into.acts(self.acts.acts, self.acts.changes)


def rounds(
    folder: Path, have: Snapshot, books: Books, clock: Clock | None, sink: Sink
) -> dict[bytes, RoundRow]:
    """New walks of ``rounds.csv`` by uid."""
    table = sheet("rounds", folder, sink, _instant(clock))
    out: dict[bytes, RoundRow] = {}
    lines: dict[bytes, int] = {}
    for row in table.rows:
        _there(table, row, "keeper", books.names["keepers"])
        _there(table, row, "standing_at", books.names["enclosures"])
        if row["id"] is None:
            continue
        walk = uid("walk", row["id"])
        if walk in lines:
            table.problem(row, "id", *row_sentences.stands_already(row["id"], lines[walk]))
            continue
        lines[walk] = row.line
        if not row.good:
            continue
        shift = clock.shift if clock else 0
        made = RoundRow(
            walk,
            row["keeper"],
            row["day"] + shift,
            row["name"] or "",
            row["zone"],
            row["bays"] or (),
            row["opened"],
            row["closed"],
            row["fingerprint"] or "",
            row["standing_at"],
            row["source"] or "walked",
        )
        held = have.rounds.get(walk)
        if held is None:
            out[walk] = made
        else:
            _differs(
                table, row, held._asdict(), made._asdict(), {"opened": "opened_ms", "closed": "closed_ms"}
            )
    return out


def read(
    folder: Path,
    book: Book,
    have: Snapshot,
    books: Books,
    walks_: Mapping[bytes, RoundRow],
    visits: Visits,
    clock: Clock | None,
    sink: Sink,
) -> History:
    """New rows of every table of history; problems go to ``sink``."""
    reading = _Reading(book, have, books, walks_, visits, clock, sink)
    new = {name: reading.table(name, folder) for name in KEPT}
    return History(new, Acts(folder, book, have, books, reading.has_visit, clock, sink))


class _Reading:
    def __init__(
        self,
        book: Book,
        have: Snapshot,
        books: Books,
        walks_: Mapping[bytes, RoundRow],
        visits: Visits,
        clock: Clock | None,
        sink: Sink,
    ) -> None:
        self.book, self.have, self.books, self.clock, self.sink = book, have, books, clock, sink
        self.walks = {**have.rounds, **walks_}
        self.visits = visits.place.keys()
        self.held_visits: set[bytes] = set()  # of the book, not in the tables
        self.actions: set[bytes] = set()

    def table(self, name: str, folder: Path) -> list[dict[str, Any]]:
        found = sheet(name, folder, self.sink, _instant(self.clock))
        made = [(row, self._row(name, found, row)) for row in found.rows]
        if name == "actions":
            self.actions |= {r["uid"] for _, r in made if r["uid"] is not None}
        if not made:
            return []
        held = list(history_rows(self.book.db, name)) if not self.have.empty else []
        if name == "actions":
            self.actions |= {r["uid"] for r in held}
        return self._fresh(name, found, [(row, new) for row, new in made if row.good], held)

    def _fresh(
        self, name: str, found: Sheet, made: list[tuple[TypedRow, dict[str, Any]]], held: list[dict[str, Any]]
    ) -> list[dict[str, Any]]:
        """Rows the book has not: by key, or by all they say where rows have none."""
        key = tuple(k for k in KEYS.get(name, ()))
        if not key:
            have = Counter(plain(r) for r in held)
            out = []
            for _, new in made:
                if have[plain(new)]:
                    have[plain(new)] -= 1
                else:
                    out.append(new)
            return out
        by_key = {tuple(r[k] for k in key): r for r in held}
        first: dict[Any, int] = {}
        out = []
        for row, new in made:
            mine = tuple(new[k] for k in key)
            if mine in first:
                column = _CSV.get(key[-1], key[-1])
                found.problem(row, column, *sentences.same_already(first[mine]))
                continue
            first[mine] = row.line
            if mine not in by_key:
                out.append(new)
            else:
                columns = {_CSV.get(p.name, p.name): p.name for p in KEPT[name].parts}
                _differs(found, row, by_key[mine], new, columns)
        return out

    def _row(self, name: str, found: Sheet, row: TypedRow) -> dict[str, Any]:
        out: dict[str, Any] = {}
        for part in KEPT[name].parts:
            column = _CSV.get(part.name, part.name)
            if part.to == "kind":
                out[part.name] = (row["reading"], DEPTHS.get(row["depth"]))
                continue
            value = row[column]
            if value is not None and part.to:
                value = self._named(found, row, column, part.to, value)
            elif value is None and not part.to and part.name in TEXTS:
                value = ""
            elif part.name == "depth":
                value = DEPTHS.get(value)
            elif part.name in FLAGS:
                value = bool(value)
            elif part.name in DAYS and value is not None and self.clock is not None:
                value += self.clock.shift
            out[part.name] = value
        return out

    def _named(self, found: Sheet, row: TypedRow, column: str, to: str, value: Any) -> Any:
        """What a cell refers to, as the book has it; what is not there is a problem."""
        if to in ("enclosure", "keeper"):
            _there(found, row, column, self.books.names[f"{to}s"])
            return value
        if to == "action":
            if value not in self.actions and "actions.csv" not in self.sink.broken:
                found.problem(row, column, *sentences.NO_SUCH_ACTION)
            return value
        if to == "round":
            walk = uid("walk", value)
            if walk not in self.walks and "rounds.csv" not in self.sink.broken:
                found.problem(
                    row, column, *sentences.none_there("walk", value, sentences.add_it("rounds.csv"))
                )
            return walk
        visit = uid("visit", value)
        if not self.has_visit(visit):
            found.problem(row, column, *sentences.none_there("visit", value, sentences.add_it("visits.csv")))
        return visit

    def has_visit(self, visit: bytes) -> bool:
        """Is it in the tables or the book? Of a table that was not read to its end nothing can be said."""
        if visit in self.visits or visit in self.held_visits or "visits.csv" in self.sink.broken:
            return True
        if self.have.visits and held_visits(self.book.db, [visit]):
            self.held_visits.add(visit)
            return True
        return False


KEYS = {"not_seen": ("round", "enclosure"), "flags": ("visit", "rule"), "actions": ("uid",)}
TEXTS = ("kind", "rule", "level", "reason", "todo", "withheld", "fingerprint", "why")
FLAGS = ("stands", "cause_gone", "undone")
DAYS = ("day", "opened", "until", "closed")


def _instant(clock: Clock | None) -> Callable[[str], int] | None:
    if clock is None:
        return None
    of = clock
    return lambda text: of.read(text)[0]


def _there(table: Sheet, row: TypedRow, column: str, names: Any) -> None:
    of = next(c.of for c in table.table.columns if c.name == column)
    if row[column] is not None and row[column] not in names and f"{of}.csv" not in table.sink.broken:
        hint = nearest(row[column], map(str, names)) if table.sink.room(table.table.file) else ""
        told = sentences.none_there(of.removesuffix("s"), row[column], hint or sentences.add_it(f"{of}.csv"))
        table.problem(row, column, *told)


def _differs(
    table: Sheet, row: TypedRow, has: Mapping[str, Any], says: Mapping[str, Any], columns: Mapping[str, str]
) -> None:
    for c in table.table.columns:
        field = columns.get(c.name, c.name)
        if field in has and table.has(c.name) and has[field] != says[field]:
            table.problem(row, c.name, *row_sentences.book_has(said(has[field]), said(says[field])))
