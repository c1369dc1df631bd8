"""Pedigrees as text: a CSV table with a header, or the headerless six-column table.

The CSV table has the columns ``animal,sire,dam`` and may have ``sex``, ``line`` and
``founder`` (``yes``: unrelated to the line's other founders); a cell of several possible
sires separates them with ``|`` and may end in ``?`` for "or someone not recorded". The
six-column table without a header (family, individual, father, mother, sex 1/2/0, one value
that is not used; parted by blanks, tabs, commas or semicolons, 0 for unknown) is the one
genetics programs exchange; the family is taken as the line.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator

from rounds.analysis.pedigree.pedigree_table import (
    GROUP,
    SEXES,
    SOMEONE,
    Pedigree,
    PedigreeRow,
    Related,
    build,
)
from rounds.problems import Problem, nearest

COLUMNS = ("animal", "sire", "dam", "sex", "line", "founder")
NEEDED = COLUMNS[:3]
YES = {
    "yes": True,
    "y": True,
    "1": True,
    "true": True,
    "no": False,
    "n": False,
    "0": False,
    "false": False,
    "": False,
}
SIX = ("line", "animal", "sire", "dam", "sex", "value")
SIX_SEXES = {"1": "m", "2": "f", "0": ""}
MOST_PROBLEMS = 1000
"""Rows are not read further after so many: the file is another kind of file."""


def read(
    lines: Iterable[str], file: str, related: Related = (), unrelated: bool = False
) -> tuple[Pedigree | None, list[Problem]]:
    """Read a pedigree from opened text.

    ``unrelated`` takes every animal without recorded parents as a founder unrelated to the
    others, also at the high end of F. Returns (pedigree, warnings), or (None, problems)
    with one problem per wrong cell and nothing computed.
    """
    text = list(lines)
    if text and text[0].startswith("\ufeff"):
        text[0] = text[0][1:]
    reader = _Text(text, file)
    rows = list(reader.rows())
    if not rows and not reader.problems:
        said = "holds a header and no animals."
        return None, [Problem(file, 0, 0, said, "Write a line for each animal below it.")]
    if unrelated:
        rows = [r._replace(founder=not (r.sires or r.dam)) for r in rows]
    if reader.problems:
        # The rows that could be read are checked as well, so that one pass shows everything.
        _, more = build(rows, file, reader.column, related)
        return None, sorted([*reader.problems, *more])
    return build(rows, file, reader.column, related)


class _Text:
    """The lines of one file, with the columns found in its header."""

    def __init__(self, text: list[str], file: str) -> None:
        self.text, self.file = text, file
        self.problems: list[Problem] = []
        self.fields: tuple[str, ...] = ()
        self.delimiter = ","

    def say(self, number: int, field: str, message: str, hint: str = "") -> None:
        self.problems.append(Problem(self.file, number, self.column(number, field), message, hint))

    def column(self, number: int, field: str) -> int:
        """Where a field of a line begins, counted from 1; 0 if that line has no such field.

        Found again only when there is something to report: reading stays fast.
        """
        if not field or field not in self.fields or not 0 < number <= len(self.text):
            return 0
        line, wanted = self.text[number - 1], self.fields.index(field)
        if self.delimiter == " ":
            at = 0
            for _ in range(wanted + 1):
                while at < len(line) and line[at].isspace():
                    at += 1
                start = at
                while at < len(line) and not line[at].isspace():
                    at += 1
            return start + 1
        quoted = False
        for at, character in enumerate(line):
            if wanted == 0:
                return at + 1
            if character == '"':
                quoted = not quoted
            elif character == self.delimiter and not quoted:
                wanted -= 1
        return len(line.rstrip("\r\n")) + 1 if wanted == 0 else 0

    def rows(self) -> Iterator[PedigreeRow]:
        for number, line in enumerate(self.text, 1):
            if "\0" in line:
                at = line.index("\0") + 1
                self.problems.append(
                    Problem(self.file, number, at, "holds a NUL character.", "Save the file as plain text.")
                )
                return
        first = next(
            (k for k, line in enumerate(self.text) if line.strip() and not line.startswith("#")), None
        )
        if first is None:
            self.problems.append(
                Problem(self.file, 0, 0, "holds no animals.", f"The first line is `{','.join(NEEDED)}`.")
            )
            return
        head = self.text[first]
        self.delimiter = max(",;\t", key=lambda d: (head.count(d), d == ","))
        if self.without_header(head):
            self.fields = SIX
            yield from self.six(first)
        else:
            yield from self.table(first)

    def without_header(self, head: str) -> bool:
        """Whether a first line is a row of the six-column table; sets what parts its cells.

        Parted by commas, semicolons or tabs it is one when its fifth cell is a sex as such tables
        write it: a name may then hold blanks.
        """
        cells = [c.strip().lower() for c in head.split(self.delimiter)]
        if len(cells) == 6 and cells[4] in SIX_SEXES and not set(cells) & set(COLUMNS):
            return True
        if len(head.split()) == 6 and head.count(",") + head.count(";") == 0:
            self.delimiter = " "
            return True
        return False

    def cells(self, line: str) -> list[str]:
        """The cells of a line of the six-column table; an empty one is an unknown, as 0 is."""
        if self.delimiter == " ":
            return line.split()
        return [c.strip() or "0" for c in line.rstrip("\r\n").split(self.delimiter)] if line.strip() else []

    def table(self, first: int) -> Iterator[PedigreeRow]:
        reader = csv.reader(self.text[first:], delimiter=self.delimiter, strict=True)
        start = first + 1
        try:
            self.fields = tuple(cell.strip().lower() for cell in next(reader))
            if not self.header_is_right(first + 1):
                return
            where = [self.fields.index(c) if c in self.fields else -1 for c in COLUMNS]
            width = len(self.fields)
            start = first + reader.line_num + 1
            for cells in reader:
                number, start = start, first + reader.line_num + 1
                if not cells or (len(cells) == 1 and not cells[0].strip()):
                    continue
                if len(cells) != width:
                    self.say(number, "animal", f"has {len(cells)} cells, expected {width} as in the header.")
                else:
                    cells.append("")  # so that -1 reads as an empty cell
                    yield self.row(number, [cells[k].strip() for k in where])
                if len(self.problems) > MOST_PROBLEMS:
                    return
        except csv.Error as e:
            # The row's own first line: an open quote runs on to the end of the file.
            self.say(start, "animal", f"is not readable as a table: {e}.", "Check the quotes.")

    def header_is_right(self, number: int) -> bool:
        before = len(self.problems)
        for name in self.fields:
            if name not in COLUMNS:
                self.say(
                    number,
                    name,
                    f"`{name}` is no column of a pedigree, expected {', '.join(COLUMNS)}.",
                    nearest(name, COLUMNS),
                )
        for name in NEEDED:
            if name not in self.fields:
                self.say(
                    number, "", f"the column `{name}` is missing; the first line is `{','.join(NEEDED)}`."
                )
        for name in dict.fromkeys(self.fields):
            if self.fields.count(name) > 1:
                self.say(number, name, f"the column `{name}` is given twice.", "Keep one.")
        return len(self.problems) == before

    def row(self, number: int, cells: list[str]) -> PedigreeRow:
        animal, sire, dam, sex, line, founder = cells
        for field, cell in zip(COLUMNS, cells, strict=True):
            if "\n" in cell or "\r" in cell:
                self.say(number, field, f"{cell!r:.40} holds a line break.", "Check the quotes.")
        sires: tuple[str, ...] = (sire,) if sire else ()
        if "|" in sire:
            sires = tuple(s.strip() for s in sire.split("|"))
            if "" in sires:
                self.say(
                    number,
                    "sire",
                    "one of the possible sires has no name.",
                    f"Write `{SOMEONE}` for someone not recorded.",
                )
                sires = tuple(s for s in sires if s)
        elif sire == SOMEONE:
            sires = ()
        if dam == SOMEONE:
            dam = ""
        if "|" in animal:
            self.say(
                number,
                "animal",
                f"the name `{animal}` holds a |, which parts possible sires.",
                "Name one animal.",
            )
        if "|" in dam:
            self.say(
                number,
                "dam",
                "several possible dams are not told apart here.",
                f"Record them as one animal with the sex `{GROUP}`.",
            )
        if sex.lower() not in SEXES:
            self.say(
                number,
                "sex",
                f"`{sex}` is no sex, expected m, f, group or blank.",
                nearest(sex.lower(), SEXES),
            )
        if founder.lower() not in YES:
            self.say(number, "founder", f"`{founder}` is neither yes nor no.")
        is_founder = YES.get(founder.lower(), False)
        if is_founder and (sires or dam):
            self.say(
                number, "founder", f"`{animal}` is called a founder and has a parent.", "Keep one of the two."
            )
        return PedigreeRow(animal, sires, dam, SEXES.get(sex.lower(), ""), line, is_founder, number)

    def six(self, first: int) -> Iterator[PedigreeRow]:
        # An individual is named within its family; alone where no other family has the name.
        families: dict[str, str] = {}
        shared: set[str] = set()
        rows: list[tuple[int, list[str]]] = []
        for number, line in enumerate(self.text[first:], first + 1):
            cells = self.cells(line)
            if not cells or line.startswith("#"):
                continue
            if len(cells) != 6:
                self.say(
                    number,
                    "line",
                    f"has {len(cells)} columns, expected 6: family, individual, father, mother, sex, value.",
                )
                if len(self.problems) > MOST_PROBLEMS:
                    break
                continue
            rows.append((number, cells))
            for name in cells[1:4]:
                if families.setdefault(name, cells[0]) != cells[0]:
                    shared.add(name)
        for number, (family, animal, father, mother, sex, _) in rows:
            if sex not in SIX_SEXES:
                self.say(
                    number, "sex", f"`{sex}` is no sex here, expected 1 (male), 2 (female) or 0 (unknown)."
                )
            if animal == "0":
                self.say(number, "animal", "`0` stands for an unknown parent and cannot name an animal.")
                continue
            a, s, d = (
                "" if x == "0" else f"{family}/{x}" if x in shared else x for x in (animal, father, mother)
            )
            yield PedigreeRow(a, (s,) if s else (), d, SIX_SEXES.get(sex, ""), family, False, number)
