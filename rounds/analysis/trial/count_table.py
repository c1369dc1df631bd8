"""Small tables as text, for trials: each cell checked, everything wrong told at once.

A table has a header line; its columns may stand in any order and those not required may be
left out. Commas, semicolons or tabs between cells.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from rounds.analysis.pedigree import pedigree_text_sentences
from rounds.analysis.trial import count_sentences as sentences
from rounds.named_tuple import NamedTuple
from rounds.problems import Problem, Refusal
from rounds.values.numbers import parse_decimal, parse_whole
from rounds.values.unreadable import UnreadableValue

MOST_PROBLEMS = 200
"""Rows are not read further after so many: the file is another kind of file."""


NO_LIMIT = 1e9


class CountColumn(NamedTuple):
    """One column. ``type`` is text, whole (a count) or number; ``low`` and ``high`` its limits.

    An empty cell gives None (an empty text where ``type`` is text) and is wrong where the
    column is ``required``.
    """

    name: str
    type: str
    about: str
    required: bool = False
    low: float = 0
    high: float = NO_LIMIT


class CountLine(NamedTuple):
    """One row: its line in the file (counted from 1), where its cells begin, and their values."""

    number: int
    starts: dict[str, int]
    values: dict[str, Any]


class CountTable(NamedTuple):
    """The rows that could be read, and every problem of those that could not."""

    rows: list[CountLine]
    problems: list[Problem]


def read(lines: Iterable[str], file: str, columns: Sequence[CountColumn], what: str) -> CountTable:
    """Read a table from opened text. ``what`` names it in messages ("counts of a trial")."""
    return _Reader(list(lines), file, columns, what).read()


class _Reader:
    def __init__(self, text: list[str], file: str, columns: Sequence[CountColumn], what: str) -> None:
        if text and text[0].startswith("\ufeff"):
            text[0] = text[0][1:]
        self.text, self.file, self.columns, self.what = text, file, columns, what
        self.problems: list[Problem] = []
        self.delimiter = ","
        self.fields: list[str] = []

    def refuse(self, number: int, field: str, refusal: Refusal) -> None:
        self.problems.append(Problem(self.file, number, self.starts(number).get(field, 0), *refusal))

    def starts(self, number: int) -> dict[str, int]:
        """Where each cell of a line begins, from 1 (a quoted cell at its quote)."""
        if not 0 < number <= len(self.text):
            return {}
        begins, quoted = [1], False
        for k, sign in enumerate(self.text[number - 1], 1):
            if sign == '"':
                quoted = not quoted
            elif sign == self.delimiter and not quoted:
                begins.append(k + 1)
        return dict(zip(self.fields, begins, strict=False))

    def read(self) -> CountTable:
        for number, line in enumerate(self.text, 1):
            if "\0" in line:
                place = line.index("\0") + 1
                self.problems.append(Problem(self.file, number, place, *pedigree_text_sentences.NUL))
                return CountTable([], self.problems)
        first = next((k for k, x in enumerate(self.text) if x.strip() and not x.startswith("#")), None)
        if first is None:
            needed = tuple(c.name for c in self.columns if c.required)
            self.refuse(0, "", sentences.no_rows(needed))
            return CountTable([], self.problems)
        head = self.text[first]
        self.delimiter = max(",;\t", key=lambda d: (head.count(d), d == ","))
        reader = csv.reader(self.text[first:], delimiter=self.delimiter, strict=True)
        rows: list[CountLine] = []
        begins = first + 1
        try:
            self.fields = [cell.strip().lower() for cell in next(reader)]
            if not self.header_is_right(first + 1):
                return CountTable([], self.problems)
            begins = first + reader.line_num + 1
            for cells in reader:
                number, begins = begins, first + reader.line_num + 1
                if not any(c.strip() for c in cells) or cells[0].startswith("#"):
                    continue
                if len(cells) != len(self.fields):
                    self.refuse(
                        number, "", pedigree_text_sentences.cells_not_as_header(len(cells), len(self.fields))
                    )
                elif (row := self.row(number, cells)) is not None:
                    rows.append(row)
                if len(self.problems) > MOST_PROBLEMS:
                    break
        except csv.Error as e:
            self.refuse(begins, "", pedigree_text_sentences.not_readable(str(e)))
        if not rows and not self.problems:
            self.refuse(0, "", sentences.ONLY_HEADER)
        return CountTable(rows, self.problems)

    def header_is_right(self, number: int) -> bool:
        names = tuple(c.name for c in self.columns)
        for field in dict.fromkeys(self.fields):
            if field not in names:
                self.refuse(number, field, sentences.no_column(field, self.what, names))
            elif self.fields.count(field) > 1:
                self.refuse(number, field, sentences.column_twice(field))
        for c in self.columns:
            if c.required and c.name not in self.fields:
                self.refuse(number, "", sentences.column_missing(c.name, c.about))
        return not self.problems

    def row(self, number: int, cells: Sequence[str]) -> CountLine | None:
        values: dict[str, Any] = {}
        before = len(self.problems)
        given = dict(zip(self.fields, cells, strict=True))
        for c in self.columns:
            values[c.name] = self.value(number, c, given.get(c.name, "").strip())
        return CountLine(number, self.starts(number), values) if len(self.problems) == before else None

    def value(self, number: int, c: CountColumn, text: str) -> Any:
        if not text:
            if c.required:
                self.refuse(number, c.name, sentences.empty_cell(c.name, c.about))
            return "" if c.type == "text" else None
        if c.type == "text":
            if not text.isprintable():
                self.refuse(number, c.name, sentences.control_character(text))
            return text
        most = c.high if c.high < NO_LIMIT else None
        parse: Callable[..., float] = parse_whole if c.type == "whole" else parse_decimal
        try:
            return parse(text, low=c.low, high=most, what=c.about)
        except UnreadableValue as e:
            self.refuse(number, c.name, sentences.no_number(e.reason, e.expected, e.hint))
            return None
