"""The tables that fit in memory: read, checked against each other and the book, made into rows.

A row whose other cells are bad still counts as being there, so that one slip is one
problem and not one for every row that refers to it.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

from rounds.exchange import kin
from rounds.exchange.cells import shown
from rounds.exchange.compare import Checker, named
from rounds.exchange.rows import Sink
from rounds.exchange.sheets import Row, sheet
from rounds.exchange.tables import TABLES
from rounds.husbandry.spans import Span
from rounds.store.held import (
    Address,
    AnimalRow,
    ContentRow,
    DueRow,
    EnclosureRow,
    Held,
    HouseRow,
    LineRow,
    LockRow,
)

NAMES = tuple(t.name for t in TABLES if t.name not in ("visits", "readings"))


class Small(NamedTuple):
    """New rows only; ``names`` is what other tables may refer to, of the tables and the book."""

    house: HouseRow | None
    keepers: list[str]
    places: list[Address]
    lines: list[LineRow]
    animals: list[AnimalRow]
    enclosures: list[EnclosureRow]
    contents: list[ContentRow]
    locks: list[LockRow]
    due: list[DueRow]
    names: dict[str, Collection[Any]]
    stands: dict[str, Address | None]  # where each enclosure stands
    new_house: bool


def read(folder: Path, held: Held, sink: Sink, shift_days: int = 0) -> Small:
    """Read and check every small table of ``folder``; problems go to ``sink``."""
    sheets = {name: sheet(name, folder, sink) for name in NAMES}
    s = _Tables(sheets, held, shift_days)
    house, new_house = s.house()
    keepers = s.new("keepers", {k: k for k in held.keepers}, lambda r: r["keeper"])
    places = s.new("places", {p: p for p in held.places}, lambda r: (r["bay"], r["shelf"], r["slot"]))
    lines = s.new(
        "lines", held.lines, lambda r: LineRow(r["line"], *(r[c] or "" for c in LineRow._fields[1:]))
    )
    animals = s.animals()
    enclosures, stands = s.enclosures()
    contents = s.contents()
    return Small(
        house, keepers, places, lines, animals, enclosures, contents, s.locks(), s.due(),
        {name: s.known(name) for name in ("keepers", "places", "enclosures")}, stands, new_house,
    )  # fmt: skip


class _Tables(Checker):
    def house(self) -> tuple[HouseRow | None, bool]:
        sheet = self.sheets["house"]
        for row in sheet.rows[1:]:
            sheet.problem(row, "name", "a book holds one house; this is a second row.", "Keep one.")
        if not sheet.good():
            return self.held.house, False
        row = sheet.good()[0]
        starts = 240 if row["day_starts"] is None else row["day_starts"]
        house = HouseRow(row["name"], row["zone"], starts, row["order"] or "straight")
        if self.held.house is not None and not self.held.empty and house != self.held.house:
            self.differs(sheet, row, self.held.house, house)
        return house, house != self.held.house

    def animals(self) -> list[AnimalRow]:
        sheet = self.sheets["animals"]

        def make(r: Row) -> AnimalRow:
            return AnimalRow(
                r["line"], r["animal"], r["sex"] or "unknown", r["sexed_how"] or "", r["sire"], r["dam"],
                self.span(r, "born"), self.span(r, "emerged"), self.span(r, "first_feed"), self.span(r, "mature"),
                r["state"] or "alive", r["note"] or "",
            )  # fmt: skip

        new = self.new("animals", self.held.animals, make)
        known = {k: (a.sex, a.born) for k, a in self.held.animals.items()}
        for row in sheet.rows:
            self.refers(sheet, row, "line")
            if (key := self.key(sheet, row)) is not None:
                known[key] = (row["sex"] or "unknown", row["born"])
        parents = {k: tuple(p for p in (a.sire, a.dam) if p) for k, a in self.held.animals.items()}
        kin.check(sheet, known, parents)
        return new

    def enclosures(self) -> tuple[list[EnclosureRow], dict[str, Address | None]]:
        sheet = self.sheets["enclosures"]
        numbers = {e.number: f"{c} in the book" for c, e in self.held.enclosures.items()}
        slots = {(e.place, e.order): f"{c} in the book" for c, e in self.held.enclosures.items() if e.place}
        last: dict[Address, int] = {}
        order: dict[int, int] = {}
        for row in sheet.rows:
            place, code = row["place"], row["code"]
            self.refers(sheet, row, "place")
            mine = f"{code} in the book"
            if code is not None and row["number"] is not None:
                other = numbers.setdefault(row["number"], f"{shown(code)} in line {row.line}")
                if other not in (mine, f"{shown(code)} in line {row.line}"):
                    sheet.problem(
                        row, "number", f"{row['number']} is the number of {other}.", "Give it another."
                    )
            held = self.held.enclosures.get(code)
            if row["order"] is not None:
                order[row.line] = row["order"]
            elif held is not None and held.place == place:
                order[row.line] = held.order
            else:
                order[row.line] = last.get(place, 0) + 1 if place else 0
            if place is not None:
                last[place] = max(last.get(place, 0), order[row.line])
                other = slots.setdefault((place, order[row.line]), f"{shown(code or '')} in line {row.line}")
                if other not in (mine, f"{shown(code or '')} in line {row.line}"):
                    at = f"{named('places', place)} in order {order[row.line]}"
                    sheet.problem(row, "order", f"{other} stands at {at} already.", "Give it another order.")

        def make(r: Row) -> EnclosureRow:
            return EnclosureRow(
                r["code"], r["number"], r["stage"], self.span(r, "stage_since"), r["place"], order[r.line],
                r["species"] or "", r["litres"], r["note"] or "",
            )  # fmt: skip

        stands = {c: e.place for c, e in self.held.enclosures.items()}
        new = self.new("enclosures", self.held.enclosures, make)
        stands.update((r["code"], r["place"]) for r in sheet.rows if r["code"] is not None)
        return new, stands

    def contents(self) -> list[ContentRow]:
        sheet = self.sheets["contents"]
        where = {(c.line, c.animal): (c.enclosure, "in the book") for c in self.held.contents if c.animal}
        states = {k: a.state for k, a in self.held.animals.items()}
        animals = self.sheets["animals"]
        states.update((self.key(animals, r), r["state"] or "alive") for r in animals.rows)
        held = {_content_key(c): c for c in self.held.contents}
        first: dict[Any, int] = {}
        out = []
        for row in sheet.rows:
            line, animal, code = row["line"], row["animal"], row["enclosure"]
            self.refers(sheet, row, "enclosure")
            males, females, unsexed = counts = tuple(row[c] or 0 for c in ("males", "females", "unsexed"))
            if self.refers(sheet, row, "line") and line is not None and animal is not None:
                me = (line, animal)
                self.refers(sheet, row, "animal", me, "animals")
                before = where.setdefault(me, (code, f"in line {row.line}"))
                if before[0] != code and code is not None:
                    what = (
                        f"{kin.name(me)} is in {shown(before[0])} ({before[1]}); it cannot be in two places."
                    )
                    sheet.problem(row, "enclosure", what, "Keep the row that is true.")
                if states.get(me) in ("dead", "gone", "missing"):
                    what = f"{kin.name(me)} is {states[me]} in animals.csv, so it cannot be here."
                    sheet.problem(row, "animal", what, "Mend its state or take this row away.")
                if any(counts) or row["at_least"]:
                    sheet.problem(
                        row, "males", "counts are for groups; this row names one animal.", "Leave them empty."
                    )
            elif animal is None and "animal" not in row.bad and not any(counts) and not row["at_least"]:
                if not row.bad:
                    sheet.problem(
                        row, "animal", "the row names no animal and counts none.", "Say who is there."
                    )
                continue
            if not row.good or code is None or line is None:
                continue
            made = ContentRow(
                code,
                line,
                animal or "",
                males,
                females,
                unsexed,
                bool(row["at_least"]),
                row["instar"] or "",
                self.span(row, "since"),
            )
            key = _content_key(made)
            if key in first:
                sheet.problem(
                    row,
                    "enclosure",
                    f"the same group or animal stands in line {first[key]} already.",
                    "Join them.",
                )
                continue
            first[key] = row.line
            if key not in held:
                out.append(made)
            elif held[key] != made:
                self.differs(sheet, row, held[key], made)
        return out

    def locks(self) -> list[LockRow]:
        sheet = self.sheets["locks"]
        out = []
        have = set(self.held.locks)
        for row in sheet.rows:
            self.refers(sheet, row, "enclosure")
            self.refers(sheet, row, "animal")
            if not row.bad and (row["enclosure"] is None) == (row["animal"] is None):
                both = "names both" if row["enclosure"] is not None else "names neither"
                what = f"a lock is on an enclosure or on an animal; this row {both}."
                sheet.problem(row, "enclosure", what, "Fill in one of the two columns.")
            until: Span | None = row["until"]
            if until is not None and row["from"] is not None and until.latest < row["from"]:
                sheet.problem(
                    row, "until", f"{until} is before the lock begins.", "Mend one of the two days."
                )
            if row.good:
                made = LockRow(
                    row["enclosure"] or "", row["animal"], " ".join(row["forbids"]), row["from"] + self.shift,
                    self.span(row, "until"), row["reason"],
                )  # fmt: skip
                if made not in have:
                    out.append(made)
                have.add(made)
        return out

    def due(self) -> list[DueRow]:
        sheet = self.sheets["due"]

        def make(r: Row) -> DueRow:
            likely = None if r["likely"] is None else r["likely"] + self.shift
            earliest, latest = r["earliest"] + self.shift, r["latest"] + self.shift
            return DueRow(r["enclosure"], r["what"], earliest, likely, latest, r["why"] or "")

        for row in sheet.rows:
            self.refers(sheet, row, "enclosure")
            days = [(c, row[c]) for c in ("earliest", "likely", "latest") if row[c] is not None]
            for (a, low), (b, high) in pairwise(days):
                if high < low:
                    shown_low = date.fromordinal(low).isoformat()
                    sheet.problem(
                        row, b, f"is before `{a}` ({shown_low}).", "Write earliest, likely, latest in order."
                    )
        held = {(d.enclosure, d.what, d.earliest - self.shift): d for d in self.held.due}
        return self.new("due", held, make)


def _content_key(row: ContentRow) -> tuple[str, ...]:
    return (row.enclosure, row.line, row.animal, row.instar)
