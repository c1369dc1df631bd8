"""Put new visits and their cells into a book: whole columns of them, each row with its checksum at once."""

from __future__ import annotations

import zlib
from array import array
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import islice
from typing import Any

from rounds.store.cell_codec import PHRASE, Dictionary
from rounds.store.new_visits import NewCells, NewVisits
from rounds.store.orm import pw, run
from rounds.store.row_checksums import REMEMBERED, before_cells, cell_ending, columns_of, crc_of, signed

BATCH = 1000
"""Rows given to the driver at once."""
_COLUMNS = ("id", "uid", "enclosure", "round", "seq", "at_ms", "place")

Step = Callable[[str, int], None]


def many(db: pw.Database, text: str, rows: Iterable[Sequence[Any]]) -> Iterator[int]:
    """In batches, each number of rows that are done: to make a row may take a question of its own, which a server's
    driver does not let in between."""
    left, done = iter(rows), 0
    while some := list(islice(left, BATCH)):
        db.cursor().executemany(text, some)  # type: ignore[no-untyped-call]
        done += len(some)
        yield done


def add_visits(
    db: pw.Database,
    new: NewVisits,
    ids: Mapping[str, Mapping[Any, int]],
    dictionary: Dictionary,
    step: Step,
) -> None:
    """``ids`` has the row ids of enclosures, rounds and places by name; ``step`` is told the rows done by table."""
    assert columns_of(db, "visit") == _COLUMNS, "a checksum of all columns is made here"
    first = 1 + int(run(db, "SELECT coalesce(max(id), 0) FROM visit").fetchone()[0])
    cells = _Cells(db, new.cells, first, len(new), dictionary)
    marks = ", ".join([db.param] * (len(_COLUMNS) + 1))
    insert = f"INSERT INTO visit ({', '.join(_COLUMNS)}, crc) VALUES ({marks})"
    for done in many(db, insert, _rows(new, ids, first, cells.checksums)):
        step("visits", done)
    insert = f"INSERT INTO reading (visit, kind, number) VALUES ({', '.join([db.param] * 3)})"
    for done in many(db, insert, cells.rows()):
        step("readings", done)


def _rows(
    new: NewVisits, ids: Mapping[str, Mapping[Any, int]], first: int, checksums: Sequence[int]
) -> Iterator[tuple[Any, ...]]:
    codes = [ids["enclosure"][code] for code in new.codes]
    walks = [ids["round"][walk] for walk in new.walks]
    places = [None if place is None else ids["place"][place] for place in new.places]
    for n, (uid, enclosure, walk, seq, at_ms, place) in enumerate(
        zip(new.uids, new.enclosure, new.walk, new.seq, new.at_ms, new.place, strict=True)
    ):
        row = (first + n, uid, codes[enclosure], walks[walk], seq, at_ms, places[place])
        yield *row, crc_of("visit", row) ^ signed(checksums[n])


class _Cells:
    """``checksums`` has for each visit those of its cells, put together."""

    def __init__(
        self, db: pw.Database, cells: NewCells, first: int, visits: int, dictionary: Dictionary
    ) -> None:
        self._cells, self._first = cells, first
        self._kinds = [dictionary.kind(*kind) for kind in cells.kinds]
        self.checksums = array("I", bytes(4 * visits))
        phrases = [float(dictionary.phrase(text)) for text in cells.texts]
        forms = [form for _, _, form in cells.kinds]
        self._kind = [self._kinds[kind] for kind in cells.kind]
        self._number = [
            phrases[int(number)] if forms[kind] == PHRASE else number + 0.0  # -0.0 comes back as 0.0
            for kind, number in zip(cells.kind, cells.number, strict=True)
        ]
        self._remarks: list[tuple[int, int, float]] = []
        self._seal_remarks(db)
        self._seal_cells()

    def _seal_remarks(self, db: pw.Database) -> None:
        number = int(run(db, "SELECT coalesce(max(id), 0) FROM remark").fetchone()[0])

        def made() -> Iterator[tuple[int, str, int]]:
            nonlocal number
            for visit, kind, text in self._cells.remarks():
                number += 1
                row = (self._first + visit, self._kinds[kind], float(number))
                self._remarks.append(row)
                ending = cell_ending(*row[1:], None)
                self.checksums[visit] ^= zlib.crc32(ending, before_cells(row[0]))
                yield number, text, crc_of("remark", (number, text))

        insert = f"INSERT INTO remark (id, text, crc) VALUES ({', '.join([db.param] * 3)})"
        for _ in many(db, insert, made()):
            pass

    def _seal_cells(self) -> None:
        kinds, numbers, sums, crc32 = self._kind, self._number, self.checksums, zlib.crc32

        @lru_cache(REMEMBERED)
        def ending(cell: int) -> bytes:
            return cell_ending(kinds[cell], numbers[cell], None)

        before, seed = -1, 0
        for visit, cell in zip(self._cells.visit, self._cells.cell, strict=True):
            if visit != before:
                before, seed = visit, before_cells(self._first + visit)
            sums[visit] ^= crc32(ending(cell), seed)

    def rows(self) -> Iterator[tuple[int, int, float]]:
        yield from self._remarks
        visits, cells = self._cells.visit, self._cells.cell
        yield from zip(
            map(self._first.__add__, visits),
            map(self._kind.__getitem__, cells),
            map(self._number.__getitem__, cells),
            strict=True,
        )
