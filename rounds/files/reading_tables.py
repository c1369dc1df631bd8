"""Past readings, checked after their visits: those of new visits are kept as numbers of what they say.

Rows of one visit that stand together are a group. What a group says is worked out once for all
groups of the same cells, as long as nothing is wrong with it and its visit has no other group.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from operator import itemgetter
from pathlib import Path

from rounds.files import history_sentences as sentences
from rounds.files.cells_out import unguarded
from rounds.files.csv_rows import Sink
from rounds.files.csv_tables import BY_NAME
from rounds.files.reading_cells import REMEMBERED, ReadingCells, Said
from rounds.files.row_comparison import said
from rounds.files.typed_tables import Header, raw
from rounds.files.visit_tables import BATCH, Visits
from rounds.husbandry.readings import ReadingKind
from rounds.named_tuple import NamedTuple
from rounds.records.entries import AS_EXPECTED
from rounds.store.book import Book
from rounds.store.cell_codec import REMARK, decode, encode
from rounds.store.snapshot import CellRow, uid
from rounds.store.snapshot_visits import held_cells


class Group(NamedTuple):
    """Cells of one visit that stand together in the file; ``visit`` is its row id, or its number below nought."""

    visit: int
    line: int
    read: list[CellRow]
    expected: CellRow | None  # None: nothing was confirmed

    @property
    def cells(self) -> int:
        """How many rows of the file they come to."""
        assert self.expected is None or isinstance(self.expected.value, Mapping)
        return len(self.read) + (0 if self.expected is None else max(1, len(self.expected.value)))  # type: ignore[arg-type]


class Known(NamedTuple):
    """What groups of these cells say of a new visit: numbers of cells, a bit for each place that is said."""

    cells: tuple[int, ...]
    places: bytes
    rows: int


class Readings:
    """``visits`` are those of the same tables, checked already; ``added`` counts the rows that are new.

    The cells of new visits are put to them; those of visits that the book has are in ``held``.
    """

    def __init__(
        self,
        folder: Path,
        book: Book,
        kinds: Mapping[str, ReadingKind],
        visits: Visits,
        sink: Sink,
        step: Callable[[str, int], None],
    ) -> None:
        self.folder, self.book, self.visits, self.sink, self.step = folder, book, visits, sink, step
        self.added = 0
        self.held: list[Group] = []
        self._cells = ReadingCells(kinds)
        self._width = (self._cells.places + 7) // 8
        self._nothing = bytes(self._width)
        self._seen = bytearray(len(visits.row_ids) * self._width)
        self._known: dict[tuple[int, ...], Known | None] = {}
        self._numbers: dict[CellRow, int] = {}
        self._confirmed: dict[int, list[CellRow]] = {}  # by new visit, where one cell does not say it all
        self._waiting: list[Group] = []

    def _problem(self, top: Header, line: int, column: str, message: str, hint: str = "") -> None:
        self.sink.add(top.table.file, line, top.column(column), f"{column}: {message}", hint)

    def check(self) -> None:
        """Go through the table; what the book has already is compared and left out."""
        if not (self.folder / BY_NAME["readings"].file).is_file():
            return
        known = self._cells.known
        current, rows = "", list[tuple[int, Said]]()
        top: Header | None = None
        for top, line, row in raw("readings", self.folder, self.sink):
            if not rows:
                at = top.at["visit"]
                pick = itemgetter(*(top.at[c] for c in ("reading", "depth", "value", "how")))
            elif row[at] != current:
                self._take(top, current, rows)
                rows = []
            if not line % BATCH:
                self.step("readings", line)
            current, cells = row[at], pick(row)
            rows.append((line, known.get(cells) or self._cells.read(cells)))
        if top is not None and rows:
            self._take(top, current, rows)
            self._compare(top)
        self._join_confirmed()

    def _take(self, top: Header, visit: str, rows: list[tuple[int, Said]]) -> None:
        """A group of rows."""
        numbers = tuple([says.number for _, says in rows])
        if numbers not in self._known:
            if len(self._known) > REMEMBERED:
                self._known.clear()
            self._known[numbers] = self._made([says for _, says in rows])
        known = self._known[numbers]
        place = self.visits.place.get(uid("visit", unguarded(visit)), -1)
        row_id = self.visits.row_ids[place] if place >= 0 else 0
        seen = slice(place * self._width, (place + 1) * self._width)
        if known is None or row_id >= 0 or self._seen[seen] != self._nothing:
            self._one_by_one(top, visit, place, rows)
            return
        self._seen[seen] = known.places
        self.visits.new.cells.put(-1 - row_id, known.cells)
        self.added += known.rows

    def _made(self, rows: Sequence[Said]) -> Known | None:
        """None where something is wrong, or a text is too long to be kept once for many cells."""
        places = 0
        for says in rows:
            if says.wrong or places & 1 << says.place:
                return None
            places |= 1 << says.place
        group = _group(0, 0, rows)
        cells = group.read if group.expected is None else [*group.read, group.expected]
        if any(encode(c.reading, c.value)[0] == REMARK for c in cells):
            return None
        numbers = tuple(map(self._number, cells))
        return Known(numbers, places.to_bytes(self._width, "little"), group.cells)

    def _number(self, cell: CellRow) -> int:
        if isinstance(cell.value, Mapping):
            return self.visits.new.cells.number_of(*cell)
        if len(self._numbers) > REMEMBERED:
            self._numbers.clear()
        if cell not in self._numbers:
            self._numbers[cell] = self.visits.new.cells.number_of(*cell)
        return self._numbers[cell]

    def _one_by_one(self, top: Header, visit: str, place: int, rows: list[tuple[int, Said]]) -> None:
        """Rows of which one may be wrong, whose visit the book has, or has others further up."""
        good = []
        for line, says in rows:
            if place < 0:
                self._not_there(top, line, unguarded(visit))
            if says.wrong:
                self._problem(top, line, says.wrong.column, *says.wrong.refusal)
            elif place >= 0:
                byte, bit = place * self._width + (says.place >> 3), 1 << (says.place & 7)
                if self._seen[byte] & bit:
                    self._problem(top, line, "reading", *sentences.reading_twice(says.reading))
                    continue
                self._seen[byte] |= bit
                good.append(says)
        row_id = self.visits.row_ids[place] if place >= 0 else 0
        group = _group(row_id, rows[0][0], good)
        if row_id > 0:
            self._waiting.append(group)
            if len(self._waiting) >= BATCH:
                self._compare(top)
        elif row_id < 0:
            self.added += group.cells
            self.visits.new.cells.put(-1 - row_id, tuple(map(self._number, group.read)))
            if group.expected is not None:
                self._confirmed.setdefault(-1 - row_id, []).append(group.expected)

    def _not_there(self, top: Header, line: int, visit: str) -> None:
        if "visits.csv" not in self.sink.broken:
            told = (
                sentences.none_there("visit", visit, sentences.add_it("visits.csv"))
                if visit
                else sentences.NO_VISIT_NAMED
            )
            self._problem(top, line, "visit", *told)

    def _compare(self, top: Header) -> None:
        """What the groups of visits that the book has say beyond it; what they say otherwise is a problem."""
        held = held_cells(self.book.db, [g.visit for g in self._waiting])
        for g in self._waiting:
            own = held[g.visit]
            sure = own.get(AS_EXPECTED)
            confirmed = sure.value if sure is not None and isinstance(sure.value, Mapping) else {}
            read = []
            for cell in g.read:
                if cell.reading not in own:
                    read.append(cell)
                elif own[cell.reading] != cell:
                    told = sentences.reading_differs(said(own[cell.reading].value), cell.reading)
                    self._problem(top, g.line, "value", *told)
            expected: dict[str, object] = {}
            says = g.expected.value if g.expected is not None else {}
            assert isinstance(says, Mapping)
            for reading, value in says.items():
                if reading not in confirmed:
                    expected[reading] = value
                elif confirmed[reading] != value:
                    told = sentences.expected_differs(said(confirmed[reading]), reading)
                    self._problem(top, g.line, "value", *told)
            new = None
            if g.expected is not None and (expected or sure is None):
                new = g.expected._replace(value=expected)
            if read or new is not None:
                self.held.append(g._replace(read=read, expected=new))
                self.added += self.held[-1].cells
        self._waiting = []

    def _join_confirmed(self) -> None:
        """What was confirmed at a new visit is one cell, however far apart its rows stood in the file."""
        if not self._confirmed:
            return
        cells = self.visits.new.cells
        confirmed = {cells.kinds[k]: k[1] for k in cells.kinds if k[0] == AS_EXPECTED}
        texts = list(cells.texts)

        def is_part(visit: int, cell: int) -> bool:
            """Does the cell go into one that is made of several?"""
            depth = confirmed.get(cells.kind[cell])
            if depth is None or visit not in self._confirmed:
                return False
            value = decode(AS_EXPECTED, None, texts[int(cells.number[cell])])
            self._confirmed[visit].insert(0, CellRow(AS_EXPECTED, depth, value))
            return True

        cells.drop(is_part)
        for visit, parts in self._confirmed.items():
            values = {reading: v for part in parts for reading, v in part.value.items()}  # type: ignore[union-attr]
            whole = CellRow(AS_EXPECTED, max(part.depth for part in parts), values)
            if encode(whole.reading, whole.value)[0] == REMARK:
                cells.put_text(visit, *whole)
            else:
                cells.put(visit, (cells.number_of(*whole),))


def _group(visit: int, line: int, rows: Sequence[Said]) -> Group:
    read = [CellRow(says.reading, says.depth, says.value) for says in rows if not says.expected]
    sure = [says for says in rows if says.expected]
    if not sure:
        return Group(visit, line, read, None)
    values = {says.reading: says.value for says in sure if says.reading != AS_EXPECTED}
    return Group(visit, line, read, CellRow(AS_EXPECTED, max(says.depth for says in sure), values))
