"""What a book holds, row by row, under the names a keeper knows.

Loading and writing tables need every row of the book with names instead of row ids: a
line by its name, an animal by line and number, an enclosure by its code. Each table has
one row class here; its fields are the columns.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from rounds.husbandry.entries import NOTE, SKIPPED, Cell
from rounds.husbandry.spans import Span
from rounds.store.cells import decode
from rounds.store.orm import pw, run

Address = tuple[str, int, int]  # bay, shelf, slot
Kin = tuple[str, str]  # line, number
CHUNK = 500  # below the 999 parameters that every SQLite build allows


class HouseRow(NamedTuple):
    name: str
    zone: str
    day_starts: int
    order: str


class LineRow(NamedTuple):
    line: str
    species: str
    origin: str
    generation: str
    note: str


class AnimalRow(NamedTuple):
    line: str
    animal: str
    sex: str
    sexed_how: str
    sire: Kin | None
    dam: Kin | None
    born: Span | None
    emerged: Span | None
    first_feed: Span | None
    mature: Span | None
    state: str
    note: str


class EnclosureRow(NamedTuple):
    code: str
    number: int
    stage: str
    stage_since: Span | None
    place: Address | None
    order: int
    species: str
    litres: float | None
    note: str


class ContentRow(NamedTuple):
    """Who is in an enclosure now; ``animal`` is empty for a group."""

    enclosure: str
    line: str
    animal: str
    males: int
    females: int
    unsexed: int
    at_least: bool
    instar: str
    since: Span | None


class LockRow(NamedTuple):
    enclosure: str
    animal: Kin | None
    forbids: str
    from_day: int
    until: Span | None
    reason: str


class DueRow(NamedTuple):
    enclosure: str
    what: str
    earliest: int
    likely: int | None
    latest: int
    why: str


class VisitRow(NamedTuple):
    """``day`` is the round day; ``seq`` its place in the round; ``place`` where it stood then."""

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


class CellRow(NamedTuple):
    """One cell of a visit: a reading, or ``as_expected`` with a mapping for its value."""

    reading: str
    depth: int
    value: Cell


class Held(NamedTuple):
    """What the book holds under names; ``visits`` is a count, because there may be millions."""

    house: HouseRow | None
    keepers: set[str]
    places: set[Address]
    lines: dict[str, LineRow]
    animals: dict[Kin, AnimalRow]
    enclosures: dict[str, EnclosureRow]
    contents: list[ContentRow]
    locks: list[LockRow]
    due: list[DueRow]
    visits: int

    @property
    def empty(self) -> bool:
        return not (self.visits or self.enclosures or self.animals or self.places or self.lines)


def uid(kind: str, *names: object) -> bytes:
    """A 16-byte id that is always the same for the same names.

    RFC 9562 version 8, filled from SHA-256 as the RFC's appendix B.2 shows; so a table
    loaded twice makes the same rows. Sixteen bytes written as a UUID are taken as they are.
    """
    if kind == "visit" and (given := _uuid(str(names[0]))):
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


def held(db: pw.Database) -> Held:
    """Everything but visits and readings."""

    def q(text: str) -> Iterator[Any]:
        return iter(run(db, text))

    houses = [
        HouseRow(*r) for r in q("SELECT name, zone, day_starts, walk_order FROM house ORDER BY id LIMIT 1")
    ]
    places: dict[int, Address] = {i: (b, s, n) for i, b, s, n in q("SELECT id, bay, shelf, slot FROM place")}
    lines = {
        r[0]: LineRow(*r) for r in q("SELECT name, species, origin, generation, note FROM line ORDER BY id")
    }
    kin: dict[int, Kin] = {
        i: (line, n)
        for i, line, n in q("SELECT a.id, l.name, a.number FROM animal a JOIN line l ON l.id = a.line")
    }
    animals = {}
    for r in q(
        "SELECT id, sex, sexed_how, sire, dam, born_earliest, born_latest, born_words, emerged_earliest,"
        " emerged_latest, emerged_words, first_feed_earliest, first_feed_latest, first_feed_words,"
        " mature_earliest, mature_latest, mature_words, state, note FROM animal ORDER BY id"
    ):
        animals[kin[r[0]]] = AnimalRow(
            *kin[r[0]], r[1], r[2], kin.get(r[3]), kin.get(r[4]), _span(*r[5:8]), _span(*r[8:11]),
            _span(*r[11:14]), _span(*r[14:17]), r[17], r[18],
        )  # fmt: skip
    codes: dict[int, str] = {}
    enclosures = {}
    for r in q(
        "SELECT id, code, number, stage, stage_since_earliest, stage_since_latest, stage_since_words, place,"
        " slot_order, species, litres, note FROM enclosure ORDER BY id"
    ):
        codes[r[0]] = r[1]
        enclosures[r[1]] = EnclosureRow(r[1], r[2], r[3], _span(*r[4:7]), places.get(r[7]), *r[8:])
    names = dict(q("SELECT id, name FROM line"))
    contents = []
    for r in q(
        "SELECT enclosure, animal, line, males, females, unsexed, at_least, instar, since_earliest, since_latest,"
        " since_words FROM content WHERE until_earliest IS NULL ORDER BY id"
    ):
        line, animal = kin[r[1]] if r[1] is not None else (names.get(r[2], ""), "")
        contents.append(
            ContentRow(codes[r[0]], line, animal, r[3], r[4], r[5], bool(r[6]), r[7], _span(*r[8:]))
        )
    locks = [
        LockRow(codes.get(r[0], ""), kin.get(r[1]), r[2], r[3], _span(*r[4:7]), r[7])
        for r in q(
            "SELECT enclosure, animal, forbids, from_day, until_earliest, until_latest, until_words, reason"
            " FROM lock ORDER BY id"
        )
    ]
    due = [
        DueRow(codes[r[0]], *r[1:])
        for r in q("SELECT enclosure, what, earliest, likely, latest, why FROM due ORDER BY id")
    ]
    keepers = {n for (n,) in q("SELECT name FROM keeper")}
    visits = next(q("SELECT count(*) FROM visit"))[0]
    return Held(
        houses[0] if houses else None, keepers, set(places.values()), lines, animals, enclosures, contents,
        locks, due, visits,
    )  # fmt: skip


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
        found = list(
            run(
                db,
                "SELECT v.id, v.uid, k.name, r.day, r.name, e.code, v.seq, v.at_ms, p.bay, p.shelf, p.slot FROM visit v"
                " JOIN round r ON r.id = v.round JOIN keeper k ON k.id = r.keeper"
                " JOIN enclosure e ON e.id = v.enclosure LEFT JOIN place p ON p.id = v.place"
                f" WHERE v.uid IN ({', '.join('?' * len(some))})",
                some,
            )
        )
        cells = held_cells(db, [r[0] for r in found])
        for id_, uid_, keeper, day, name, code, seq, at_ms, bay, shelf, slot in found:
            skipped, note = (str(cells[id_][k].value) if k in cells[id_] else "" for k in (SKIPPED, NOTE))
            place = None if bay is None else (bay, shelf, slot)
            row = VisitRow(bytes(uid_), keeper, day, name, code, seq, at_ms, place, skipped, note)
            out[bytes(uid_)] = HeldVisit(id_, row)
    return out


def last_seq(db: pw.Database) -> dict[bytes, int]:
    """The highest sequence number in each round, by the round's uid."""
    text = "SELECT r.uid, max(v.seq) FROM visit v JOIN round r ON r.id = v.round GROUP BY r.id, r.uid"
    return {bytes(uid_): seq for uid_, seq in run(db, text)}
