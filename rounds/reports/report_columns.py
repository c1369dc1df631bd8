"""One column of a report: what programs call it, what people read above it, and what stands in it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Literal, TypeAlias

from rounds.named_tuple import NamedTuple

ColumnType = Literal["text", "whole", "number", "day", "span", "yesno", "mapping", "object"]

RESERVED = ("report", "version", "part")
"""Names that the JSON or CSV itself uses; no column may be called so."""

_NAME = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")


class DaySpan(NamedTuple):
    """Days from ``earliest`` to ``latest``, both included, as ordinals; None is an open end."""

    earliest: int | None
    latest: int | None


CellValue: TypeAlias = (
    "str | int | float | bool | DaySpan | Mapping[str, CellValue] | Sequence[CellValue] | None"
)
"""What a cell may hold; None says that it is not known or does not apply."""


class ReportColumn(NamedTuple):
    """A column, or a named field of a single result.

    ``name`` is the field in JSON and CSV; a column without a name is only for people.
    ``heading`` stands above it for people; a column without a heading is only for programs.
    ``type`` says what its values are:

    * ``text`` a str, one of ``words`` where there are any; ``whole`` an int; ``number`` an int or
      float (one that is not finite counts as not known); ``yesno`` a bool;
    * ``day`` an ordinal, printed as 2026-02-28; ``span`` a :class:`DaySpan`;
    * ``mapping`` texts or numbers by name; ``object`` a mapping with the fields ``of``.

    ``many``: the value is a sequence of those, which CSV joins with ``joined``.
    ``always``: the value is never None. ``places`` are the decimals people read; programs get
    the full precision. ``meaning`` is one sentence without its full stop.
    """

    name: str
    heading: str
    type: ColumnType = "text"
    meaning: str = ""
    unit: str = ""
    words: tuple[str, ...] = ()
    many: bool = False
    always: bool = False
    places: int | None = None
    align: Literal["", "left", "right"] = ""
    joined: str = "; "
    of: tuple[ReportColumn, ...] = ()

    @property
    def right(self) -> bool:
        """Does it stand at the right edge of its column? Numbers do unless told otherwise."""
        if self.align:
            return self.align == "right"
        return self.type in ("whole", "number") and not self.many

    @property
    def title(self) -> str:
        """The heading, or the name as words where there is none."""
        return self.heading or self.name.replace("_", " ")


def data_columns(columns: Sequence[ReportColumn]) -> tuple[ReportColumn, ...]:
    """Those that programs get."""
    return tuple(c for c in columns if c.name)


def people_columns(columns: Sequence[ReportColumn]) -> tuple[int, ...]:
    """Where those stand that people read."""
    return tuple(i for i, c in enumerate(columns) if c.heading)


def for_programs(columns: Sequence[ReportColumn]) -> tuple[ReportColumn, ...]:
    """The columns that programs get, without headings: for rows that people read in another order."""
    return tuple(c._replace(heading="") for c in columns if c.name)


def for_people(columns: Sequence[ReportColumn]) -> tuple[ReportColumn, ...]:
    """All columns without names: for rows that programs get in another order."""
    return tuple(c._replace(name="") for c in columns if c.heading)


def check_columns(columns: Sequence[ReportColumn], where: str) -> None:
    """Raises ValueError for columns that no form could print: our mistake, not the keeper's."""
    names = [c.name for c in columns if c.name]
    for c in columns:
        what = f"{where}: column `{c.name or c.heading}`"
        if not c.name and not c.heading:
            raise ValueError(f"{where}: a column has neither a name nor a heading")
        if c.name and (not _NAME.fullmatch(c.name) or c.name in RESERVED):
            raise ValueError(f"{what}: this cannot be the name of a field")
        if c.name and not c.meaning:
            raise ValueError(f"{what}: what it means is not said")
        if names.count(c.name) > 1:
            raise ValueError(f"{what}: the name is used twice")
        if bool(c.of) != (c.type == "object"):
            raise ValueError(f"{what}: an object has fields, and nothing else has")
        if c.words and c.type != "text":
            raise ValueError(f"{what}: only a text is one of several words")
        if any(not inner.name for inner in c.of):
            raise ValueError(f"{what}: a field of an object has no name")
        check_columns(c.of, what)
