"""Past visits and their readings, streamed: memory grows with visits a little, with readings not.

One :class:`Walks` is one pass over the two files. The loader makes two: the first finds
every problem, the second (inside the transaction) gives the rows again to be stored.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

from rounds.exchange import cells
from rounds.exchange.cells import CellError, Within, shown, unguarded
from rounds.exchange.compare import KEEP, said
from rounds.exchange.rows import Sink
from rounds.exchange.sheets import Header, raw
from rounds.exchange.tables import BY_NAME, HOW
from rounds.exchange.times import Clock
from rounds.husbandry.entries import AS_EXPECTED
from rounds.husbandry.readings import Kind, Vocabulary
from rounds.husbandry.stages import DEPTHS
from rounds.problems import nearest
from rounds.store.book import Book
from rounds.store.held import Address, CellRow, VisitRow, held_cells, held_visits, last_seq, uid

BATCH = 500
RoundKey = tuple[str, int, str]  # keeper, day, name


class Group(NamedTuple):
    """Readings of one visit that stand together: ``visit`` is the visit's place in the file."""

    visit: int
    read: list[CellRow]
    expected: dict[str, object]
    depth: int  # the deepest of the expected ones
    line: int


class Parsed(NamedTuple):
    """What the last four cells of a readings row say; ``wrong`` is why they say nothing."""

    bit: int
    reading: str
    depth: int
    value: Any
    expected: bool
    wrong: tuple[str, str, str] | None = None  # column, message, hint


class Walks:
    """``row_ids`` has, by a visit's place in the file, its row id in the book, or 0 for a new one."""

    def __init__(
        self,
        folder: Path,
        book: Book,
        vocabulary: Vocabulary,
        clock: Clock | None,
        names: Mapping[str, Collection[Any]],
        stands: Mapping[str, Address | None],
        has_visits: bool,
        sink: Sink,
        step: Callable[[str, int], None],
    ) -> None:
        self.folder, self.book, self.vocabulary, self.clock = folder, book, vocabulary, clock
        self.names, self.stands, self.sink, self.step = names, stands, sink, step
        self.has_visits = has_visits
        self.row_ids = array("q")
        self.rounds: dict[RoundKey, tuple[int, int]] = {}
        self.new_visits = self.new_cells = 0
        self._place: dict[str, int] = {}  # a visit's id to its place in the file
        self._seqs: set[int] = set()
        self._round_no: dict[RoundKey, list[int]] = {}  # number of the round, last seq given
        self._skips = tuple(s.id for s in vocabulary.skips)
        self._known: dict[tuple[str, ...], Parsed] = {}
        self._kinds = {id_: n for n, id_ in enumerate(vocabulary.kinds)}
        self._last_seq = last_seq(book.db) if has_visits else {}

    def _problem(self, top: Header, line: int, column: str, message: str, hint: str = "") -> None:
        self.sink.add(top.table.file, line, top.column(column), f"{column}: {message}", hint)

    # visits

    def visits(self) -> Iterator[list[VisitRow]]:
        """New visits in batches; those the book has already are compared and left out."""
        if not (self.folder / BY_NAME["visits"].file).is_file():
            return
        batch: list[tuple[int, int, VisitRow, dict[str, str]]] = []
        top: Header | None = None
        for top, line, row in raw("visits", self.folder, self.sink):
            given = {c: unguarded(row[i]) for c, i in top.at.items() if row[i]}
            visit = self._visit(top, line, given)
            if visit is not None:
                batch.append((line, len(self.row_ids) - 1, visit, given))
            if len(batch) >= BATCH:
                yield self._settled(top, batch)
                batch = []
        if batch and top is not None:
            yield self._settled(top, batch)

    def _visit(self, top: Header, line: int, given: dict[str, str]) -> VisitRow | None:
        before = self.sink.count(top.table.file)
        self.step("visits", line)
        for column in top.table.columns:
            if column.required and column.name not in given:
                self._problem(top, line, column.name, f"is empty; expected {column.meaning}.")
        id_ = given.get("visit", "")
        if id_:
            if id_ in self._place:
                self._problem(top, line, "visit", f"`{shown(id_)}` stands further up already.", "Keep one.")
                return None
            self._place[id_] = len(self.row_ids)
            self.row_ids.append(0)
        for column_name, table in (("keeper", "keepers"), ("enclosure", "enclosures")):
            name = given.get(column_name)
            if name and name not in self.names[table] and f"{table}.csv" not in self.sink.broken:
                hint = ""
                if self.sink.room(top.table.file):
                    hint = nearest(name, map(str, self.names[table])) or f"Add it to {table}.csv."
                self._problem(top, line, column_name, f"there is no {column_name} {shown(name)}.", hint)
        at_ms, day = self._read(
            top, line, given, "at", self.clock.read if self.clock else lambda _: (0, 0), (0, 0)
        )
        place = self._read(
            top, line, given, "place", cells.address, self.stands.get(given.get("enclosure", ""))
        )
        if "place" in given and place not in self.names["places"] and "places.csv" not in self.sink.broken:
            self._problem(
                top, line, "place", f"there is no slot {shown(given['place'])}.", "Add it to places.csv."
            )
        whole = cells.reader("whole")
        seq = self._read(top, line, given, "seq", whole, 0)
        skipped = given.get("skipped", "").strip()
        if skipped and skipped not in self._skips:
            hint = nearest(skipped, self._skips)
            what = f"`{shown(skipped)}` is no reason to skip; expected {cells.one_of(self._skips)}."
            self._problem(top, line, "skipped", what, hint)
        if self.sink.count(top.table.file) > before:
            return None
        key = (given["keeper"], day, given.get("round", ""))
        if not self._in_order(top, line, key, seq):
            return None
        note = given.get("note", "")
        return VisitRow(uid("visit", id_), *key, given["enclosure"], seq, at_ms, place, skipped, note)

    def _read(
        self, top: Header, line: int, given: dict[str, str], column: str, read: Any, default: Any
    ) -> Any:
        if column not in given:
            return default
        try:
            return read(given[column])
        except CellError as e:
            self._problem(top, line, column, e.message, e.hint)
            return default

    def _in_order(self, top: Header, line: int, key: RoundKey, seq: int) -> bool:
        """A sequence number may be given once in a round."""
        if key not in self._round_no:
            self._round_no[key] = [len(self._round_no), self._last_seq.get(uid("round", *key), 0)]
        if seq:
            mark = self._round_no[key][0] << 20 | seq
            if mark in self._seqs:
                self._problem(
                    top, line, "seq", f"{seq} was given in this day's walk of {shown(key[0])} already."
                )
                return False
            self._seqs.add(mark)
        return True

    def _settled(self, top: Header, batch: list[tuple[int, int, VisitRow, dict[str, str]]]) -> list[VisitRow]:
        """The new ones of a batch, with sequence numbers; conflicts of the others are problems."""
        held = held_visits(self.book.db, [v.uid for _, _, v, _ in batch]) if self.has_visits else {}
        new = []
        for line, n, visit, given in batch:
            key = (visit.keeper, visit.day, visit.round)
            if (known := held.get(visit.uid)) is not None:
                self.row_ids[n] = known.id
                self._compare(top, line, known.row, visit, given)
                continue
            if not visit.seq:
                self._round_no[key][1] += 1
                visit = visit._replace(seq=self._round_no[key][1])
            first, last = self.rounds.get(key, (visit.at_ms, visit.at_ms))
            self.rounds[key] = (min(first, visit.at_ms), max(last, visit.at_ms))
            self.new_visits += 1
            new.append(visit)
        return new

    def _compare(self, top: Header, line: int, has: VisitRow, says: VisitRow, given: dict[str, str]) -> None:
        for column in ("keeper", "at", "enclosure", "round", "seq", "place", "skipped", "note"):
            field = "at_ms" if column == "at" else column
            a, b = getattr(has, field), getattr(says, field)
            if a != b and (column in given or column in ("round", "skipped", "note")):
                told = self.clock.written(a) if column == "at" and self.clock else said(a)
                self._problem(top, line, column, f"the book has {told} for this visit.", KEEP)

    # readings

    def readings(self) -> Iterator[list[Group]]:
        """New readings in batches of visits; those the book has already are compared and left out."""
        if not (self.folder / BY_NAME["readings"].file).is_file():
            return
        seen = bytearray((len(self.row_ids) * len(self._kinds) * 2 + 7) // 8)
        batch: list[Group] = []
        current, group = "", Group(-1, [], {}, 0, 0)
        top: Header | None = None
        for top, line, row in raw("readings", self.folder, self.sink):
            visit, n, said_ = row[top.at["visit"]], group.visit, self._parsed(top, row)
            if visit != current or n < 0:
                self.step("readings", line)
                current = visit
                n = self._found(top, line, unguarded(visit))
                group = Group(n, [], {}, 0, line)
                if len(batch) >= BATCH:
                    yield self._fresh(top, batch)
                    batch = []
                batch.append(group)
            if said_.wrong:
                self._problem(top, line, *said_.wrong)
                continue
            if n < 0:
                continue
            bit = n * len(self._kinds) * 2 + said_.bit
            if seen[bit >> 3] & 1 << (bit & 7):
                self._problem(
                    top, line, "reading", f"`{said_.reading}` was given for this visit already.", "Keep one."
                )
                continue
            seen[bit >> 3] |= 1 << (bit & 7)
            if said_.expected:
                group.expected[said_.reading] = said_.value
                if said_.depth > group.depth:
                    batch[-1] = group = group._replace(depth=said_.depth)
            else:
                group.read.append(CellRow(said_.reading, said_.depth, said_.value))
        if batch and top is not None:
            yield self._fresh(top, batch)

    def _found(self, top: Header, line: int, visit: str) -> int:
        n = self._place.get(visit, -1)
        if n < 0 and "visits.csv" not in self.sink.broken:
            what = f"there is no visit {shown(visit)}." if visit else "is empty; expected the visit's id."
            self._problem(top, line, "visit", what, "Add it to visits.csv." if visit else "")
        return n

    def _parsed(self, top: Header, row: list[str]) -> Parsed:
        at = top.at
        key = (row[at["reading"]], row[at["depth"]], row[at["value"]], row[at["how"]])
        known = self._known.get(key)
        if known is None:
            if len(self._known) > 20_000:  # numbers with decimals could fill it without end
                self._known.clear()
            known = self._known[key] = self._parse(*(unguarded(t).strip() for t in key))
        return known

    def _parse(self, reading: str, depth: str, value: str, how: str) -> Parsed:
        wrong: tuple[str, str, str] | None = None
        kind: Kind | None = self.vocabulary.kinds.get(reading)
        said_: Any = None
        if kind is None:
            hint = nearest(reading, self.vocabulary.kinds) or "See readings.yaml for what can be read."
            wrong = ("reading", f"`{shown(reading)}` is not a reading.", hint)
        elif depth not in DEPTHS:
            wrong = (
                "depth",
                f"expected {cells.one_of(DEPTHS)}, not `{shown(depth)}`.",
                nearest(depth, DEPTHS),
            )
        elif how not in HOW:
            wrong = ("how", f"expected {cells.one_of(HOW)}, not `{shown(how)}`.", nearest(how, HOW))
        elif not value:
            wrong = ("value", f"is empty; expected what was read of `{reading}`.", "")
        else:
            try:
                said_ = cells.value(value, kind, how == "expected")
            except CellError as e:
                wrong = ("value", e.message, e.hint)
        expected = how == "expected"
        if isinstance(said_, Within):
            said_ = (said_.low, said_.high)
        bit = self._kinds.get(reading, 0) * 2 + expected
        return Parsed(bit, reading, DEPTHS.get(depth, 0), said_, expected, wrong)

    def _fresh(self, top: Header, batch: list[Group]) -> list[Group]:
        """A batch without what the book has; what it has otherwise is a problem."""
        ids = [self.row_ids[g.visit] for g in batch if g.visit >= 0 and self.row_ids[g.visit]]
        # In the second pass new visits have row ids too, but none of their cells is held yet.
        held = held_cells(self.book.db, ids) if self.has_visits and ids else {}
        fresh = []
        for g in batch:
            if g.visit < 0:
                continue
            own = held.get(self.row_ids[g.visit], {})
            sure = own.get(AS_EXPECTED)
            confirmed = sure.value if sure is not None and isinstance(sure.value, Mapping) else {}
            read = []
            for cell in g.read:
                if cell.reading not in own:
                    read.append(cell)
                elif own[cell.reading] != cell:
                    what = f"the book has {said(own[cell.reading].value)} for `{cell.reading}` at this visit."
                    self._problem(top, g.line, "value", what, KEEP)
            expected = {}
            for reading, value in g.expected.items():
                if reading not in confirmed:
                    expected[reading] = value
                elif confirmed[reading] != value:
                    what = (
                        f"the book has {said(confirmed[reading])} as expected for `{reading}` at this visit."
                    )
                    self._problem(top, g.line, "value", what, KEEP)
            if read or expected:
                self.new_cells += len(read) + len(expected)
                fresh.append(g._replace(read=read, expected=expected))
        return fresh
