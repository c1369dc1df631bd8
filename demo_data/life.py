"""One enclosure, day by day: how damp it is, what is eaten, what the look finds."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from demo_data.chance import Chance
from demo_data.house import ADULTS, BEFORE, EXTRA, Box
from demo_data.params import (
    DICRONORHINA,
    DRIED_G,
    DRY,
    DRY_TOP,
    LINES,
    MECYNORHINA,
    PACHNODA,
    QUARTER_G,
    SEED,
    WET,
    WET_AFTER_SPRAY,
    Species,
)
from demo_data.story import DIED, EVENTS, FIRST, SKIPS, YEAR, Event
from rounds.values.span_parser import parse_span

FEEDING = ("quarantine", "holding", "pairing", "laying", "colony")

# What a look confirms unless it finds something else, in the order in which it is asked.
USUAL: dict[str, tuple[str, dict[str, str]]] = {
    "quarantine": (
        "lid",
        {
            "activity": "below",
            "lid": "yes",
            "on_back": "no",
            "mites": "none",
            "flies": "none",
            "moisture": "right",
        },
    ),
    "holding": (
        "lid",
        {"activity": "below", "lid": "yes", "on_back": "no", "moisture": "right", "mites": "none"},
    ),
    "pairing": (
        "lid",
        {"activity": "below", "lid": "yes", "on_back": "no", "moisture": "wet", "mites": "none"},
    ),
    "laying": (
        "lid",
        {"moisture": "right", "activity": "below", "lid": "yes", "smell": "earthy", "surfaced": "0..0"},
    ),
    "colony": (
        "lid",
        {
            "activity": "out",
            "moisture": "right",
            "lid": "yes",
            "dead": "0..0",
            "mites": "none",
            "flies": "none",
        },
    ),
    "eggs": ("wall", {"moisture": "right", "mould": "none", "lid": "yes"}),
    "larvae": (
        "wall",
        {"moisture": "right", "surfaced": "0..0", "tunnels": "yes", "droppings": "some", "lid": "yes"},
    ),
    "wandering": ("wall", {"activity": "below", "moisture": "right", "surfaced": "0..0", "lid": "yes"}),
    "cell": ("wall", {"cell_seen": "yes", "moisture": "right", "lid": "yes"}),
    "resting": ("wall", {"activity": "below", "moisture": "right", "lid": "yes"}),
    "prepared": ("wall", {"moisture": "right", "warmth": "even", "lid": "yes"}),
}
LID_TOO = {"larvae": {"smell": "earthy", "warmth": "even", "mites": "none", "flies": "none", "mould": "none"}}
MATING = {"Mecynorhina torquata": 0.08, "Dicronorhina derbyana": 0.10, "Eudicella smithi": 0.12}


@dataclass
class Look:
    """One visit: readings typed and readings confirmed, in order; or why nobody looked."""

    depth: str
    read: dict[str, str] = field(default_factory=dict)
    expected: dict[str, str] = field(default_factory=dict)
    note: str = ""
    skipped: str = ""


def since(box: Box) -> int:
    """The day a box's stage began, the middle of it where only a span is known."""
    span = parse_span(box.since)
    return (span.earliest + span.latest) // 2


class Life:
    """The state of one box. Call :meth:`day` once a day, in order."""

    def __init__(self, box: Box) -> None:
        self.box, self.chance = box, Chance(SEED, box.code)
        self.species: Species = LINES[box.line][0]
        self.begins = since(box)
        start = date.fromisoformat(FIRST).toordinal()
        self.first = start if box.place in BEFORE or self.begins < start else self.begins
        self.moisture, self.sprayed = "right", False
        self.cup_age = self.chance.between(0, 2)
        self.gone_g, self.told = 0.0, 0  # from this cup: grams, and quarters already written down
        self.below_until = 0
        self.odd: set[str] = set()

    def stage(self, day: int) -> str:
        return BEFORE.get(self.box.place, self.box.stage) if day < self.begins else self.box.stage

    @property
    def cups(self) -> int:
        """Quarters put in at a change."""
        if self.species is PACHNODA:
            return 12
        return 8 if self.species is MECYNORHINA and len(self.eaters(0)) > 1 else 4

    def eaters(self, day: int) -> list[float]:
        """Grams a day of each animal that feeds here."""
        female, male = self.species.food
        if "." in self.box.who:
            males, females, _ = (int(n) for n in self.box.who.rstrip("+").split("."))
            return [female] * females + [male] * males
        who = [(self.box.line, n) for n in self.box.animals] + EXTRA.get(self.box.place, [])
        sex = {(b.line, b.number): b.sex for b in ADULTS}
        alive = [w for w in who if w not in DIED or date.fromisoformat(DIED[w]).toordinal() > day]
        return [male if sex[w] == "m" else female for w in alive]

    def day(self, day: int, temperature: float) -> Look:
        """What the walk of a day finds and does here."""
        iso = date.fromordinal(day).isoformat()
        stage = self.stage(day)
        events = [e for e in (*YEAR, *EVENTS) if e.place == self.box.place and e.first <= iso <= e.last]
        self._dampen(stage)
        if stage in FEEDING:
            self._eat(stage, day, temperature, events)
        if skipped := SKIPS.get((self.box.place, iso)):
            return Look("wall", skipped=skipped)
        depth, usual = USUAL[stage]
        usual = dict(usual)
        if stage == "pairing" and self.species is DICRONORHINA:
            usual["moisture"] = "right"
        found = self._found(stage, usual)
        for e in events:
            found |= dict(e.found)
            if e.depth == "lid" and depth == "wall":
                depth, usual = "lid", usual | LID_TOO.get(stage, {})
        look = Look(depth, note=" ".join(e.note for e in events if e.note and e.first == iso))
        if stage in FEEDING:
            look.read |= self._feed(temperature)
            look.read |= self._fruit(stage, day)
        for reading in [*usual, *(r for r in found if r not in usual)]:
            value = found.get(reading, usual.get(reading, ""))
            plain = usual.get(reading, "").partition("..")[0]
            # What was out of the ordinary last time is typed again, not confirmed.
            if reading not in usual or value not in (usual[reading], plain) or reading in self.odd:
                look.read[reading] = value.partition("..")[0]
            else:
                look.expected[reading] = usual[reading]
        self.odd = {r for r, v in look.read.items() if r in usual and v != usual[r].partition("..")[0]}
        return look

    def _dampen(self, stage: str) -> None:
        if stage == "pairing":
            return
        before = self.moisture
        if before == "dry" and self.chance.happens(0.75):
            self.moisture, self.sprayed = "right", True
        elif before == "wet" and self.chance.happens(0.6):
            self.moisture = "right"
        elif before == "right":
            dry = DRY_TOP if self.box.shelf == 1 else DRY
            wet = WET_AFTER_SPRAY if self.sprayed else WET
            self.sprayed = False
            if stage in ("cell", "resting", "eggs", "wandering"):
                dry, wet = dry / 3, wet / 3  # closed boxes that nobody waters
            if self.chance.happens(dry):
                self.moisture = "dry"
            elif self.chance.happens(wet):
                self.moisture = "wet"

    def _found(self, stage: str, usual: dict[str, str]) -> dict[str, str]:
        found = {}
        if "moisture" in usual and stage != "pairing" and self.moisture != "right":
            found["moisture"] = self.moisture
        if stage in ("holding", "pairing", "quarantine") and self.chance.happens(0.12):
            found["activity"] = "out"
        if stage == "pairing" and self.chance.happens(MATING[self.species.latin]):
            found["mating"] = "yes"
        return found

    def _eat(self, stage: str, day: int, temperature: float, events: list[Event]) -> None:
        if stage == "laying" and day > self.below_until and self.chance.happens(0.07):
            self.below_until = day + self.chance.between(2, 4)
        appetite = 0.0 if stage == "laying" and day <= self.below_until else 1.0
        for e in events:
            appetite *= e.appetite
        if temperature < 21:
            appetite *= 0.6
        if stage == "laying":
            appetite *= 1.3
        eaten = sum(self.eaters(day)) * appetite * max(0.2, 1 + 0.2 * self.chance.normal())
        self.gone_g = min(self.gone_g + eaten + DRIED_G, self.cups * QUARTER_G)
        self.cup_age += 1

    def _feed(self, temperature: float) -> dict[str, str]:
        gone = int(self.gone_g / QUARTER_G + 0.5) - self.told
        self.told += gone
        rows = {"jelly_gone": str(min(gone, 9))}
        if self.cup_age >= (2 if temperature >= 27 else 3) or self.told >= self.cups:
            if self.cups > self.told:
                rows["jelly_out"] = str(self.cups - self.told)
            rows["jelly_in"] = str(self.cups)
            self.cup_age, self.gone_g, self.told = 0, 0.0, 0
        return rows

    def _fruit(self, stage: str, day: int) -> dict[str, str]:
        """Two boxes get a piece of fruit on Mondays; on Wednesdays it is gone."""
        if stage not in ("colony", "holding") or self.box.place not in ("B3-4", "A1-1"):
            return {}
        weekday = date.fromordinal(day).weekday()
        return {0: {"fruit_in": "yes"}, 1: {"fruit_gone": "some"}, 2: {"fruit_gone": "gone"}}.get(weekday, {})
