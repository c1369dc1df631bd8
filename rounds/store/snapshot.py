"""What a book holds, row by row, under the names a keeper knows.

Loading and writing tables need every row of the book with names instead of row ids: a
line by its name, an animal by line and number, an enclosure by its code.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from rounds.records.entries import NOTE, SKIPPED, Cell
from rounds.records.record import Record
from rounds.records.tables import TABLES
from rounds.store.cell_codec import decode
from rounds.store.orm import pw, run
from rounds.values.spans import Span

Address = tuple[str, int, int]  # bay, shelf, slot
Key = Any
"""A name, a tuple of names, or a row id: how a row is called outside the book."""
SPAN_ENDS = ("earliest", "latest", "words")
CHUNK = 500  # below the 999 parameters that every SQLite build allows


class HouseRow(NamedTuple):
    name: str
    zone: str
    day_starts: int
    order: str


class VisitRow(NamedTuple):
    """``day`` is the round day; ``seq`` its place in the round; ``place`` where it stood then.

    ``walk`` is the uid of its round, whose keeper, day and name are repeated here.
    """

    uid: bytes
    keeper: str
    day: int
    round: str
    enclosure: str
    seq: int
    at_ms: int
    place: Address | None
    skipped: str
    note: str
    walk: bytes


class RoundRow(NamedTuple):
    """One walk; ``bays`` are names, ``standing_at`` an enclosure's code."""

    uid: bytes
    keeper: str
    day: int
    name: str
    zone: str
    bays: tuple[str, ...]
    opened_ms: int
    closed_ms: int | None
    fingerprint: str
    standing_at: str | None
    source: str


class CellRow(NamedTuple):
    """One cell of a visit: a reading, or ``as_expected`` with a mapping for its value."""

    reading: str
    depth: int
    value: Cell


class Snapshot(NamedTuple):
    """What the book holds under names.

    ``tables`` has every table of the books: rows by key (:func:`keys`), each a mapping from
    column to value in which a reference is the key of the row it points to. ``visits`` is a
    count, because there may be millions.
    """

    house: HouseRow | None
    keepers: list[str]
    tables: dict[str, dict[Key, dict[str, Any]]]
    rounds: dict[bytes, RoundRow]
    visits: int

    @property
    def empty(self) -> bool:
        """Nothing but a house and keepers."""
        return not (self.visits or self.rounds or any(self.tables.values()))


def uid(kind: str, *names: object) -> bytes:
    """A 16-byte id that is always the same for the same names.

    RFC 9562 version 8, filled from SHA-256 as the RFC's appendix B.2 shows; so a table
    loaded twice makes the same rows. Sixteen bytes written as a UUID are taken as they are.
    """
    if kind in ("visit", "walk") and (given := _uuid(str(names[0]))):
        return given
    raw = bytearray(
        hashlib.sha256("\0".join((kind, *map(str, names))).encode("utf-8", "surrogatepass")).digest()[:16]
    )
    raw[6] = raw[6] & 0x0F | 0x80
    raw[8] = raw[8] & 0x3F | 0x80
    return bytes(raw)


def _uuid(text: str) -> bytes | None:
    parts = text.split("-")
    if [len(p) for p in parts] != [8, 4, 4, 4, 12] or text != text.lower():
        return None
    try:
        return bytes.fromhex(text.replace("-", ""))
    except ValueError:
        return None


def _span(earliest: int | None, latest: int | None, words: str | None) -> Span | None:
    return None if earliest is None or latest is None else Span(earliest, latest, words or "")


def columns_of(table: type[Record]) -> list[str]:
    """Names of a table's columns in the book, ``void`` last: a span has three of them."""
    names: list[str] = []
    for c in table.columns:
        names += [f"{c.name}_{end}" for end in SPAN_ENDS] if c.type == "span" else [c.name]
    return [*names, "void"]


def raw_rows(db: pw.Database, table: type[Record]) -> dict[int, dict[str, Any]]:
    """Every row of a table by row id, void ones too; references are row ids."""
    out: dict[int, dict[str, Any]] = {}
    names = ", ".join(f'"{n}"' for n in columns_of(table))
    for row_id, *cells in run(db, f'SELECT id, {names} FROM "{table.table}" ORDER BY id'):
        row: dict[str, Any] = {}
        at = 0
        for c in table.columns:
            if c.type == "span":
                row[c.name] = _span(*cells[at : at + 3])
                at += 3
                continue
            value = cells[at]
            at += 1
            row[c.name] = bool(value) if c.type == "yesno" and value is not None else value
        row["void"] = bool(cells[at])
        out[row_id] = row
    return out


def keys(tables: Mapping[str, Mapping[int, Mapping[str, Any]]]) -> dict[str, dict[int, Key]]:
    """The key of every row by row id: a name, a tuple of names, or the row id where rows have no name."""
    out: dict[str, dict[int, Key]] = {}

    def of(name: str) -> dict[int, Key]:
        if name not in out:
            table = TABLES[name]
            found: dict[int, Key] = {}
            columns = [table.column(k) for k in table.key]
            others = {c.of: of(c.of) for c in columns if c.type == "ref"}
            for i, row in tables[name].items():
                parts = tuple(
                    others[c.of].get(row[c.name]) if c.type == "ref" else row[c.name] for c in columns
                )
                found[i] = (parts[0] if len(parts) == 1 else parts) if columns else i
            out[name] = found
        return out[name]

    for name in TABLES:
        of(name)
    return out


def named_rows(db: pw.Database) -> dict[str, dict[Key, dict[str, Any]]]:
    """Every table of the books by key, references replaced by keys."""
    raw = {name: raw_rows(db, table) for name, table in TABLES.items()}
    by_id = keys(raw)
    out: dict[str, dict[Key, dict[str, Any]]] = {}
    for name, rows in raw.items():
        refs = [(c.name, by_id[c.of]) for c in TABLES[name].columns if c.type == "ref"]
        for row in rows.values():
            for column, names in refs:
                if row[column] is not None:
                    row[column] = names[row[column]]
        mine = by_id[name]
        out[name] = {mine[i]: row for i, row in rows.items()}
    return out


def rounds_held(db: pw.Database) -> dict[bytes, RoundRow]:
    """Every walk by its uid, in the order they were written."""
    return {
        bytes(r[0]): RoundRow(bytes(r[0]), r[1], r[2], r[3], r[4], tuple(json.loads(r[5])), *r[6:])
        for r in run(
            db,
            "SELECT r.uid, k.name, r.day, r.name, r.zone, r.bays, r.opened_ms, r.closed_ms, r.fingerprint, e.code,"
            ' r.source FROM "round" r JOIN keeper k ON k.id = r.keeper'
            " LEFT JOIN enclosure e ON e.id = r.at_enclosure ORDER BY r.id",
        )
    }


def held(db: pw.Database) -> Snapshot:
    """Everything but visits and what was read and raised at them."""
    house = run(db, "SELECT name, zone, day_starts, walk_order FROM house ORDER BY id LIMIT 1").fetchone()
    keepers = [name for (name,) in run(db, "SELECT name FROM keeper ORDER BY id")]
    visits = int(run(db, "SELECT count(*) FROM visit").fetchone()[0])
    return Snapshot(HouseRow(*house) if house else None, keepers, named_rows(db), rounds_held(db), visits)


class HeldVisit(NamedTuple):
    """A visit with its row id; its note and its skip are in the row."""

    id: int
    row: VisitRow


def held_cells(db: pw.Database, visits: Sequence[int]) -> dict[int, dict[str, CellRow]]:
    """The cells of visits (by row id) by reading, without those that were taken back."""
    out: dict[int, dict[str, CellRow]] = {v: {} for v in visits}
    for start in range(0, len(visits), CHUNK):
        some = list(visits[start : start + CHUNK])
        for visit, reading, depth, number, text in run(
            db,
            "SELECT visit, reading, depth, number, text FROM cell"
            f" WHERE visit IN ({', '.join('?' * len(some))}) AND (number IS NOT NULL OR text IS NOT NULL)",
            some,
        ):
            out[visit][reading] = CellRow(reading, depth, decode(reading, number, text))
    return out


def held_visits(db: pw.Database, uids: Sequence[bytes]) -> dict[bytes, HeldVisit]:
    """Those of ``uids`` that the book has."""
    out: dict[bytes, HeldVisit] = {}
    for start in range(0, len(uids), CHUNK):
        some = list(uids[start : start + CHUNK])
        found = list(run(db, f"{_VISITS} WHERE v.uid IN ({', '.join('?' * len(some))})", some))
        out.update((v.row.uid, v) for v in _visit_rows(db, found))
    return out


_VISITS = (
    "SELECT v.id, v.uid, k.name, r.day, r.name, e.code, v.seq, v.at_ms, p.bay, p.shelf, p.slot, r.uid FROM visit v"
    ' JOIN "round" r ON r.id = v.round JOIN keeper k ON k.id = r.keeper'
    " JOIN enclosure e ON e.id = v.enclosure LEFT JOIN place p ON p.id = v.place"
)


def every_visit(db: pw.Database) -> Iterator[VisitRow]:
    """Every visit in the order it was written, a batch at a time."""
    after = -1
    while True:
        found = list(run(db, f"{_VISITS} WHERE v.id > ? ORDER BY v.id LIMIT {CHUNK}", (after,)))
        if not found:
            return
        for visit in _visit_rows(db, found):
            yield visit.row
        after = found[-1][0]


def _visit_rows(db: pw.Database, found: Sequence[Sequence[Any]]) -> Iterator[HeldVisit]:
    cells = held_cells(db, [r[0] for r in found])
    for id_, uid_, keeper, day, name, code, seq, at_ms, bay, shelf, slot, walk in found:
        skipped, note = (str(cells[id_][k].value) if k in cells[id_] else "" for k in (SKIPPED, NOTE))
        place = None if bay is None else (bay, shelf, slot)
        row = VisitRow(bytes(uid_), keeper, day, name, code, seq, at_ms, place, skipped, note, bytes(walk))
        yield HeldVisit(id_, row)


def every_cell(db: pw.Database) -> Iterator[tuple[bytes, CellRow]]:
    """Every cell that is not a note or a skip, with its visit's uid, visit by visit."""
    after = -1
    while True:
        found = list(run(db, f"SELECT id, uid FROM visit WHERE id > ? ORDER BY id LIMIT {CHUNK}", (after,)))
        if not found:
            return
        cells = held_cells(db, [i for i, _ in found])
        for i, uid_ in found:
            for reading, cell in cells[i].items():
                if reading not in (NOTE, SKIPPED):
                    yield bytes(uid_), cell
        after = found[-1][0]


def last_seq(db: pw.Database) -> dict[bytes, int]:
    """The highest sequence number in each round, by the round's uid."""
    text = "SELECT r.uid, max(v.seq) FROM visit v JOIN round r ON r.id = v.round GROUP BY r.id, r.uid"
    return {bytes(uid_): seq for uid_, seq in run(db, text)}
