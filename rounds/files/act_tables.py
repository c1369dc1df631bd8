"""Acts and their changes as tables: names in the place of rows, so that they fit any book.

A value of a change is JSON. A reference is the text by which its row is called (a code, a
name, LINE/NUMBER, B3-2, an id), a span ``{"span": "spring 2026"}``.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from rounds.files import history_sentences as sentences
from rounds.files.book_tables import Books
from rounds.files.cells_in import CellError, reader
from rounds.files.cells_out import iso, span_text
from rounds.files.csv_rows import Sink
from rounds.files.csv_tables import OF_LEDGER
from rounds.files.local_times import Clock
from rounds.files.row_comparison import named
from rounds.files.typed_tables import Sheet, TypedRow, sheet
from rounds.problems import nearest
from rounds.records.tables import TABLES
from rounds.store.book import Book
from rounds.store.snapshot import Key, Snapshot, uid, uid_text
from rounds.store.snapshot_acts import ActChangeRow, ActRow, held_acts
from rounds.values.spans import Span

_KEY_TYPES = {"place": "address", "animal": "animal", "line": "line"}


def written(acts: Sequence[ActRow], clock: Clock) -> Iterator[Sequence[str]]:
    """Rows of acts.csv."""
    for a in acts:
        subject = "" if a.subject is None else _key_text(a.table, a.subject)
        yield (
            uid_text(a.uid),
            a.name,
            a.table,
            subject,
            a.given,
            iso(a.day),
            clock.written(a.at_ms),
            a.keeper or "",
            uid_text(a.visit) if a.visit else "",
            "yes" if a.sure else "no",
            uid_text(a.undone_by) if a.undone_by else "",
        )


def written_changes(changes: Sequence[ActChangeRow]) -> Iterator[Sequence[str]]:
    """Rows of act_changes.csv."""
    for c in changes:
        before, after = (_value_text(c.table, c.column, v) for v in (c.before, c.after))
        yield uid_text(c.act), str(c.seq), c.table, _key_text(c.table, c.row), c.column or "", before, after


def _key_text(table: str, key: Key) -> str:
    return named(OF_LEDGER[table].name, key)


def _value_text(table: str, column: str | None, value: Any) -> str:
    def plain(name: str, v: Any) -> Any:
        if v is None or name == "void":
            return v
        c = TABLES[table].column(name)
        if c.type == "ref":
            return _key_text(c.of, v)
        return {"span": span_text(v)} if isinstance(v, Span) else v

    if column is None and isinstance(value, Mapping):
        value = {name: plain(name, v) for name, v in value.items()}
    elif column is not None:
        value = plain(column, value)
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


class Acts:
    """New acts and changes of a folder; problems go to ``sink``."""

    def __init__(
        self,
        folder: Path,
        book: Book,
        have: Snapshot,
        books: Books,
        visits: Any,
        clock: Clock | None,
        sink: Sink,
    ) -> None:
        self.have, self.books, self.clock, self.sink = have, books, clock, sink
        self.known = {t: {*have.tables[t], *books.tables[t]} for t in TABLES}
        instant = (lambda text: clock.read(text)[0]) if clock is not None else None
        self.acts: list[ActRow] = []
        self.changes: list[ActChangeRow] = []
        table, changed = sheet("acts", folder, sink, instant), sheet("act_changes", folder, sink)
        if not table.rows and not changed.rows:
            return
        old = held_acts(book.db) if not have.empty else ([], [])
        mine = {a.uid: a for a in old[0]}
        every = mine.keys() | {r["id"] for r in table.rows}
        first: set[bytes] = set()
        for row in table.rows:
            made = self._act(table, row, every, visits)
            if row["id"] in first:
                table.problem(row, "id", *sentences.ACT_TWICE)
            elif made is not None:
                first.add(row["id"])
                self._new(table, row, mine.get(made.uid), made, self.acts)
        before = {(c.act, c.seq): c for c in old[1]}
        seen: set[tuple[bytes, int]] = set()
        for row in changed.rows:
            change = self._change(changed, row, every)
            if change is None:
                continue
            if (change.act, change.seq) in seen:
                changed.problem(row, "seq", *sentences.change_twice(change.seq))
                continue
            seen.add((change.act, change.seq))
            self._new(changed, row, before.get((change.act, change.seq)), change, self.changes)

    def counts(self) -> dict[str, int]:
        return {"acts": len(self.acts), "act_changes": len(self.changes)}

    def _new(self, table: Sheet, row: TypedRow, held: Any, made: Any, into: list[Any]) -> None:
        if held is None:
            into.append(made)
        elif held != made:
            column = "act" if isinstance(made, ActRow) else "after"
            table.problem(row, column, *sentences.OTHERWISE_IN_THE_BOOK)

    def _act(self, table: Sheet, row: TypedRow, every: set[bytes], visits: Any) -> ActRow | None:
        visit = None if row["visit"] is None else uid("visit", row["visit"])
        if visit is not None and not visits(visit):
            self._none(table, row, "visit", "visit", "visits.csv")
        if row["keeper"] is not None and row["keeper"] not in self.books.names["keepers"]:
            self._none(table, row, "keeper", "keeper", "keepers.csv")
        if row["undone_by"] is not None and row["undone_by"] not in every:
            table.problem(row, "undone_by", *sentences.NO_SUCH_ACT)
        subject, on = None, row["on"] or ""
        if on and self._table(table, row, "on", on) and row["subject"] is not None:
            subject = self._row(table, row, "subject", on, row["subject"])
        if not row.good:
            return None
        shift = self.clock.shift if self.clock else 0
        return ActRow(
            row["id"],
            row["act"],
            on,
            subject,
            row["given"],
            row["day"] + shift,
            row["at"],
            row["keeper"],
            visit,
            bool(row["sure"]),
            row["undone_by"],
        )

    def _change(self, table: Sheet, row: TypedRow, every: set[bytes]) -> ActChangeRow | None:
        if row["act"] is not None and row["act"] not in every:
            table.problem(row, "act", *sentences.NO_SUCH_ACT)
        of, column = row["table"], row["column"]
        if of is None or not self._table(table, row, "table", of) or row["row"] is None or not row.good:
            return None
        key = self._row(table, row, "row", of, row["row"])
        names = [c.name for c in TABLES[of].columns] + ["void"]
        if column is not None and column not in names:
            table.problem(row, "column", *sentences.no_such_column(of, column, nearest(column, names)))
            return None
        values = [self._value(table, row, c, of, column) for c in ("before", "after")]
        return ActChangeRow(row["act"], row["seq"], of, key, column, *values)

    @staticmethod
    def _none(table: Sheet, row: TypedRow, column: str, what: str, file: str) -> None:
        table.problem(row, column, *sentences.none_there(what, row[column], sentences.add_it(file)))

    def _table(self, table: Sheet, row: TypedRow, column: str, name: str) -> bool:
        if name in TABLES:
            return True
        table.problem(row, column, *sentences.none_there("table", name, nearest(name, TABLES)))
        return False

    def _row(self, table: Sheet, row: TypedRow, column: str, of: str, text: str) -> Key | None:
        """The key of the row that is meant; one that is not there is a problem."""
        try:
            key: Key = reader(_KEY_TYPES.get(of, "id") if TABLES[of].key else "row")(text)
        except CellError as e:
            table.problem(row, column, *e.refusal)
            return None
        if key not in self.known[of] and OF_LEDGER[of].file not in self.sink.broken:
            hint = sentences.add_it(OF_LEDGER[of].file)
            table.problem(row, column, *sentences.none_there(of, text, hint))
        return key

    def _value(self, table: Sheet, row: TypedRow, column: str, of: str, name: str | None) -> Any:
        value = json.loads(row[column])
        if name is not None:
            return self._one(table, row, column, of, name, value)
        if value is None:
            return None
        if not isinstance(value, dict):
            table.problem(row, column, *sentences.NO_NEW_ROW)
            return None
        return {k: self._one(table, row, column, of, k, v) for k, v in value.items()}

    def _one(self, table: Sheet, row: TypedRow, column: str, of: str, name: str, value: Any) -> Any:
        if value is None or name == "void":
            return value
        kind = next((c for c in TABLES[of].columns if c.name == name), None)
        if kind is None:
            table.problem(row, column, *sentences.no_such_column(of, name, ""))
            return None
        if kind.type == "ref":
            return self._row(table, row, column, kind.of, str(value))
        if kind.type != "span":
            return value
        try:
            return reader("span")(value["span"])
        except (TypeError, KeyError):
            table.problem(row, column, *sentences.no_span(name))
        except CellError as e:
            table.problem(row, column, *sentences.about_column(name, *e.refusal))
        return None
