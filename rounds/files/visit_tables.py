"""Past visits, streamed: of each only its place in the file and its row id are kept.

One :class:`Visits` is one pass over ``visits.csv``. The loader makes two: the first finds every
problem, the second (inside the transaction) gives the rows again to be stored.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from rounds.files import cell_sentences, cells_in
from rounds.files import history_sentences as sentences
from rounds.files.book_tables import Books
from rounds.files.cells_in import CellError, unreadable
from rounds.files.cells_out import uid_text, unguarded
from rounds.files.csv_rows import Sink
from rounds.files.csv_tables import BY_NAME, NOWHERE
from rounds.files.local_times import Clock
from rounds.files.row_comparison import said
from rounds.files.typed_tables import Header, raw
from rounds.named_tuple import NamedTuple
from rounds.problems import nearest
from rounds.store.book import Book
from rounds.store.snapshot import Address, RoundRow, VisitRow, uid
from rounds.store.snapshot_visits import held_visits, last_seq
from rounds.values.answers import parse_word
from rounds.values.unreadable import UnreadableValue

BATCH = 500
_SEQ = cells_in.reader("whole")
COMPARED = ("keeper", "at", "enclosure", "round", "in_round", "seq", "place", "skipped", "note")


class VisitCells(NamedTuple):
    """One row of the file: its cells that are not empty, by column."""

    top: Header
    line: int
    cells: Mapping[str, str]


class Waiting(NamedTuple):
    """A visit of a batch, and the number of its row in the file (from 0)."""

    given: VisitCells
    place: int
    visit: VisitRow


class Walk(NamedTuple):
    """Whose walk a visit belongs to, and its uid."""

    keeper: str
    day: int
    name: str
    uid: bytes


class _Series:
    """The sequence numbers of one walk: ``number`` is its own among the walks, ``last`` the last given."""

    __slots__ = ("last", "number")

    def __init__(self, number: int, last: int) -> None:
        self.number, self.last = number, last


class Visits:
    """``row_ids`` has, by a visit's place in the file, its row id in the book, or 0 for a new one.

    ``known`` are the walks of ``rounds.csv`` and the book by uid, ``skips`` the reasons to skip an
    enclosure, by id. ``rounds`` are the walks made of visits that name none, ``place`` a visit's id
    to its place in the file; ``added`` counts what is new.
    """

    def __init__(
        self,
        folder: Path,
        book: Book,
        skips: tuple[str, ...],
        clock: Clock | None,
        books: Books,
        known: Mapping[bytes, RoundRow],
        sink: Sink,
        step: Callable[[str, int], None],
        *,
        has_visits: bool,
    ) -> None:
        self.folder, self.book, self.clock, self.sink, self.step = folder, book, clock, sink, step
        self.names, self.stands = books.names, books.stands
        self.known, self.has_visits = known, has_visits
        self.row_ids = array("q")
        self.rounds: dict[bytes, RoundRow] = {}
        self.place: dict[str, int] = {}
        self.added = 0
        self._skips = skips
        self._seqs: set[int] = set()
        self._series: dict[bytes, _Series] = {}
        self._made: dict[tuple[str, int, str], bytes] = {}
        self._last_seq = last_seq(book.db) if has_visits else {}

    def _problem(self, given: VisitCells, column: str, message: str, hint: str = "") -> None:
        top = given.top
        self.sink.add(top.table.file, given.line, top.column(column), f"{column}: {message}", hint)

    def fresh(self) -> Iterator[list[VisitRow]]:
        """New visits in batches; those the book has already are compared and left out."""
        if not (self.folder / BY_NAME["visits"].file).is_file():
            return
        batch: list[Waiting] = []
        for top, line, row in raw("visits", self.folder, self.sink):
            given = VisitCells(top, line, {c: unguarded(row[i]) for c, i in top.at.items() if row[i]})
            self.step("visits", line)
            visit = self._visit(given)
            if visit is not None:
                batch.append(Waiting(given, len(self.row_ids) - 1, visit))
            if len(batch) >= BATCH:
                yield self._settled(batch)
                batch = []
        if batch:
            yield self._settled(batch)

    def _visit(self, given: VisitCells) -> VisitRow | None:
        """The visit of a row, or None where anything in the row is wrong."""
        before = self.sink.count(given.top.table.file)
        for column in given.top.table.columns:
            if column.required and column.name not in given.cells:
                self._problem(given, column.name, *cell_sentences.empty(column.meaning))
        id_ = given.cells.get("visit", "")
        if not self._placed(given, id_):
            return None
        self._named(given)
        at_ms, day = self._read(given, "at", self.clock.read if self.clock else lambda _: (0, 0), (0, 0))
        place = self._stood(given)
        seq = self._read(given, "seq", _SEQ, 0)
        skipped = self._skipped(given)
        walk = self._walk(given, day)
        if self.sink.count(given.top.table.file) > before or not self._in_order(given, walk, seq):
            return None
        note, code = given.cells.get("note", ""), given.cells["enclosure"]
        return VisitRow(
            uid("visit", id_),
            walk.keeper,
            walk.day,
            walk.name,
            code,
            seq,
            at_ms,
            place,
            skipped,
            note,
            walk.uid,
        )

    def _placed(self, given: VisitCells, id_: str) -> bool:
        """Give the visit its place in the file; one that stands there already has it."""
        if not id_:
            return True
        if id_ in self.place:
            self._problem(given, "visit", *sentences.visit_twice(id_))
            return False
        self.place[id_] = len(self.row_ids)
        self.row_ids.append(0)
        return True

    def _named(self, given: VisitCells) -> None:
        """The keeper and the enclosure must be there."""
        for column, table in (("keeper", "keepers"), ("enclosure", "enclosures")):
            name = given.cells.get(column)
            if name and name not in self.names[table] and f"{table}.csv" not in self.sink.broken:
                hint = ""
                if self.sink.room(given.top.table.file):
                    hint = nearest(name, map(str, self.names[table])) or sentences.add_it(f"{table}.csv")
                self._problem(given, column, *sentences.none_there(column, name, hint))

    def _stood(self, given: VisitCells) -> Address | None:
        """Where the enclosure stood then: where it stands now, unless the row says otherwise."""
        place: Address | None = self._read(
            given, "place", _place, self.stands.get(given.cells.get("enclosure", ""))
        )
        said_so = "place" in given.cells and place is not None
        if said_so and place not in self.names["places"] and "places.csv" not in self.sink.broken:
            told = sentences.none_there("slot", given.cells["place"], sentences.add_it("places.csv"))
            self._problem(given, "place", *told)
        return place

    def _skipped(self, given: VisitCells) -> str:
        skipped = given.cells.get("skipped", "").strip()
        if not skipped:
            return ""
        try:
            return parse_word(skipped, self._skips)
        except UnreadableValue as e:
            self._problem(given, "skipped", *unreadable(e).refusal)
            return ""

    def _walk(self, given: VisitCells, day: int) -> Walk:
        """The walk a visit names, or the one that is made of its keeper's visits of the day."""
        own = (given.cells.get("keeper", ""), day, given.cells.get("round", ""))
        id_ = given.cells.get("in_round")
        if id_ is None:
            if own not in self._made:
                self._made[own] = uid("round", *own)
            return Walk(*own, self._made[own])
        walk = uid("walk", id_)
        known = self.known.get(walk)
        if known is None:
            if "rounds.csv" not in self.sink.broken:
                self._problem(given, "in_round", *sentences.no_walk_named(id_))
            return Walk(*own, walk)
        if own[0] and own[0] != known.keeper:
            self._problem(given, "keeper", *sentences.walk_of_another(id_, known.keeper))
        return Walk(known.keeper, known.day, known.name, walk)

    def _read(self, given: VisitCells, column: str, read: Callable[[str], Any], default: Any) -> Any:
        if column not in given.cells:
            return default
        try:
            return read(given.cells[column])
        except CellError as e:
            self._problem(given, column, *e.refusal)
            return default

    def _in_order(self, given: VisitCells, walk: Walk, seq: int) -> bool:
        """A sequence number may be given once in a walk."""
        if walk.uid not in self._series:
            self._series[walk.uid] = _Series(len(self._series), self._last_seq.get(walk.uid, 0))
        if seq:
            mark = self._series[walk.uid].number << 20 | seq
            if mark in self._seqs:
                self._problem(given, "seq", *sentences.number_taken(seq, walk.keeper))
                return False
            self._seqs.add(mark)
        return True

    def _settled(self, batch: list[Waiting]) -> list[VisitRow]:
        """The new ones of a batch, with sequence numbers; conflicts of the others are problems."""
        held = held_visits(self.book.db, [w.visit.uid for w in batch]) if self.has_visits else {}
        new = []
        for given, n, visit in batch:
            if (known := held.get(visit.uid)) is not None:
                self.row_ids[n] = known.id
                self._compare(given, known.row, visit)
                continue
            if not visit.seq:
                series = self._series[visit.walk]
                series.last += 1
                visit = visit._replace(seq=series.last)
            if "in_round" not in given.cells:
                self._stretch(visit)
            self.added += 1
            new.append(visit)
        return new

    def _stretch(self, visit: VisitRow) -> None:
        """Make the walk of a visit that names none, from its first visit to its last."""
        at = visit.at_ms
        walk = self.rounds.get(visit.walk)
        if walk is None:
            zone = self.clock.zone_name if self.clock else ""
            walk = RoundRow(
                visit.walk, visit.keeper, visit.day, visit.round, zone, (), at, at, "", None, "loaded"
            )
        elif walk.opened_ms <= at <= (walk.closed_ms or at):
            return
        first, last = min(walk.opened_ms, at), max(walk.closed_ms or at, at)
        self.rounds[visit.walk] = walk._replace(opened_ms=first, closed_ms=last)

    def _compare(self, given: VisitCells, has: VisitRow, says: VisitRow) -> None:
        """A problem for every column in which a row is not as the book has it."""
        for column in COMPARED:
            field = {"at": "at_ms", "in_round": "walk"}.get(column, column)
            a, b = getattr(has, field), getattr(says, field)
            if a != b and (column in given.cells or column in ("round", "skipped", "note")):
                told = self.clock.written(a) if column == "at" and self.clock else said(a)
                if column == "in_round":
                    told = sentences.the_walk(uid_text(a))
                self._problem(given, column, *sentences.visit_differs(told))


def _place(text: str) -> Address | None:
    return None if text.strip() == NOWHERE else cells_in.address(text)
