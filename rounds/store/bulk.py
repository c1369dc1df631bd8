"""Put the rows of checked tables into a book, all of them or none.

Nothing here decides what may go in: that is the loader's work. Rows come under the names a
keeper knows (:mod:`rounds.store.snapshot`); row ids are looked up here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from rounds.problems import BookError
from rounds.records.column import Row
from rounds.records.entries import AS_EXPECTED
from rounds.records.record import Record
from rounds.records.tables import TABLES
from rounds.store import database_errors
from rounds.store.act_models import ActModel
from rounds.store.book import Book
from rounds.store.bulk_visits import Step, add_visits, many
from rounds.store.cell_codec import Dictionary, pack
from rounds.store.load_order import ORDER, late
from rounds.store.models import BY_NAME
from rounds.store.new_visits import NewVisits
from rounds.store.orm import ask, one_of, pw, run
from rounds.store.reading_models import KindModel, ReadingModel
from rounds.store.round_models import HouseModel, RoundModel, VisitModel
from rounds.store.row_checksums import crc_of_cell, put_into_visit, seal_all, sealed
from rounds.store.snapshot import (
    CHUNK,
    CellRow,
    HouseRow,
    Key,
    RoundRow,
    columns_of,
    keys,
    raw_rows,
)
from rounds.store.snapshot_acts import ActChangeRow, ActRow, stored
from rounds.store.snapshot_history import KEPT, Part
from rounds.store.snapshot_visits import held_cells
from rounds.values.spans import Span


def _spread(span: Span | None) -> tuple[int | None, int | None, str | None]:
    return (None, None, None) if span is None else (span.earliest, span.latest, span.words)


def _many(db: pw.Database, text: str, rows: Iterable[Sequence[Any]]) -> None:
    for _ in many(db, text, rows):
        pass


class Loading:
    """One transaction that adds rows; leaving it by an exception leaves the book as it was.

    ``since`` is what :func:`change_mark` said before the rows were checked: if someone
    wrote in between, the checks no longer hold and BookError is raised.
    """

    def __init__(self, book: Book, since: int) -> None:
        self.book, self.db, self.since = book, book.db, since
        self._transaction: Any = None
        self._ids: dict[str, dict[Any, int]] = {}
        self._dictionary = Dictionary(book.db)
        self._sealed = False

    def __enter__(self) -> Loading:
        self._transaction = self.book.writing()
        try:
            self._transaction.__enter__()
        except pw.DatabaseError as e:
            raise BookError(database_errors.sentence(e, self.book.path)) from e
        if change_mark(self.db) != self.since:
            error = BookError("The book was changed while the tables were being checked. Run it again.")
            self.__exit__(BookError, error, None)
            raise error
        return self

    def __exit__(self, kind: Any, value: Any, trace: Any) -> None:
        try:
            if kind is None and not self._sealed:
                self._seal()
            self._transaction.__exit__(kind, value, trace)
        except pw.DatabaseError as e:  # the commit failed, or the rollback found nothing to do
            raise BookError(database_errors.sentence(e, self.book.path)) from e
        if isinstance(value, pw.DatabaseError):
            raise BookError(database_errors.sentence(value, self.book.path)) from value

    def seal(self) -> None:
        """Give every new row its checksum; after this only what gives its own may be written. Raises peewee's errors."""
        seal_all(self.db)
        self._sealed = True

    def _seal(self) -> None:
        """Give every new row its checksum. Raises peewee's errors, after rolling back."""
        try:
            seal_all(self.db)
        except BaseException as e:
            self._transaction.__exit__(type(e), e, e.__traceback__)
            raise

    def _insert(self, table: str, columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
        names = ", ".join(f'"{c}"' for c in columns)
        marks = ", ".join([self.db.param] * len(columns))
        _many(self.db, f'INSERT INTO "{table}" ({names}) VALUES ({marks})', rows)

    def _of(self, table: str) -> dict[Any, int]:
        """Row ids by name."""
        if table not in self._ids:
            named = {"keeper": "name", "round": "uid", "action": "uid", "act": "uid"}.get(table)
            if named is None:
                found = keys({name: raw_rows(self.db, of) for name, of in TABLES.items()})
                self._ids |= {name: {k: i for i, k in some.items()} for name, some in found.items()}
            else:
                model: Any = BY_NAME[table]
                found_ids = ask(self.db, model.select(getattr(model, named), model.id))
                self._ids[table] = {bytes(k) if isinstance(k, memoryview) else k: i for k, i in found_ids}
        return self._ids[table]

    def house(self, row: HouseRow) -> None:
        """Set the house of a book without records."""
        ask(self.db, HouseModel.delete())
        self._insert("house", ("name", "zone", "day_starts", "walk_order"), [row])

    def keepers(self, names: Iterable[str]) -> None:
        self._insert("keeper", ("name",), [(n,) for n in names])
        self._ids.pop("keeper", None)

    def tables(self, new: Mapping[str, Mapping[Key, Row]]) -> None:
        """Add rows of the books' tables by key; a reference is the key of a row, new or held.

        Rows without a name have their row id for a key and get that very id.
        """
        for table in ORDER:
            ids = self._of(table.table)
            last = max(ids.values(), default=0)
            for key in new.get(table.table, ()):
                if not table.key:
                    ids[key] = key
                else:
                    last += 1
                    ids[key] = last
        for table in ORDER:
            if rows := new.get(table.table):
                self._add(table, rows)
        # Only now is every row there: a row may name one that stands further down.
        for table in ORDER:
            ids = self._ids[table.table]
            for c in (c for c in table.columns if late(table, c)):
                to = self._ids[c.of]
                wanted = [
                    (to[row[c.name]], ids[key])
                    for key, row in new.get(table.table, {}).items()
                    if row[c.name] is not None
                ]
                p = self.db.param
                _many(self.db, f'UPDATE "{table.table}" SET "{c.name}" = {p} WHERE id = {p}', wanted)

    def _add(self, table: type[Record], rows: Mapping[Key, Row]) -> None:
        ids = self._ids[table.table]
        refs = {c.name: self._ids[c.of] for c in table.columns if c.type == "ref" and not late(table, c)}

        def cells(key: Key, row: Row) -> list[Any]:
            out: list[Any] = [ids[key]]
            for c in table.columns:
                value = row[c.name]
                if c.type == "span":
                    out += _spread(value)
                elif c.type == "ref":
                    to = refs.get(c.name)
                    out.append(None if value is None or to is None else to[value])
                else:
                    out.append(value)
            out.append(row["void"])
            return out

        self._insert(table.table, ("id", *columns_of(table)), (cells(k, r) for k, r in rows.items()))

    def rounds(self, rows: Iterable[RoundRow]) -> None:
        """Add walks, in the order of their days; one that an earlier load made is stretched.

        Walked rounds are never touched.
        """
        keeper, code = self._of("keeper"), self._of("enclosure")
        have = self._of("round")
        fresh = []
        for r in rows:
            if r.uid not in have:
                fresh.append(r)
                continue
            first, last = r.opened_ms, r.closed_ms
            opened, closed = RoundModel.opened_ms, RoundModel.closed_ms
            longer = {
                opened: pw.Case(None, [(opened > first, first)], opened),
                closed: pw.Case(None, [(closed < last, last)], closed),
            }
            mine = (RoundModel.uid == r.uid, RoundModel.source == "loaded")
            with sealed(self.db, "round", "uid = ?", (r.uid,)):
                ask(self.db, RoundModel.update(longer).where(*mine))
        fresh.sort(key=lambda r: r.day)  # stable: within a day as they came
        self._insert(
            "round",
            (
                "uid",
                "keeper",
                "day",
                "name",
                "zone",
                "bays",
                "opened_ms",
                "closed_ms",
                "fingerprint",
                "at_enclosure",
                "source",
            ),
            [
                (
                    r.uid,
                    keeper[r.keeper],
                    r.day,
                    r.name,
                    r.zone,
                    pack(list(r.bays)),
                    r.opened_ms,
                    r.closed_ms,
                    r.fingerprint,
                    None if r.standing_at is None else code[r.standing_at],
                    r.source,
                )
                for r in fresh
            ],
        )
        self._ids.pop("round", None)

    def visits(self, new: NewVisits, step: Step) -> None:
        """Add visits with all their cells, numbered on from the last one in the book; ``step`` is told the rows done."""
        ids = {table: self._of(table) for table in ("enclosure", "round", "place")}
        add_visits(self.db, new, ids, self._dictionary, step)

    def history(self, name: str, rows: Sequence[Mapping[str, Any]]) -> None:
        """Add rows of a table of :mod:`rounds.store.snapshot_history`."""
        kept = KEPT[name]
        named = {
            part.to: self._of(part.to) for part in kept.parts if part.to and part.to not in ("visit", "kind")
        }
        visits = [p.name for p in kept.parts if p.to == "visit"]
        named["visit"] = self.visit_ids([r[c] for r in rows for c in visits if r[c] is not None])

        def cell(part: Part, value: Any) -> Any:
            if part.to == "kind":
                return self._dictionary.kind(value[0], value[1], 0)
            return value if not part.to or value is None else named[part.to][value]

        columns = [p.name for p in kept.parts]
        self._insert(kept.table, columns, ([cell(p, r[p.name]) for p in kept.parts] for r in rows))
        self._ids.pop(kept.table, None)

    def acts(self, acts: Sequence[ActRow], changes: Sequence[ActChangeRow]) -> None:
        """Add acts in order with what they changed; every row they name must be in the book."""
        keeper, by_key = self._of("keeper"), {name: self._of(name) for name in TABLES}
        visits = self.visit_ids([a.visit for a in acts if a.visit is not None])
        self._insert(
            "act",
            ("uid", "name", "subject_table", "subject", "given", "day", "at_ms", "keeper", "visit", "sure"),
            (
                (
                    a.uid,
                    a.name,
                    a.table,
                    by_key[a.table][a.subject] if a.table and a.subject is not None else None,
                    a.given,
                    a.day,
                    a.at_ms,
                    keeper[a.keeper] if a.keeper else None,
                    visits[a.visit] if a.visit else None,
                    a.sure,
                )
                for a in acts
            ),
        )
        self._ids.pop("act", None)
        ids = self._of("act")
        for a in acts:
            if a.undone_by is not None:
                undone = ActModel.update({ActModel.undone_by: ids[a.undone_by]})
                ask(self.db, undone.where(ActModel.id == ids[a.uid]))
        self._insert(
            "act_change",
            ("act", "seq", "table", "row", "column", "before", "after"),
            (
                (ids[c.act], c.seq, c.table, by_key[c.table][c.row], c.column, *stored(c.table, c, by_key))
                for c in changes
            ),
        )

    def visit_ids(self, uids: Sequence[bytes]) -> dict[bytes, int]:
        """Row ids of visits by uid; those the book has not are left out."""
        ids: dict[bytes, int] = {}
        for start in range(0, len(uids), CHUNK):
            some = list(uids[start : start + CHUNK])
            found = ask(
                self.db,
                VisitModel.select(VisitModel.id, VisitModel.uid).where(VisitModel.uid.in_(one_of(some))),
            )
            ids.update((bytes(u), i) for i, u in found)
        return ids

    def cells(self, rows: Iterable[tuple[int, CellRow]]) -> None:
        """Add cells to visits, given by row id. A cell that exists already is an IntegrityError."""
        changed: dict[int, int] = {}

        def made() -> Iterator[tuple[int, int, float | None]]:
            for visit, c in rows:
                kind, number = self._dictionary.cell(c.reading, c.depth, c.value)
                changed[visit] = changed.get(visit, 0) ^ crc_of_cell(visit, kind, number, None)
                yield visit, kind, number

        self._insert("reading", ("visit", "kind", "number"), made())
        for visit, crc in changed.items():
            put_into_visit(self.db, visit, crc)

    def expected(self, visit: int, cell: CellRow) -> None:
        """Join confirmed values to a visit's one ``as_expected`` cell, keeping the deeper depth."""
        old = held_cells(self.db, [visit])[visit].get(AS_EXPECTED)
        if old is not None and isinstance(old.value, Mapping) and isinstance(cell.value, Mapping):
            cell = CellRow(AS_EXPECTED, max(cell.depth, old.depth), {**old.value, **cell.value})
            kinds = KindModel.select(KindModel.id).where(KindModel.reading == AS_EXPECTED)
            mine = (ReadingModel.visit == visit, ReadingModel.kind.in_(kinds))
            was = ReadingModel.select(ReadingModel.kind, ReadingModel.number, ReadingModel.act)
            for row in ask(self.db, was.where(*mine)).fetchall():
                put_into_visit(self.db, visit, crc_of_cell(visit, *row))
            ask(self.db, ReadingModel.delete().where(*mine))
        self.cells([(visit, cell)])


def change_mark(db: pw.Database) -> int:
    """A number that differs once another connection has committed a change."""
    return int(run(db, "PRAGMA data_version").fetchone()[0])
