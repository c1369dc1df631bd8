"""Past readings, streamed beside their visits: memory grows with visits a little, with readings not.

One :class:`Readings` is one pass over ``readings.csv``, after the same pass over ``visits.csv``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

from rounds.files import history_sentences as sentences
from rounds.files.cells_out import unguarded
from rounds.files.csv_rows import Sink
from rounds.files.csv_tables import BY_NAME
from rounds.files.reading_cells import ReadingCells, Said
from rounds.files.row_comparison import said
from rounds.files.typed_tables import Header, raw
from rounds.files.visit_tables import BATCH, Visits
from rounds.husbandry.readings import ReadingKind
from rounds.named_tuple import NamedTuple
from rounds.records.entries import AS_EXPECTED
from rounds.store.book import Book
from rounds.store.snapshot import CellRow
from rounds.store.snapshot_visits import held_cells


class Group(NamedTuple):
    """Readings of one visit that stand together: ``visit`` is the visit's place in the file."""

    visit: int
    read: list[CellRow]
    expected: dict[str, object] | None  # None: nothing was confirmed
    depth: int  # the deepest of the expected ones
    line: int


class Readings:
    """``visits`` are those of the same pass, gone through already; ``added`` counts what is new."""

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
        self.cells = ReadingCells(kinds)
        self.added = 0

    def _problem(self, top: Header, line: int, column: str, message: str, hint: str = "") -> None:
        self.sink.add(top.table.file, line, top.column(column), f"{column}: {message}", hint)

    def fresh(self) -> Iterator[list[Group]]:
        """New readings in batches of visits; those the book has already are compared and left out."""
        if not (self.folder / BY_NAME["readings"].file).is_file():
            return
        width = self.cells.places
        seen = bytearray((len(self.visits.row_ids) * width + 7) // 8)
        batch: list[Group] = []
        current, group = "", Group(-1, [], None, 0, 0)
        top: Header | None = None
        for top, line, row in raw("readings", self.folder, self.sink):
            visit, n, says = row[top.at["visit"]], group.visit, self._said(top.at, row)
            if visit != current or n < 0:
                self.step("readings", line)
                current = visit
                n = self._found(top, line, unguarded(visit))
                group = Group(n, [], None, 0, line)
                if len(batch) >= BATCH:
                    yield self._new(top, batch)
                    batch = []
                batch.append(group)
            if says.wrong:
                self._problem(top, line, says.wrong.column, *says.wrong.refusal)
                continue
            if n < 0:
                continue
            bit = n * width + says.place
            if seen[bit >> 3] & 1 << (bit & 7):
                self._problem(top, line, "reading", *sentences.reading_twice(says.reading))
                continue
            seen[bit >> 3] |= 1 << (bit & 7)
            if says.expected:
                if group.expected is None:
                    batch[-1] = group = group._replace(expected={})
                    assert group.expected is not None
                if says.reading != AS_EXPECTED:
                    group.expected[says.reading] = says.value
                if says.depth > group.depth:
                    batch[-1] = group = group._replace(depth=says.depth)
            else:
                group.read.append(CellRow(says.reading, says.depth, says.value))
        if batch and top is not None:
            yield self._new(top, batch)

    def _said(self, at: Mapping[str, int], row: Sequence[str]) -> Said:
        return self.cells.read(row[at["reading"]], row[at["depth"]], row[at["value"]], row[at["how"]])

    def _found(self, top: Header, line: int, visit: str) -> int:
        n = self.visits.place.get(visit, -1)
        if n < 0 and "visits.csv" not in self.sink.broken:
            told = (
                sentences.none_there("visit", visit, sentences.add_it("visits.csv"))
                if visit
                else sentences.NO_VISIT_NAMED
            )
            self._problem(top, line, "visit", *told)
        return n

    def _new(self, top: Header, batch: list[Group]) -> list[Group]:
        """A batch without what the book has; what it has otherwise is a problem."""
        ids = [self.visits.row_ids[g.visit] for g in batch if g.visit >= 0 and self.visits.row_ids[g.visit]]
        # In the second pass new visits have row ids too, but none of their cells is held yet.
        held = held_cells(self.book.db, ids) if self.visits.has_visits and ids else {}
        fresh = []
        for g in batch:
            if g.visit < 0:
                continue
            own = held.get(self.visits.row_ids[g.visit], {})
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
            for reading, value in (g.expected or {}).items():
                if reading not in confirmed:
                    expected[reading] = value
                elif confirmed[reading] != value:
                    told = sentences.expected_differs(said(confirmed[reading]), reading)
                    self._problem(top, g.line, "value", *told)
            new = expected if expected or (g.expected is not None and sure is None) else None
            if read or new is not None:
                self.added += len(read) + (0 if new is None else max(1, len(new)))
                fresh.append(g._replace(read=read, expected=new))
        return fresh
