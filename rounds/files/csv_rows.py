"""Read one CSV file row by row, refusing what the csv module would quietly accept.

Rows are streamed: memory does not grow with the file. Every refusal has a line, and a
column where one can be named.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from itertools import chain
from pathlib import Path

from rounds.files import csv_sentences as sentences
from rounds.problems import BadInput, Problem, Refusal

MAX_LINE = 1 << 20
BLOCK = 1 << 16
"""Bytes read at once, and then to the end of the line."""
MAX_CELL = 1 << 17  # the csv module's own limit, which any library in the process may raise
GIVEN_UP = 10_000
"""Problems of a file after which nothing more is looked at: nobody mends so many one by one."""
PER_FILE = 20
"""Problems told per file; the rest are counted, so that one bad file does not hide another."""

_FIELD = re.compile(r'(?:"(?:[^"]|"")*"|[^",]*)(?:,|\r?\n?\Z)')


class Sink:
    """Collects problems, at most PER_FILE per file, and counts the rest; raises BadInput at GIVEN_UP of them."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.broken: set[str] = set()  # files that were not read to their end
        self._told: dict[str, int] = {}

    def add(self, file: str, line: int, column: int, message: str, hint: str = "") -> None:
        told = self._told[file] = self._told.get(file, 0) + 1
        if told <= PER_FILE:
            self.problems.append(Problem(file, line, column, message, hint))
        elif told >= GIVEN_UP:
            self.raise_if_any()

    def raise_if_any(self) -> None:
        """Raises BadInput with everything collected; it closes with what was left out."""
        if not self._told:
            return
        more = tuple((n - PER_FILE, file) for file, n in sorted(self._told.items()) if n > PER_FILE)
        raise BadInput(self.problems, sentences.left_out(more))

    def __bool__(self) -> bool:
        return bool(self._told)

    def room(self, file: str) -> bool:
        """Would one more problem of this file be told?"""
        return self.count(file) < PER_FILE

    def count(self, file: str) -> int:
        return self._told.get(file, 0)


class _Refused(Exception):
    def __init__(self, line: int, column: int, refusal: Refusal) -> None:
        super().__init__(refusal.message)
        self.where, self.refusal = (line, column), refusal


class _Lines:
    """The file's lines as text without their line feeds; ``number`` counts those that came out.

    They are read and decoded many at a time, line by line only where something is wrong among them.
    """

    def __init__(self, path: Path) -> None:
        self.path, self.number = path, 0

    def __iter__(self) -> Iterator[str]:
        with self.path.open("rb") as f:
            while raw := f.read(BLOCK):
                if not raw.endswith(b"\n"):
                    raw += f.readline(MAX_LINE + 1)
                for text in self._texts(raw):
                    self.number += 1
                    yield text

    def _texts(self, raw: bytes) -> Iterable[str]:
        if self.number == 0:
            if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
                raise _Refused(1, 0, sentences.UTF16)
            raw = raw.removeprefix(b"\xef\xbb\xbf")
        lines = raw.removesuffix(b"\n")
        if len(raw) <= MAX_LINE:
            with suppress(UnicodeDecodeError):
                text = lines.decode("utf-8")
                if "\0" not in text:
                    return text.split("\n")
        return map(self._decoded, lines.split(b"\n"))

    def _decoded(self, raw: bytes) -> str:
        number = self.number + 1
        if len(raw) >= MAX_LINE:
            raise _Refused(number, 0, sentences.LINE_TOO_LONG)
        try:
            text = raw.decode("utf-8")
        except UnicodeDecodeError as e:
            field = raw[: e.start].count(b",") + 1
            raise _Refused(number, field, sentences.NOT_UTF8) from e
        if "\0" in text:
            field = text[: text.index("\0")].count(",") + 1
            raise _Refused(number, field, sentences.HOLDS_NUL)
        return text


def rows(path: Path, sink: Sink) -> Iterator[tuple[int, list[str]]]:
    """Line number (where the row begins) and cells of every row, the header first.

    Rows whose cells are all empty are left out. The file is given up at the first place
    where it is not CSV; that is one problem in ``sink``.
    """
    name = path.name
    lines = _Lines(path)
    left = iter(lines)
    start, headed = 1, False
    try:
        for text in left:
            start = lines.number
            if '"' in text or "\r" in text or len(text) > MAX_CELL:
                cells = _parted(text, start, left, headed=headed)
            else:
                cells = text.split(",")
            if any(cells):
                headed = True
                yield start, cells
    except _Refused as e:
        sink.broken.add(name)
        sink.add(name, *e.where, *e.refusal)
    except csv.Error as e:
        sink.broken.add(name)
        sink.add(name, start, 0, *_meaning(str(e)))
    except OSError as e:
        sink.broken.add(name)
        sink.add(name, 0, 0, *sentences.cannot_be_read(e.strerror or str(e)))


def _parted(first: str, start: int, left: Iterator[str], *, headed: bool) -> list[str]:
    """The cells of a row that begins with the line ``first`` and may need further ones. Raises csv.Error and _Refused."""
    taken: list[str] = []

    def ended() -> Iterator[str]:
        for text in chain((first,), left):
            taken.append(text + "\n")
            yield taken[-1]

    others = csv.field_size_limit(
        MAX_CELL
    )  # one for the whole process, which another library may have raised
    try:
        cells = next(csv.reader(ended(), strict=True))
        row = "".join(taken)
        if '"' in row:
            _check_quotes(row, start)
    except (csv.Error, _Refused) as e:
        # A header "a";"b" is no CSV; what parts it is the sentence that helps.
        if not headed and taken and (sign := parted_by("".join(taken))):
            raise _Refused(start, 0, sentences.parted_wrongly(sign)) from e
        raise
    finally:
        csv.field_size_limit(others)
    return cells


def parted_by(header: str) -> str:
    """What parts a header instead of commas, in words ("" when nothing else does)."""
    signs = ((sentences.SEMICOLONS, ";"), (sentences.TABS, "\t"))
    return next((words for words, sign in signs if "," not in header and sign in header.strip()), "")


def _check_quotes(row: str, start: int) -> None:
    """Refuse a quote inside an unquoted cell, which the csv module takes as text."""
    at = column = 0
    while at < len(row):
        column += 1
        match = _FIELD.match(row, at)
        if match is None:
            line = start + row.count("\n", 0, at)
            raise _Refused(line, column, sentences.quote_inside(row[at : at + 30].rstrip("\r\n")))
        if match.end() == at:
            return
        at = match.end()


def _meaning(error: str) -> Refusal:
    """The csv module's words in ours."""
    if "unexpected end of data" in error:
        return sentences.QUOTE_NOT_CLOSED
    if "field larger" in error:
        return sentences.cell_too_long(MAX_CELL)
    if "new-line character" in error:
        return sentences.LONE_RETURN
    if "expected after" in error:
        return sentences.AFTER_A_QUOTE
    return sentences.not_csv(error)
