"""Put the rows of checked tables into a book, all of them or none.

Nothing here decides what may go in: that is the loader's work. Rows come under the names a
keeper knows (:mod:`rounds.store.held`); row ids are looked up here.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from rounds.husbandry.entries import AS_EXPECTED, NOTE, SKIPPED
from rounds.husbandry.spans import Span
from rounds.problems import BookError
from rounds.store import trouble
from rounds.store.book import Book
from rounds.store.cells import Dictionary
from rounds.store.held import (
    CHUNK,
    Address,
    AnimalRow,
    CellRow,
    ContentRow,
    DueRow,
    EnclosureRow,
    HouseRow,
    LineRow,
    LockRow,
    VisitRow,
    held_cells,
    uid,
)  # fmt: skip
from rounds.store.orm import pw, run

_SPAN_ENDS = ("earliest", "latest", "words")


def _spread(span: Span | None) -> tuple[int | None, int | None, str | None]:
    return (None, None, None) if span is None else (span.earliest, span.latest, span.words)


def _many(db: pw.Database, text: str, rows: Iterable[Sequence[Any]]) -> None:
    db.cursor().executemany(text, rows)  # type: ignore[no-untyped-call]


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

    def __enter__(self) -> Loading:
        self._transaction = self.book.writing()
        try:
            self._transaction.__enter__()
        except pw.DatabaseError as e:
            raise BookError(trouble.sentence(e, self.book.path)) from e
        if change_mark(self.db) != self.since:
            error = BookError("The book was changed while the tables were being checked. Run it again.")
            self.__exit__(BookError, error, None)
            raise error
        return self

    def __exit__(self, kind: Any, value: Any, trace: Any) -> None:
        try:
            self._transaction.__exit__(kind, value, trace)
        except pw.DatabaseError as e:  # the commit failed, or the rollback found nothing to do
            raise BookError(trouble.sentence(e, self.book.path)) from e
        if isinstance(value, pw.DatabaseError):
            raise BookError(trouble.sentence(value, self.book.path)) from value

    def _insert(self, table: str, columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
        names = ", ".join(f'"{c}"' for c in columns)
        marks = ", ".join([self.db.param] * len(columns))
        _many(self.db, f'INSERT INTO "{table}" ({names}) VALUES ({marks})', rows)

    def _of(self, table: str, again: bool = False) -> dict[Any, int]:
        """Row ids by name; read again after rows were added."""
        if again or table not in self._ids:
            text = {
                "keeper": "SELECT id, name FROM keeper",
                "place": "SELECT id, bay, shelf, slot FROM place",
                "line": "SELECT id, name FROM line",
                "animal": "SELECT a.id, l.name, a.number FROM animal a JOIN line l ON l.id = a.line",
                "enclosure": "SELECT id, code FROM enclosure",
            }[table]
            self._ids[table] = {r[1] if len(r) == 2 else tuple(r[1:]): r[0] for r in run(self.db, text)}
        return self._ids[table]

    def house(self, row: HouseRow) -> None:
        """Set the house of a book without records."""
        run(self.db, "DELETE FROM house")
        self._insert("house", ("name", "zone", "day_starts", "walk_order"), [row])

    def keepers(self, names: Iterable[str]) -> None:
        self._insert("keeper", ("name",), [(n,) for n in names])
        self._of("keeper", again=True)

    def places(self, rows: Iterable[Address]) -> None:
        self._insert("place", ("bay", "shelf", "slot"), rows)
        self._of("place", again=True)

    def lines(self, rows: Iterable[LineRow]) -> None:
        self._insert("line", ("name", "species", "origin", "generation", "note"), rows)
        self._of("line", again=True)

    def animals(self, rows: Sequence[AnimalRow]) -> None:
        spans = [f"{n}_{end}" for n in ("born", "emerged", "first_feed", "mature") for end in _SPAN_ENDS]
        line = self._of("line")
        self._insert(
            "animal",
            ("line", "number", "sex", "sexed_how", *spans, "state", "note"),
            (
                (line[r.line], r.animal, r.sex, r.sexed_how, *_spread(r.born), *_spread(r.emerged),
                 *_spread(r.first_feed), *_spread(r.mature), r.state, r.note)
                for r in rows
            ),
        )  # fmt: skip
        # Parents only now: a row may name one that stands further down.
        ids = self._of("animal", again=True)
        p = self.db.param
        _many(
            self.db,
            f"UPDATE animal SET sire = {p}, dam = {p} WHERE id = {p}",
            [
                (r.sire and ids[r.sire], r.dam and ids[r.dam], ids[r.line, r.animal])
                for r in rows
                if r.sire or r.dam
            ],
        )

    def enclosures(self, rows: Iterable[EnclosureRow]) -> None:
        place = self._of("place")
        self._insert(
            "enclosure",
            ("code", "number", "stage", "stage_since_earliest", "stage_since_latest", "stage_since_words",
             "place", "slot_order", "species", "litres", "note"),
            (
                (r.code, r.number, r.stage, *_spread(r.stage_since), r.place and place[r.place], *r[5:])
                for r in rows
            ),
        )  # fmt: skip
        self._of("enclosure", again=True)

    def contents(self, rows: Iterable[ContentRow]) -> None:
        code, line, animal = self._of("enclosure"), self._of("line"), self._of("animal")
        self._insert(
            "content",
            ("enclosure", "animal", "line", "males", "females", "unsexed", "at_least", "instar",
             "since_earliest", "since_latest", "since_words"),
            (
                (code[r.enclosure], animal[r.line, r.animal] if r.animal else None,
                 None if r.animal else line[r.line], *r[3:8], *_spread(r.since))
                for r in rows
            ),
        )  # fmt: skip

    def locks(self, rows: Iterable[LockRow]) -> None:
        code, animal = self._of("enclosure"), self._of("animal")
        self._insert(
            "lock",
            ("enclosure", "animal", "forbids", "from_day", "until_earliest", "until_latest", "until_words", "reason"),
            (
                (code[r.enclosure] if r.enclosure else None, animal[r.animal] if r.animal else None,
                 r.forbids, r.from_day, *_spread(r.until), r.reason)
                for r in rows
            ),
        )  # fmt: skip

    def due(self, rows: Iterable[DueRow]) -> None:
        code = self._of("enclosure")
        self._insert(
            "due",
            ("enclosure", "what", "earliest", "likely", "latest", "why"),
            ((code[r.enclosure], *r[1:]) for r in rows),
        )

    def rounds(self, zone: str, rows: Mapping[tuple[str, int, str], tuple[int, int]]) -> None:
        """Walks by (keeper, day, name), each with its first and last instant.

        They go in in the order of their days. One that an earlier load made is stretched;
        walked rounds are never touched.
        """
        keeper = self._of("keeper")
        uids = {key: uid("round", *key) for key in rows}
        have = {bytes(u) for (u,) in run(self.db, "SELECT uid FROM round")}
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
                "source",
            ),
            [
                (uids[key], keeper[key[0]], key[1], key[2], zone, "[]", first, last, "", "loaded")
                for key, (first, last) in sorted(rows.items(), key=lambda kv: (kv[0][1], kv[1]))
                if uids[key] not in have
            ],
        )
        for key, (first, last) in rows.items():
            if uids[key] in have:
                run(
                    self.db,
                    "UPDATE round SET opened_ms = CASE WHEN opened_ms > ? THEN ? ELSE opened_ms END,"
                    " closed_ms = CASE WHEN closed_ms < ? THEN ? ELSE closed_ms END WHERE uid = ?",
                    (first, first, last, last, uids[key]),
                )
        ids = {bytes(u): i for i, u in run(self.db, "SELECT id, uid FROM round")}
        self._ids["round"] = {key: ids[u] for key, u in uids.items()}

    def visits(self, rows: Sequence[VisitRow]) -> array[int]:
        """Add visits with their notes and skips; returns their row ids, in order."""
        code, place, round_ = self._of("enclosure"), self._of("place"), self._ids["round"]
        self._insert(
            "visit",
            ("uid", "enclosure", "round", "seq", "at_ms", "place"),
            (
                (
                    r.uid,
                    code[r.enclosure],
                    round_[r.keeper, r.day, r.round],
                    r.seq,
                    r.at_ms,
                    r.place and place[r.place],
                )
                for r in rows
            ),
        )
        ids: dict[bytes, int] = {}
        for start in range(0, len(rows), CHUNK):
            some = [r.uid for r in rows[start : start + CHUNK]]
            marks = ", ".join([self.db.param] * len(some))
            ids.update(
                (bytes(u), i)
                for i, u in run(self.db, f"SELECT id, uid FROM visit WHERE uid IN ({marks})", some)
            )
        out = array("q", (ids[r.uid] for r in rows))
        said = (
            (i, w, t)
            for i, r in zip(out, rows, strict=True)
            for w, t in ((SKIPPED, r.skipped), (NOTE, r.note))
            if t
        )
        self.cells((i, CellRow(w, 0, t)) for i, w, t in said)
        return out

    def cells(self, rows: Iterable[tuple[int, CellRow]]) -> None:
        """Add cells to visits, given by row id. A cell that exists already is an IntegrityError."""
        self._insert(
            "reading",
            ("visit", "kind", "number"),
            ((visit, *self._dictionary.cell(c.reading, c.depth, c.value)) for visit, c in rows),
        )

    def expected(self, visit: int, depth: int, values: Mapping[str, object]) -> None:
        """Join confirmed values to a visit's one ``as_expected`` cell, keeping the deeper depth."""
        old = held_cells(self.db, [visit])[visit].get(AS_EXPECTED)
        if old is not None and isinstance(old.value, Mapping):
            depth, values = max(depth, old.depth), {**old.value, **values}
            run(
                self.db,
                "DELETE FROM reading WHERE visit = ? AND kind IN (SELECT id FROM kind WHERE reading = ?)",
                (visit, AS_EXPECTED),
            )
        self.cells([(visit, CellRow(AS_EXPECTED, depth, values))])


def change_mark(db: pw.Database) -> int:
    """A number that differs once another connection has committed a change."""
    return int(run(db, "PRAGMA data_version").fetchone()[0])
