"""Pedigrees as text: a CSV table with a header, or the headerless six-column table.

The CSV table has the columns ``animal,sire,dam`` and may have ``sex``, ``line``,
``founder`` (``yes``: unrelated to the line's other founders) and ``state`` (``alive``, ``dead``,
``gone`` or ``missing``); a cell of several possible
sires separates them with ``|`` and may end in ``?`` for "or someone not recorded". The
six-column table without a header (family, individual, father, mother, sex 1/2/0, one value
that is not used; parted by blanks, tabs, commas or semicolons, 0 for unknown) is the one
genetics programs exchange; the family is taken as the line.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator

from rounds.analysis.pedigree import pedigree_text_sentences as sentences
from rounds.analysis.pedigree.pedigree_checks import Related, build, taken_as_unrelated
from rounds.analysis.pedigree.pedigree_table import GROUP, SOMEONE, Pedigree, PedigreeRow
from rounds.problems import Problem, Refusal

COLUMNS = ("animal", "sire", "dam", "sex", "line", "founder", "state")
NEEDED = COLUMNS[:3]
SEXES = {
    "m": "m",
    "f": "f",
    "male": "m",
    "female": "f",
    "group": GROUP,
    "unknown": "",
    "u": "",
    "?": "",
    "": "",
}
"""Words accepted for a sex, and what each means."""
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
STATES = {"": "", "alive": "alive", "dead": "dead", "gone": "gone", "missing": "missing"}
"""Words accepted for a state, and what each means."""
SIX = ("line", "animal", "sire", "dam", "sex", "value")
SIX_SEXES = {"1": "m", "2": "f", "0": ""}
MOST_PROBLEMS = 1000
"""Rows are not read further after so many: the file is another kind of file."""


def read(
    lines: Iterable[str], file: str, related: Related = (), *, unrelated: bool = False
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
        return None, [Problem(file, 0, 0, *sentences.ONLY_HEADER)]
    if reader.problems:
        # The rows that could be read are checked as well, so that one pass shows everything.
        _, more = build(rows, file, reader.column, related)
        return None, sorted([*reader.problems, *more])
    p, problems = build(rows, file, reader.column, related)
    return taken_as_unrelated(p) if p is not None and unrelated else p, problems


class _Text:
    """The lines of one file, with the columns found in its header."""

    def __init__(self, text: list[str], file: str) -> None:
        self.text, self.file = text, file
        self.problems: list[Problem] = []
        self.fields: tuple[str, ...] = ()
        self.delimiter = ","

    def refuse(self, number: int, field: str, refusal: Refusal) -> None:
        self.problems.append(Problem(self.file, number, self.column(number, field), *refusal))

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
                self.problems.append(Problem(self.file, number, at, *sentences.NUL))
                return
        first = next(
            (k for k, line in enumerate(self.text) if line.strip() and not line.startswith("#")), None
        )
        if first is None:
            self.problems.append(Problem(self.file, 0, 0, *sentences.no_animals(NEEDED)))
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
            further = width > len(NEEDED)
            start = first + reader.line_num + 1
            for cells in reader:
                number, start = start, first + reader.line_num + 1
                if not cells or (len(cells) == 1 and not cells[0].strip()):
                    continue
                if len(cells) != width:
                    self.refuse(number, "animal", sentences.cells_not_as_header(len(cells), width))
                elif further:
                    cells.append("")  # so that -1 reads as an empty cell
                    yield self.row(number, [cells[k].strip() for k in where])
                else:
                    yield self.short_row(number, *[cells[k].strip() for k in where[:width]])
                if len(self.problems) > MOST_PROBLEMS:
                    return
        except csv.Error as e:
            # The row's own first line: an open quote runs on to the end of the file.
            self.refuse(start, "animal", sentences.not_readable(str(e)))

    def header_is_right(self, number: int) -> bool:
        before = len(self.problems)
        for name in self.fields:
            if name not in COLUMNS:
                self.refuse(number, name, sentences.no_column(name, COLUMNS))
        for name in NEEDED:
            if name not in self.fields:
                self.refuse(number, "", sentences.column_missing(name, NEEDED))
        for name in dict.fromkeys(self.fields):
            if self.fields.count(name) > 1:
                self.refuse(number, name, sentences.column_twice(name))
        return len(self.problems) == before

    def short_row(self, number: int, animal: str, sire: str, dam: str) -> PedigreeRow:
        """A row of three columns, as most tables of many animals have them."""
        names = animal + sire + dam
        if "|" in names or SOMEONE in names or not names.isprintable():
            return self.row(number, [animal, sire, dam, "", "", "", ""])
        return PedigreeRow(animal, (sire,) if sire else (), dam, number=number)

    def row(self, number: int, cells: list[str]) -> PedigreeRow:
        animal, sire, dam, sex, line, founder, state = cells
        for field, cell in zip(COLUMNS, cells, strict=True):
            if "\n" in cell or "\r" in cell:
                self.refuse(number, field, sentences.line_break(cell))
        sires: tuple[str, ...] = (sire,) if sire else ()
        if "|" in sire:
            sires = tuple(s.strip() for s in sire.split("|"))
            if "" in sires:
                self.refuse(number, "sire", sentences.sire_without_name(SOMEONE))
                sires = tuple(s for s in sires if s)
        elif sire == SOMEONE:
            sires = ()
        if dam == SOMEONE:
            dam = ""
        if "|" in animal:
            self.refuse(number, "animal", sentences.bar_in_name(animal))
        if "|" in dam:
            self.refuse(number, "dam", sentences.several_dams(GROUP))
        if sex.lower() not in SEXES:
            self.refuse(number, "sex", sentences.no_sex(sex, tuple(SEXES)))
        if founder.lower() not in YES:
            self.refuse(number, "founder", sentences.neither_yes_nor_no(founder))
        if state.lower() not in STATES:
            self.refuse(number, "state", sentences.no_state(state, tuple(filter(None, STATES))))
        is_founder = YES.get(founder.lower(), False)
        if is_founder and (sires or dam):
            self.refuse(number, "founder", sentences.founder_with_parent(animal))
        lives = STATES.get(state.lower(), "")
        sexed = SEXES.get(sex.lower(), "")
        return PedigreeRow(animal, sires, dam, sexed, line, is_founder, number, state=lives)

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
                self.refuse(number, "line", sentences.columns_not_six(len(cells)))
                if len(self.problems) > MOST_PROBLEMS:
                    break
                continue
            rows.append((number, cells))
            for name in cells[1:4]:
                if families.setdefault(name, cells[0]) != cells[0]:
                    shared.add(name)
        for number, (family, animal, father, mother, sex, _) in rows:
            if sex not in SIX_SEXES:
                self.refuse(number, "sex", sentences.no_sex_of_six(sex))
            if animal == "0":
                self.refuse(number, "animal", sentences.ZERO_AS_ANIMAL)
                continue
            a, s, d = (
                "" if x == "0" else f"{family}/{x}" if x in shared else x for x in (animal, father, mother)
            )
            yield PedigreeRow(a, (s,) if s else (), d, SIX_SEXES.get(sex, ""), family, number=number)
