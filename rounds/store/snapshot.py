"""What a book holds, row by row, under the names a keeper knows.

Loading and writing tables need every row of the book with names instead of row ids: a
line by its name, an animal by line and number, an enclosure by its code.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.records.entries import Cell
from rounds.records.record import Record
from rounds.records.tables import TABLES
from rounds.store.book_models import RECORD_MODELS
from rounds.store.orm import ask, pw
from rounds.store.read_house import span
from rounds.store.round_models import HouseModel, KeeperModel, RoundModel, VisitModel

Address = tuple[str, int, int]  # bay, shelf, slot
Key = Any
"""A name, a tuple of names, or a row id: how a row is called outside the book."""
SPAN_ENDS = ("earliest", "latest", "words")
_ENCLOSURE: Any = RECORD_MODELS["enclosure"]
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
    """The bytes of a UUID, small letters and all."""
    if len(text) != 36 or text[8] != "-":
        return None
    try:
        raw = bytes.fromhex(text.replace("-", ""))
    except ValueError:
        return None
    return raw if uid_text(raw) == text else None


def uid_text(uid: bytes) -> str:
    """A UUID of 16 bytes as 8-4-4-4-12 hexadecimal digits."""
    h = uid.hex()
    return f"{h[:8]}-{h[8:12]}-{h[12:16]}-{h[16:20]}-{h[20:]}"


def columns_of(table: type[Record]) -> list[str]:
    """Names of a table's columns in the book, ``void`` last: a span has three of them."""
    names: list[str] = []
    for c in table.columns:
        names += [f"{c.name}_{end}" for end in SPAN_ENDS] if c.type == "span" else [c.name]
    return [*names, "void"]


def raw_rows(db: pw.Database, table: type[Record]) -> dict[int, dict[str, Any]]:
    """Every row of a table by row id, void ones too; references are row ids."""
    out: dict[int, dict[str, Any]] = {}
    model: Any = RECORD_MODELS[table.table]
    columns = [getattr(model, name) for name in columns_of(table)]
    for row_id, *cells in ask(db, model.select(model.id, *columns).order_by(model.id)):
        row: dict[str, Any] = {}
        at = 0
        for c in table.columns:
            if c.type == "span":
                row[c.name] = span(*cells[at : at + 3])
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
        for r in ask(
            db,
            RoundModel.select(
                RoundModel.uid,
                KeeperModel.name,
                RoundModel.day,
                RoundModel.name,
                RoundModel.zone,
                RoundModel.bays,
                RoundModel.opened_ms,
                RoundModel.closed_ms,
                RoundModel.fingerprint,
                _ENCLOSURE.code,
                RoundModel.source,
            )
            .join(KeeperModel)
            .switch(RoundModel)
            .join(_ENCLOSURE, pw.JOIN.LEFT_OUTER)
            .order_by(RoundModel.id),
        )
    }


def held(db: pw.Database) -> Snapshot:
    """Everything but visits and what was read and raised at them."""
    home = HouseModel
    house = ask(
        db,
        home.select(home.name, home.zone, home.day_starts, home.walk_order).order_by(home.id).limit(1),
    ).fetchone()
    keepers = [name for (name,) in ask(db, KeeperModel.select(KeeperModel.name).order_by(KeeperModel.id))]
    visits = int(ask(db, VisitModel.select(pw.fn.COUNT(VisitModel.id))).fetchone()[0])
    return Snapshot(HouseRow(*house) if house else None, keepers, named_rows(db), rounds_held(db), visits)
