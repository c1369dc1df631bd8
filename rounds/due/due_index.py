"""The books sorted for finding due work, and the arithmetic of "so many days after"."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from rounds.due.kinds import WorkSource
from rounds.husbandry.spans import FIRST, LAST, UNKNOWN, Span, text
from rounds.husbandry.species import Species, SpeciesRange
from rounds.records.column import Row
from rounds.records.ledger import Ledger

Rows = list[tuple[int, Row]]


class Shelf:
    """The books, sorted by enclosure and by animal so that each row is looked at once."""

    def __init__(self, ledger: Ledger, presets: Mapping[str, Species]) -> None:
        self.ledger, self.presets = ledger, presets
        self.contents = by(ledger, "content", "enclosure", until=None)
        self.searches = by(ledger, "search", "enclosure")
        self.bedding = by(ledger, "batch_use", "enclosure")
        self.protein = by(ledger, "protein", "enclosure")
        self.loans = by(ledger, "loan", "animal")
        self.pairings = by(ledger, "pairing", "female")
        self.dues = by(ledger, "due", "enclosure")
        self.weights: dict[int, list[Span]] = {}
        self.box_of: dict[int, int] = {}
        of_content = {i: box for box, rows in self.contents.items() for i, _ in rows}
        for box, rows in self.contents.items():
            for _, row in rows:
                if row["animal"] is not None:
                    self.box_of[row["animal"]] = box
        for _, row in ledger.rows("weight"):
            at = (
                self.box_of.get(row["animal"])
                if row["animal"] is not None
                else of_content.get(row["content"])
            )
            if at is not None and row["made"] is not None:
                self.weights.setdefault(at, []).append(row["made"])

    def species(self, box: Row, rows: Sequence[tuple[int, Row]] = ()) -> Species | None:
        """The species of an enclosure: its own, or that of the one line in it."""
        if box["species"]:
            return self.presets.get(box["species"])
        lines = {r["line"] for _, r in rows if r["line"] is not None}
        if len(lines) != 1:
            return None
        return self.presets.get(self.ledger.row("line", lines.pop())["species"])

    def animal(self, id_: int) -> str:
        row = self.ledger.row("animal", id_)
        line = self.ledger.row("line", row["line"])["name"] if row["line"] is not None else ""
        return f"{line}/{row['number']}"


def by(ledger: Ledger, table: str, column: str, **columns: None) -> dict[int, Rows]:
    """The rows of a table by the row a column points to."""
    out: dict[int, Rows] = {}
    for i, row in ledger.rows(table, **columns):
        if row[column] is not None:
            out.setdefault(row[column], []).append((i, row))
    return out


def after(since: Span | None, days: SpeciesRange | None) -> tuple[Span | None, int | None]:
    """The window ``days`` after ``since``, and its likely day; None where either is unknown."""
    if since is None or days is None or since.unknown:
        return None, None
    window = since.plus(math.floor(days.low), math.ceil(days.high))
    bounded = since.earliest > FIRST and since.latest < LAST
    if days.likely is None or not bounded:
        return window, None
    likely = (since.earliest + since.latest) // 2 + round(days.likely)
    return window, min(max(likely, window.earliest), window.latest)


def said(what: str, since: Span, days: SpeciesRange, then: str) -> str:
    """``laying since 2026-02-01; first search 26 to 35 days on (common practice, no source)``."""
    return f"{what} {text(since)}; {then} {days} days on ({days.source})"


def counted(
    kind: str, id_: int, anchor: str, since: Span | None, days: SpeciesRange | None, what: str, then: str,
    done: int | None = None, animal: int | None = None,
) -> WorkSource:  # fmt: skip
    """A fact whose window is ``days`` after ``since``."""
    window, likely = after(since, days)
    known = UNKNOWN if since is None else since
    why = said(what, known, days, then) if window is not None and days is not None else ""
    return WorkSource(kind, id_, animal, anchor, known, window, likely, why, done)


def preset_range(species: Species | None, preset: str) -> SpeciesRange | None:
    return species.range(preset) if species is not None else None


def added(ranges: list[SpeciesRange]) -> SpeciesRange | None:
    if len(ranges) < 2:
        return ranges[0] if ranges else None
    likely = None if any(r.likely is None for r in ranges) else sum(r.likely or 0 for r in ranges)
    sources = "; ".join(dict.fromkeys(r.source for r in ranges))
    return SpeciesRange(sum(r.low for r in ranges), sum(r.high for r in ranges), likely, sources)


def of_animal(shelf: Shelf, row: Row, column: str) -> Any:
    return shelf.ledger.row("animal", row["animal"])[column] if row["animal"] is not None else None
