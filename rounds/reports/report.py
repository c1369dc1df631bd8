"""What a command prints, as data: tables, single results and drawings, put together to one document.

A *kind* of report is declared once, beside the command that prints it. It says which named
fields and tables the JSON and CSV have, so their schema can be generated (see
:mod:`rounds.reports.json_schema`). A *document* is one thing printed: a kind, filled.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeAlias

from rounds.named_tuple import NamedTuple
from rounds.reports.report_columns import (
    CellValue,
    ReportColumn,
    check_columns,
    data_columns,
    for_people,
    for_programs,
    people_columns,
)

ONE_ROW = "one row"
"""For :attr:`ReportKind.csv`: the fields of a single result are the columns of a table with one row."""

ROWS = "rows"
"""What the table of a listing is called where there is only one."""


_NOTHING: tuple[CellValue, ...] = (None, "", (), [])


class ReportTable(NamedTuple):
    """A declared table: its name in JSON, its columns, and what one row is.

    Not ``in_json`` where a CSV needs rows for what JSON says with the kind's own fields.
    """

    name: str
    columns: tuple[ReportColumn, ...]
    meaning: str
    in_json: bool = True


class ReportKind(NamedTuple):
    """A declared kind of report.

    ``version`` grows when a field goes or changes its meaning, not when one is added.
    ``fields`` are the named fields of a single result. ``csv`` says what a CSV is made of:
    the table of that name, or :data:`ONE_ROW`. Where it is empty a single result is a
    figure a row, and the only table is itself.
    """

    name: str
    title: str
    meaning: str
    fields: tuple[ReportColumn, ...]
    tables: tuple[ReportTable, ...]
    version: int
    csv: str

    def table(self, name: str) -> ReportTable:
        """The table of this name. Raises KeyError."""
        for table in self.tables:
            if table.name == name:
                return table
        raise KeyError(name)


class ReportRow(NamedTuple):
    """A row: a value for each column.

    ``line`` is how the row reads as a sentence; a report whose rows have one is a list in
    text, not a table. ``below`` are sentences that belong under it. ``under`` are the
    headings it stands under for people, the widest first; rows of a heading follow each other.
    """

    cells: tuple[CellValue, ...]
    line: str = ""
    below: tuple[str, ...] = ()
    under: tuple[str, ...] = ()


class Report(NamedTuple):
    """Rows of one table, with what is said before and after them.

    ``empty`` is what text says where there are no rows; without it, text leaves the report
    out. ``name`` is the kind's table the rows belong to; several reports of a document may
    belong to one table (each with its own title and notes), and programs get one table.
    ``own_page``: printed, it begins a page.
    """

    title: str
    columns: tuple[ReportColumn, ...]
    rows: Sequence[ReportRow]
    notes: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    empty: str = ""
    name: str = ROWS
    own_page: bool = False

    @property
    def is_list(self) -> bool:
        """Do its rows read as sentences?"""
        return any(row.line for row in self.rows[:1])

    @property
    def for_people(self) -> bool:
        """Is there anything in it that people read?"""
        headed = bool(people_columns(self.columns))
        return headed or self.is_list or bool(self.title or self.notes or self.said or self.empty)

    @property
    def shown(self) -> tuple[int, ...]:
        """Where the columns stand that people read, without those in which no row has anything."""
        headed = people_columns(self.columns)
        return tuple(i for i in headed if any(row.cells[i] not in _NOTHING for row in self.rows)) or headed

    def runs(self) -> Iterator[tuple[list[tuple[int, str]], list[ReportRow]]]:
        """Rows that stand under the same headings, each run with those headings that are new and their depth."""
        above: tuple[str, ...] = ()
        run: list[ReportRow] = []
        new: list[tuple[int, str]] = []
        for row in self.rows:
            if run and row.under != above:
                yield new, run
                run = []
            if not run:
                new = [
                    (at, heading)
                    for at, heading in enumerate(row.under)
                    if row.under[: at + 1] != above[: at + 1]
                ]
            run.append(row)
            above = row.under
        if run:
            yield new, run


class TextBlock(NamedTuple):
    """Lines whose layout matters, such as a family tree or a plot in letters; only people get them."""

    title: str
    lines: tuple[str, ...]


Part: TypeAlias = Report | TextBlock


class ReportDocument(NamedTuple):
    """One thing printed.

    ``title`` may be empty: then text has none, and other forms use the kind's. ``said``
    stands before the parts, ``notes`` after them. ``result`` holds the kind's fields by name.
    """

    kind: ReportKind
    title: str
    parts: tuple[Part, ...]
    said: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    result: Mapping[str, CellValue] | None = None

    @property
    def shown_fields(self) -> list[tuple[ReportColumn, CellValue]]:
        """The fields of the result that people read, with their values."""
        result = self.result or {}
        return [(c, result.get(c.name)) for c in self.kind.fields if c.heading and c.type != "object"]

    def reports(self, table: str) -> list[Report]:
        """The reports whose rows belong to a table."""
        return [
            p for p in self.parts if isinstance(p, Report) and p.name == table and data_columns(p.columns)
        ]


def kind(
    name: str,
    title: str,
    meaning: str,
    *tables: ReportTable,
    fields: Sequence[ReportColumn] = (),
    version: int = 1,
    csv: str = "",
) -> ReportKind:
    """Declare a kind of report. Raises ValueError for what could not be printed."""
    made = ReportKind(name, title, meaning, tuple(fields), tables, version, csv)
    check_columns(made.fields, name)
    if not data_columns(made.fields) and not tables:
        raise ValueError(f"{name}: a kind needs fields or a table")
    named = [c.name for c in made.fields] + [t.name for t in tables]
    for table in tables:
        check_columns(table.columns, f"{name}: {table.name}")
        if named.count(table.name) > 1:
            raise ValueError(f"{name}: `{table.name}` is used twice")
        if not data_columns(table.columns):
            raise ValueError(f"{name}: the table {table.name} has nothing for programs")
    if csv and csv not in [t.name for t in tables] and not (csv == ONE_ROW and made.fields):
        raise ValueError(f"{name}: there is no table {csv} to make a CSV of")
    if len(tables) + bool(made.fields) > 1 and not csv:
        raise ValueError(f"{name}: a kind of several tables says which of them a CSV is made of")
    return made


def listing_kind(
    name: str, title: str, meaning: str, columns: Sequence[ReportColumn], version: int = 1
) -> ReportKind:
    """Declare a listing: one table, called ``rows``. Raises ValueError as :func:`kind` does."""
    return kind(name, title, meaning, ReportTable(ROWS, tuple(columns), meaning), version=version)


def only(document: ReportDocument, table: str) -> ReportDocument:
    """The document with the rows of one table alone, which is then what a CSV is made of. Raises KeyError."""
    document.kind.table(table)
    parts = tuple(p for p in document.parts if isinstance(p, Report) and p.name == table)
    return document._replace(kind=document.kind._replace(csv=table), parts=parts)


def document(
    of: ReportKind,
    title: str,
    *parts: Part,
    said: Sequence[str] = (),
    notes: Sequence[str] = (),
    result: Mapping[str, CellValue] | None = None,
) -> ReportDocument:
    """A document of a kind. Raises ValueError where it does not hold what its kind declares."""
    for part in parts:
        if not isinstance(part, Report) or not (columns := data_columns(part.columns)):
            continue
        declared = [for_programs(t.columns) for t in of.tables if t.name == part.name]
        if declared != [for_programs(columns)]:
            raise ValueError(f"{of.name}: a report `{part.name}` with these columns was not declared")
    if (result is None) != (not of.fields):
        raise ValueError(f"{of.name}: a result is given exactly where fields are declared")
    unknown = (result or {}).keys() - {c.name for c in of.fields}
    if unknown:
        raise ValueError(f"{of.name}: the fields {', '.join(sorted(unknown))} were not declared")
    return ReportDocument(of, title, parts, tuple(said), tuple(notes), result)


def listing(
    of: ReportKind, rows: Sequence[ReportRow], *, title: str = "", notes: Sequence[str] = (), empty: str = ""
) -> ReportDocument:
    """A document with one report: the rows of a kind declared by :func:`listing_kind`."""
    table = of.table(ROWS)
    return document(of, title, Report("", table.columns, rows, tuple(notes), empty=empty))


def read_and_sorted(
    table: ReportTable, for_reading: Sequence[ReportRow], for_sorting: Sequence[ReportRow]
) -> tuple[Report, Report]:
    """Two reports of one table: rows in the order people read them, and in the order programs get them."""
    people, programs = for_people(table.columns), for_programs(table.columns)
    headed = [i for i, c in enumerate(table.columns) if c.heading]
    named = [i for i, c in enumerate(table.columns) if c.name]
    return (
        Report(
            "",
            people,
            [r._replace(cells=tuple(r.cells[i] for i in headed)) for r in for_reading],
            name=table.name,
        ),
        Report(
            "", programs, [ReportRow(tuple(r.cells[i] for i in named)) for r in for_sorting], name=table.name
        ),
    )
