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
from rounds.exchange.tables import BY_NAME, HOW, NOWHERE
from rounds.exchange.times import Clock
from rounds.husbandry.entries import AS_EXPECTED
from rounds.husbandry.readings import Kind, Vocabulary
from rounds.husbandry.stages import DEPTHS
from rounds.problems import nearest
from rounds.store.book import Book
from rounds.store.held import Address, CellRow, RoundRow, VisitRow, held_cells, held_visits, last_seq, uid

BATCH = 500
NOTHING_ASKED = "nothing"
"""The value of a row for the reading ``as_expected``: confirmed by one key, with nothing left to ask."""


class Group(NamedTuple):
    """Readings of one visit that stand together: ``visit`` is the visit's place in the file."""

    visit: int
    read: list[CellRow]
    expected: dict[str, object] | None  # None: nothing was confirmed
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


def _place(text: str) -> Address | None:
    return None if text.strip() == NOWHERE else cells.address(text)


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
        known: Mapping[bytes, RoundRow],
        has_visits: bool,
        sink: Sink,
        step: Callable[[str, int], None],
    ) -> None:
        self.folder, self.book, self.vocabulary, self.clock = folder, book, vocabulary, clock
        self.names, self.stands, self.sink, self.step = names, stands, sink, step
        self.known_rounds = known
        self.has_visits = has_visits
        self.row_ids = array("q")
        self.rounds: dict[bytes, RoundRow] = {}  # made of visits that name no walk
        self.new_visits = self.new_cells = 0
        self.place: dict[str, int] = {}  # a visit's id to its place in the file
        self._seqs: set[int] = set()
        self._round_no: dict[bytes, list[int]] = {}  # number of the round, last seq given
        self._own_round: dict[tuple[str, int, str], bytes] = {}
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
            if id_ in self.place:
                self._problem(top, line, "visit", f"`{shown(id_)}` stands further up already.", "Keep one.")
                return None
            self.place[id_] = len(self.row_ids)
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
        place = self._read(top, line, given, "place", _place, self.stands.get(given.get("enclosure", "")))
        if (
            "place" in given
            and place is not None
            and place not in self.names["places"]
            and "places.csv" not in self.sink.broken
        ):
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
        key, walk = self._walk(top, line, given, day)
        if self.sink.count(top.table.file) > before or not self._in_order(top, line, walk, key[0], seq):
            return None
        note = given.get("note", "")
        return VisitRow(uid("visit", id_), *key, given["enclosure"], seq, at_ms, place, skipped, note, walk)

    def _walk(
        self, top: Header, line: int, given: dict[str, str], day: int
    ) -> tuple[tuple[str, int, str], bytes]:
        """Keeper, day and name of a visit's walk, and its uid."""
        key = (given.get("keeper", ""), day, given.get("round", ""))
        id_ = given.get("in_round")
        if id_ is None:
            if key not in self._own_round:
                self._own_round[key] = uid("round", *key)
            return key, self._own_round[key]
        walk = uid("walk", id_)
        known = self.known_rounds.get(walk)
        if known is None:
            if "rounds.csv" not in self.sink.broken:
                what = f"there is no walk {shown(id_)}."
                self._problem(top, line, "in_round", what, "Add it to rounds.csv, or leave this empty.")
            return key, walk
        if key[0] and key[0] != known.keeper:
            what = f"the walk {shown(id_)} is {shown(known.keeper)}'s."
            self._problem(top, line, "keeper", what, "Mend one of the two.")
        return (known.keeper, known.day, known.name), walk

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

    def _in_order(self, top: Header, line: int, walk: bytes, keeper: str, seq: int) -> bool:
        """A sequence number may be given once in a round."""
        if walk not in self._round_no:
            self._round_no[walk] = [len(self._round_no), self._last_seq.get(walk, 0)]
        if seq:
            mark = self._round_no[walk][0] << 20 | seq
            if mark in self._seqs:
                self._problem(
                    top, line, "seq", f"{seq} was given in this day's walk of {shown(keeper)} already."
                )
                return False
            self._seqs.add(mark)
        return True

    def _settled(self, top: Header, batch: list[tuple[int, int, VisitRow, dict[str, str]]]) -> list[VisitRow]:
        """The new ones of a batch, with sequence numbers; conflicts of the others are problems."""
        held = held_visits(self.book.db, [v.uid for _, _, v, _ in batch]) if self.has_visits else {}
        new = []
        for line, n, visit, given in batch:
            if (known := held.get(visit.uid)) is not None:
                self.row_ids[n] = known.id
                self._compare(top, line, known.row, visit, given)
                continue
            if not visit.seq:
                self._round_no[visit.walk][1] += 1
                visit = visit._replace(seq=self._round_no[visit.walk][1])
            if "in_round" not in given:
                self._stretch(visit)
            self.new_visits += 1
            new.append(visit)
        return new

    def _stretch(self, visit: VisitRow) -> None:
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

    def _compare(self, top: Header, line: int, has: VisitRow, says: VisitRow, given: dict[str, str]) -> None:
        for column in ("keeper", "at", "enclosure", "round", "in_round", "seq", "place", "skipped", "note"):
            field = {"at": "at_ms", "in_round": "walk"}.get(column, column)
            a, b = getattr(has, field), getattr(says, field)
            if a != b and (column in given or column in ("round", "skipped", "note")):
                told = self.clock.written(a) if column == "at" and self.clock else said(a)
                if column == "in_round":
                    told = f"the walk {cells.uid_text(a)}"
                self._problem(top, line, column, f"the book has {told} for this visit.", KEEP)

    # readings

    def readings(self) -> Iterator[list[Group]]:
        """New readings in batches of visits; those the book has already are compared and left out."""
        if not (self.folder / BY_NAME["readings"].file).is_file():
            return
        width = len(self._kinds) * 2 + 1
        seen = bytearray((len(self.row_ids) * width + 7) // 8)
        batch: list[Group] = []
        current, group = "", Group(-1, [], None, 0, 0)
        top: Header | None = None
        for top, line, row in raw("readings", self.folder, self.sink):
            visit, n, said_ = row[top.at["visit"]], group.visit, self._parsed(top, row)
            if visit != current or n < 0:
                self.step("readings", line)
                current = visit
                n = self._found(top, line, unguarded(visit))
                group = Group(n, [], None, 0, line)
                if len(batch) >= BATCH:
                    yield self._fresh(top, batch)
                    batch = []
                batch.append(group)
            if said_.wrong:
                self._problem(top, line, *said_.wrong)
                continue
            if n < 0:
                continue
            bit = n * width + said_.bit
            if seen[bit >> 3] & 1 << (bit & 7):
                self._problem(
                    top, line, "reading", f"`{said_.reading}` was given for this visit already.", "Keep one."
                )
                continue
            seen[bit >> 3] |= 1 << (bit & 7)
            if said_.expected:
                if group.expected is None:
                    batch[-1] = group = group._replace(expected={})
                    assert group.expected is not None
                if said_.reading != AS_EXPECTED:
                    group.expected[said_.reading] = said_.value
                if said_.depth > group.depth:
                    batch[-1] = group = group._replace(depth=said_.depth)
            else:
                group.read.append(CellRow(said_.reading, said_.depth, said_.value))
        if batch and top is not None:
            yield self._fresh(top, batch)

    def _found(self, top: Header, line: int, visit: str) -> int:
        n = self.place.get(visit, -1)
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
        if reading == AS_EXPECTED and how == "expected" and value == NOTHING_ASKED and depth in DEPTHS:
            return Parsed(len(self._kinds) * 2, reading, DEPTHS[depth], None, True)
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
            expected: dict[str, object] = {}
            for reading, value in (g.expected or {}).items():
                if reading not in confirmed:
                    expected[reading] = value
                elif confirmed[reading] != value:
                    what = (
                        f"the book has {said(confirmed[reading])} as expected for `{reading}` at this visit."
                    )
                    self._problem(top, g.line, "value", what, KEEP)
            new = expected if expected or (g.expected is not None and sure is None) else None
            if read or new is not None:
                self.new_cells += len(read) + (0 if new is None else max(1, len(new)))
                fresh.append(g._replace(read=read, expected=new))
        return fresh
