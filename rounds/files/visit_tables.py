"""Past visits: checked row by row, and what is new kept in columns until all tables have been checked.

A row whose every cell was met before and found good (the enclosure in its place, the keeper in
the walk, the hour) is read by looking them up; any other one is read cell by cell.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Mapping
from operator import itemgetter
from pathlib import Path
from typing import Any

from rounds.files import cell_sentences, cells_in
from rounds.files import history_sentences as sentences
from rounds.files.book_tables import Books
from rounds.files.cells_in import CellError, unreadable
from rounds.files.cells_out import unguarded
from rounds.files.csv_rows import Sink
from rounds.files.csv_tables import BY_NAME, NOWHERE
from rounds.files.local_times import Clock
from rounds.files.row_comparison import said
from rounds.files.typed_tables import Header, raw
from rounds.named_tuple import NamedTuple
from rounds.problems import nearest
from rounds.store.book import Book
from rounds.store.new_visits import NewVisits
from rounds.store.snapshot import Address, RoundRow, VisitRow, uid, uid_text
from rounds.store.snapshot_visits import held_visits, last_seq
from rounds.values.answers import parse_word
from rounds.values.unreadable import UnreadableValue

BATCH = 500
REMEMBERED = 20_000
"""Sequence numbers that are kept as they were written: far more than any walk has."""
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
    """The sequence numbers of one walk.

    ``last`` is the last that was given to a visit without one. Of those in the file all up to
    ``upto`` are taken, and the ``others``.
    """

    __slots__ = ("last", "others", "upto")

    def __init__(self, last: int) -> None:
        self.last, self.upto, self.others = last, 0, set[int]()

    def take(self, seq: int) -> bool:
        """Was it free?"""
        if seq == self.upto + 1 and not self.others:
            self.upto = seq
            return True
        if seq <= self.upto or seq in self.others:
            return False
        self.others.add(seq)
        return True


class _Columns:
    """Where in a row of the file its cells are; a column that the file has not is an empty cell after the others."""

    def __init__(self, top: Header) -> None:
        def at(*names: str) -> Callable[[list[str]], Any]:
            return itemgetter(*(top.at.get(name, top.width) for name in names))

        self.own = at("visit", "at", "seq", "skipped", "note")
        self.stood = at("enclosure", "place")
        self.walk = at("keeper", "round", "in_round")


class Visits:
    """``new`` are the visits the book has not. ``row_ids`` has, by a visit's place in the file, its row id if the
    book has it, or else its number among the new ones below nought: -1 is the first.

    ``known`` are the walks of ``rounds.csv`` and the book by uid, ``skips`` the reasons to skip an
    enclosure, by id. ``rounds`` are the walks made of visits that name none, ``place`` a visit's uid
    to its place in the file.
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
        self.new = NewVisits()
        self.row_ids = array("q")
        self.rounds: dict[bytes, RoundRow] = {}
        self.place: dict[bytes, int] = {}
        self._skips = skips
        self._series: dict[bytes, _Series] = {}
        self._made: dict[tuple[str, int, str], bytes] = {}
        self._last_seq = last_seq(book.db) if has_visits else {}
        # By cells as they stand in the file, of good rows that name their walk.
        self._stood_before: dict[tuple[str, str], tuple[int, int]] = {}
        self._walked_before: dict[tuple[str, str, str], tuple[int, _Series]] = {}
        self._seqs_before: dict[str, int] = {}
        self._skipped_before = {"": ""}

    def _problem(self, given: VisitCells, column: str, message: str, hint: str = "") -> None:
        top = given.top
        self.sink.add(top.table.file, given.line, top.column(column), f"{column}: {message}", hint)

    def check(self) -> None:
        """Go through the table; those the book has already are compared and left out."""
        if not (self.folder / BY_NAME["visits"].file).is_file():
            return
        batch: list[Waiting] = []
        columns: _Columns | None = None
        for top, line, row in raw("visits", self.folder, self.sink):
            if columns is None:
                columns = _Columns(top)
            if not line % BATCH:
                self.step("visits", line)
            row.append("")
            if not self.has_visits and self._met_before(columns, row):
                continue
            given = VisitCells(top, line, {c: unguarded(row[i]) for c, i in top.at.items() if row[i]})
            visit = self._visit(given)
            if visit is not None:
                batch.append(Waiting(given, len(self.row_ids) - 1, visit))
                if not self.has_visits or len(batch) >= BATCH:
                    self._settle(batch)
                    batch = []
                self._remember(columns, row, visit)
        self._settle(batch)

    def _met_before(self, columns: _Columns, row: list[str]) -> bool:
        """Take a row in by looking its cells up, if all of them are known to be good."""
        id_, at, seq_text, skipped_text, note = columns.own(row)
        stood = self._stood_before.get(columns.stood(row))
        walked = self._walked_before.get(columns.walk(row))
        skipped = self._skipped_before.get(skipped_text)
        seq = self._seqs_before.get(seq_text)
        when = self.clock.read_before(at) if self.clock else None
        if stood is None or walked is None or skipped is None or seq is None or when is None or not id_:
            return False
        uid_, place = uid("visit", unguarded(id_)), len(self.row_ids)
        number, series = walked
        if uid_ in self.place or not series.take(seq):
            return False
        self.place[uid_] = place
        self.row_ids.append(-1 - len(self.new))
        self.new.put(uid_, stood[0], number, seq, when[0], stood[1], skipped, unguarded(note))
        return True

    def _remember(self, columns: _Columns, row: list[str], visit: VisitRow) -> None:
        """The cells of a good row, for the rows to come."""
        if self.has_visits or not columns.walk(row)[2]:
            return
        _, _, seq_text, skipped_text, _ = columns.own(row)
        new = self.new
        self._stood_before[columns.stood(row)] = new.codes[visit.enclosure], new.places[visit.place]
        self._walked_before[columns.walk(row)] = new.walks[visit.walk], self._series[visit.walk]
        self._skipped_before[skipped_text] = visit.skipped
        if seq_text and len(self._seqs_before) < REMEMBERED:
            self._seqs_before[seq_text] = visit.seq

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
        if (own := uid("visit", id_)) in self.place:
            self._problem(given, "visit", *sentences.visit_twice(id_))
            return False
        self.place[own] = len(self.row_ids)
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
            self._series[walk.uid] = _Series(self._last_seq.get(walk.uid, 0))
        if seq and not self._series[walk.uid].take(seq):
            self._problem(given, "seq", *sentences.number_taken(seq, walk.keeper))
            return False
        return True

    def _settle(self, batch: list[Waiting]) -> None:
        """Keep the new ones of a batch, with sequence numbers; conflicts of the others are problems."""
        held = held_visits(self.book.db, [w.visit.uid for w in batch]) if self.has_visits else {}
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
            self.row_ids[n] = -1 - len(self.new)
            self.new.add(visit)

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
