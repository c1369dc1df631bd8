"""One table of a folder as typed rows: header checked, every cell read or refused."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from rounds.files import cell_sentences, csv_sentences
from rounds.files.cells_in import DATES, CellError, reader, unreadable
from rounds.files.cells_out import unguarded
from rounds.files.csv_rows import Sink, parted_by, rows
from rounds.files.csv_tables import AT_LEAST, BY_NAME, CsvTable
from rounds.files.file_dates import FileDates, WaitingDate, unsettled
from rounds.named_tuple import NamedTuple
from rounds.problems import Refusal, nearest
from rounds.values.counts import NONE, Count
from rounds.values.date_order import DateOrder
from rounds.values.rough_width import USUAL, RoughWidth
from rounds.values.unreadable import UnreadableValue

SEXED = ("males", "females")
"""Columns of those that were looked at one by one: their counts are never rough."""
LATER = ("skip", "reading", "value")
"""Column types that need more than the cell to be read: their tables are streamed."""


class TypedRow:
    """``row[name]`` is None for an empty or unreadable cell; ``bad`` names the unreadable ones."""

    __slots__ = ("_values", "bad", "line")

    def __init__(self, line: int, values: dict[str, Any], bad: frozenset[str] = frozenset()) -> None:
        self.line, self._values, self.bad = line, values, bad

    def put(self, name: str, value: Any) -> None:
        self._values[name] = value

    def __getitem__(self, name: str) -> Any:
        return self._values.get(name)

    @property
    def good(self) -> bool:
        return not self.bad


class Header(NamedTuple):
    """Which column of the file holds which column of the table (both from 0)."""

    table: CsvTable
    at: dict[str, int]
    width: int
    complete: bool

    def column(self, name: str) -> int:
        """The file's column for a problem, from 1; 0 when the file does not have it."""
        return self.at.get(name, -1) + 1


def header(table: CsvTable, line: int, cells: list[str], sink: Sink) -> Header:
    """Check a header line. Unknown and repeated columns are problems; so are missing required ones."""
    known = [c.name for c in table.columns]
    at: dict[str, int] = {}
    if len(cells) == 1 and (sign := parted_by(cells[0])):
        sink.add(table.file, line, 0, *csv_sentences.parted_wrongly(sign))
        return Header(table, at, 1, complete=False)
    complete = True
    for i, cell in enumerate(cells):
        name = unguarded(cell).strip()
        if name in at:
            sink.add(table.file, line, i + 1, *csv_sentences.column_twice(name))
            complete = False
        elif name in known:
            at[name] = i
        else:
            near = nearest(name, known) if sink.room(table.file) else ""
            refusal = csv_sentences.unknown_column(name, near, table.file, tuple(known))
            sink.add(table.file, line, i + 1, *refusal)
            complete = False
    for column in table.columns:
        if column.required and column.name not in at:
            sink.add(table.file, line, 0, *csv_sentences.column_missing(column.name, column.meaning))
            complete = False
    return Header(table, at, len(cells), complete)


def raw(name: str, folder: Path, sink: Sink) -> Iterator[tuple[Header, int, list[str]]]:
    """Header, line number and cells of every row with as many cells as the header.

    Rows of another length are problems. Nothing comes out under a header with problems:
    what its cells mean would be a guess.
    """
    table = BY_NAME[name]
    top: Header | None = None
    for line, cells in rows(folder / table.file, sink):
        if top is None:
            top = header(table, line, cells, sink)
            if not top.complete:
                sink.broken.add(table.file)
                return
        elif len(cells) != top.width:
            sink.broken.add(table.file)  # who the row was about is lost
            at = min(len(cells), top.width) + 1
            sink.add(table.file, line, at, *csv_sentences.row_of_another_length(len(cells), top.width))
        else:
            yield top, line, cells
    if top is None and table.file not in sink.broken:
        sink.broken.add(table.file)
        sink.add(table.file, 1, 0, *csv_sentences.no_header(tuple(c.name for c in table.columns)))


class Sheet(NamedTuple):
    """A table that was read whole."""

    table: CsvTable
    top: Header | None
    rows: list[TypedRow]
    sink: Sink

    def problem(self, row: TypedRow, column: str, message: str, hint: str = "") -> None:
        at = self.top.column(column) if self.top else 0
        self.sink.add(self.table.file, row.line, at, f"{column}: {message}", hint)

    def has(self, column: str) -> bool:
        """Does the file have this column?"""
        return self.top is not None and column in self.top.at

    @property
    def whole(self) -> bool:
        """The file was read to its end; if not, what it lacks says nothing."""
        return self.table.file not in self.sink.broken

    def good(self) -> list[TypedRow]:
        return [r for r in self.rows if r.good]


def sheet(
    name: str,
    folder: Path,
    sink: Sink,
    instant: Callable[[str], int] | None = None,
    about: RoughWidth = USUAL,
) -> Sheet:
    """Read a small table whole. A table that is not in the folder has no rows.

    ``instant`` reads times; without it they are left unread (there is no house to say where).
    ``about`` says how far a rough count reaches.
    """
    table = BY_NAME[name]
    if not (folder / table.file).is_file():
        return Sheet(table, None, [], sink)
    reading = _SheetReader(table, sink, instant, about)
    top: Header | None = None
    for top, line, cells in raw(name, folder, sink):
        reading.take(top, line, cells)
    if top is not None:
        reading.settle_dates(top)
    return Sheet(table, top, reading.rows, sink)


class _SheetReader:
    """Reads the rows of one table; a date that can be read in two ways waits for what the others say."""

    def __init__(
        self, table: CsvTable, sink: Sink, instant: Callable[[str], int] | None, about: RoughWidth
    ) -> None:
        self.table, self.sink, self.rows = table, sink, list[TypedRow]()
        self._read = {
            c.name: reader(c.type, c.words, about=about)
            for c in table.columns
            if c.type not in (*LATER, "time", *DATES)
        }
        self._read |= {c.name: instant or (lambda _: None) for c in table.columns if c.type == "time"}
        self._days = {c.name: c.type for c in table.columns if c.type in DATES}
        self._meanings = {c.name: c.meaning for c in table.columns if c.required}
        self._counts = [c.name for c in table.columns if c.type == "held_count"]
        self._dates = FileDates()

    def take(self, top: Header, line: int, cells: list[str]) -> None:
        row = TypedRow(line, {})
        self.rows.append(row)
        for column, i in top.at.items():
            text = unguarded(cells[i])
            if not text:
                if column in self._meanings:
                    self._refuse(top, row, column, cells, cell_sentences.empty(self._meanings[column]))
                continue
            try:
                if column in self._days:
                    row.put(column, self._dates.read(self._days[column], text))
                else:
                    row.put(column, self._read[column](text))
            except CellError as e:
                self._refuse(top, row, column, cells, e.refusal)
            except UnreadableValue as e:  # of a date: the file's others may say how it is meant
                waiting = WaitingDate(len(self.rows) - 1, cells, column, self._days[column], text, e)
                self._dates.waiting.append(waiting)
        if self._counts:
            self._open_counts(top, row, cells)

    def settle_dates(self, top: Header) -> None:
        """Read the dates that waited, in the order that the others settle; once a file if they do not."""
        said = self._dates.evidence()
        two_ways = []
        for date in self._dates.waiting:
            row = self.rows[date.row]
            if said.order is DateOrder.UNSETTLED and date.lacks_the_order:
                two_ways.append(date)
                row.bad |= {date.column}
                continue
            try:
                row.put(date.column, date.read(said.order))
            except UnreadableValue as e:
                self._refuse(top, row, date.column, date.cells, unreadable(e).refusal)
        if two_ways:
            first = two_ways[0]
            refusal = unsettled(first, len(two_ways) - 1, said)
            self._refuse(top, self.rows[first.row], first.column, first.cells, refusal)

    def _refuse(self, top: Header, row: TypedRow, column: str, cells: list[str], refusal: Refusal) -> None:
        told = f"{_named(top, column, cells)}: {refusal.message}"
        self.sink.add(self.table.file, row.line, top.column(column), told, refusal.hint)
        row.bad |= {column}

    def _open_counts(self, top: Header, row: TypedRow, cells: list[str]) -> None:
        """A count that is not exact says so for the row, as the row's own columns could."""
        typed: dict[str, Count] = {column: row[column] for column in self._counts if row[column] is not None}
        for column, count in typed.items():
            row.put(column, count.low)
            if count.exact:
                continue
            if count.rough and column in SEXED:
                self._refuse(top, row, column, cells, cell_sentences.sexed_but_rough(column))
            elif row[AT_LEAST] is False:
                self._refuse(top, row, AT_LEAST, cells, cell_sentences.at_least_denied(column))
            else:
                row.put(AT_LEAST, value=True)
        if any(count.rough for count in typed.values()):
            self._rough_counts(row, typed)

    def _rough_counts(self, row: TypedRow, typed: Mapping[str, Count]) -> None:
        """How many there may be at the most, and the words for it, where all have a highest number."""
        unsexed = [count for column, count in typed.items() if column not in SEXED]
        together = sum(unsexed, NONE)
        if together.high is not None and not any(count.open for count in typed.values()):
            row.put("high", together.high)
            row.put("count_words", ", ".join(str(count) for count in unsexed if count.rough))


def _named(top: Header, column: str, cells: list[str]) -> str:
    """The column for a problem; a day's with what it means and whose it is, for tables have many of them."""
    of = top.table.column(column)
    if of is None or of.type not in ("day", "span"):
        return column
    whose = (unguarded(cells[top.at[k]]) for k in top.table.key if k != column and k in top.at)
    return csv_sentences.column_of(column, " ".join(filter(None, whose)), of.meaning)
