"""The books of the demo as they grow: rows for the tables, who was where, what each box was.

One :class:`Register` is filled by the modules that tell the year and read by those that
write it down. Days are ordinals here and become text only when the tables are written.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, NamedTuple

from demo_data.house import BOXES, Box
from rounds.values.span_parser import parse_span
from rounds.values.spans import FIRST

Who = tuple[str, str]
"""Line and number of an animal."""

CODE = {b.place: b.code for b in BOXES}
BY_PLACE = {b.place: b for b in BOXES}


def day(iso: str) -> int:
    """The ordinal of an ISO date, or the middle of a span of the keepers' words (near its end when it is open)."""
    span = parse_span(iso)
    return span.latest - 20 if span.earliest <= FIRST else (span.earliest + span.latest) // 2


START, TURN, END = day("2025-03-01"), day("2026-01-25"), day("2026-02-28")
"""The year's first day, the first of its last five weeks (told box by box), its last day."""


class Spell(NamedTuple):
    """What a box was from a day on, and for whom it was laid up."""

    first: int
    stage: str
    line: str


@dataclass
class Stay:
    """A row of contents: one animal, or ``n`` of a brood."""

    id: int
    place: str
    line: str
    number: str
    since: int
    until: int | None = None
    counts: tuple[int, int, int] = (0, 0, 0)
    at_least: bool = False
    brood: str = ""
    lot: str = ""
    instar: str = ""
    doubt: str = ""
    since_words: str = ""


@dataclass
class Brood:
    """What a search found of one pairing; ``n`` grows with every claim, so that all adds up."""

    name: str
    line: str
    pairing: str
    search: int | None
    found: int
    hatch: str
    instar: str
    n: int
    at_least: bool = False
    note: str = ""
    doubt: str = ""


@dataclass
class Register:
    rows: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    animals: dict[Who, dict[str, Any]] = field(default_factory=dict)
    stays: list[Stay] = field(default_factory=list)
    broods: dict[str, Brood] = field(default_factory=dict)
    spells: dict[str, list[Spell]] = field(default_factory=dict)
    dead: dict[Who, int] = field(default_factory=dict)
    feeds: dict[Who, int] = field(default_factory=dict)  # since when it eats
    found_dead: dict[tuple[str, int], int] = field(default_factory=dict)
    notes: dict[tuple[str, int], str] = field(default_factory=dict)

    def add(self, table: str, **cells: Any) -> int:
        """A row of a table; its number in it."""
        self.rows.setdefault(table, []).append(cells)
        return len(self.rows[table])

    def animal(self, who: Who, sex: str, feeds: int, **cells: Any) -> None:
        self.animals[who] = {"sex": sex, "state": "alive", **cells}
        self.feeds[who] = feeds

    def here(self, who: Who) -> Stay | None:
        return next((s for s in reversed(self.stays) if (s.line, s.number) == who and s.until is None), None)

    def put(self, who: Who, place: str, on: int, words: str = "") -> None:
        self.leave(who, on)
        self.stays.append(Stay(len(self.stays) + 1, place, *who, on, since_words=words))

    def leave(self, who: Who, on: int) -> None:
        if (stay := self.here(who)) is not None:
            stay.until = on

    def group(
        self, place: str, line: str, n: int, on: int, instar: str, brood: str = "", **more: Any
    ) -> Stay:
        stay = Stay(
            len(self.stays) + 1, place, line, "", on, None, (0, 0, n), brood=brood, instar=instar, **more
        )
        self.stays.append(stay)
        return stay

    def stage(self, place: str, stage: str, on: int, line: str) -> None:
        """The box is this from a day on; a later word for the same day counts."""
        spells = self.spells.setdefault(place, [])
        if spells and spells[-1].first >= on:
            on = max(on, spells[-1].first)
            spells.pop()
        spells.append(Spell(on, stage, line))

    def spell(self, place: str, on: int) -> Spell | None:
        return next((s for s in reversed(self.spells.get(place, ())) if s.first <= on), None)

    def fewer(self, stay: Stay, n: int, how: str, on: int, **more: Any) -> None:
        if n:
            self.add(
                "fewer",
                content=stay.id,
                line=stay.line,
                brood=stay.brood,
                lot=stay.lot,
                how=how,
                unsexed=n,
                instar=stay.instar,
                made=on,
                **more,
            )

    def dies(self, who: Who, on: int, cause: str = "") -> None:
        """Found dead on a day, where it was."""
        stay = self.here(who)
        self.animals[who] |= {"state": "dead", "died": on, "last_seen": on - 1, "cause": cause}
        self.dead[who] = on
        if stay is not None:
            self.found_dead[stay.place, on] = self.found_dead.get((stay.place, on), 0) + 1
        self.leave(who, on)

    def goes(self, who: Who, on: int, to: str) -> None:
        """Given away."""
        note = "; ".join(filter(None, (self.animals[who].get("note"), f"given to {to}")))
        self.animals[who] |= {"state": "gone", "note": note}
        self.leave(who, on)

    def vacate(self) -> None:
        """A box for beetles that holds none is laid up for the next ones: holding only while somebody is in it."""
        for place, spells in self.spells.items():
            ends = [s.first for s in spells[1:]] + [END + 1]
            out: list[Spell] = []
            for spell, end in zip(spells, ends, strict=True):
                was = ""
                for on in range(spell.first, max(end, spell.first + 1)) if spell.stage == "holding" else ():
                    now = "holding" if self.inside(place, on) else "prepared"
                    if now != was:
                        out.append(Spell(on, now, spell.line))
                        was = now
                if spell.stage != "holding":
                    out.append(spell)
            self.spells[place] = out

    def mating(self, place: str, on: int) -> None:
        """A pair was seen mating at a place."""
        here = {(s.line, s.number) for s in self.inside(place, on)}
        for row in self.rows["pairings"]:
            if row["female"] in here and row["since"] <= on and (row["until"] or END) >= on:
                row.setdefault("mated", on)
                self.add("matings", pairing=row["pairing"], seen=on)

    def inside(self, place: str, on: int) -> list[Stay]:
        return [
            s for s in self.stays if s.place == place and s.since <= on and (s.until is None or s.until > on)
        ]


def box(place: str) -> Box:
    return BY_PLACE[place]
