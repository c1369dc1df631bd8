"""How long stages of the house's own animals lasted: what a forecast of the next one learns from."""

from __future__ import annotations

import math
from collections.abc import Iterable

from rounds.analysis.forecast.outlook import StageEvidence
from rounds.analysis.forecast.stage_length import LengthSeen, from_lengths
from rounds.husbandry.species import OWN_RECORDS, SpeciesRange
from rounds.named_tuple import NamedTuple
from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Brood, Content, Line
from rounds.values.spans import FIRST, LAST, Span

MOST_BROODS = 30
"""The newest other broods that count; older ones lived in another house, so to say."""
MOST_WAITING = 40
ENOUGH_BROODS, ENOUGH_ENDED = 3, 8
"""Broods, and animals in them whose stage was seen to end, from which a house forecasts without a species file."""


class StageOfLife(NamedTuple):
    """From one day of an animal's life to another; later days bound an end that nobody noted."""

    begin: tuple[Column[Span | None]]
    ends: tuple[Column[Span | None], ...]


TO_WANDERING = StageOfLife((Animal.born,), (Animal.wandering, Animal.cell, Animal.eclosed, Animal.emerged))
UP_FROM_WANDERING = StageOfLife((Animal.wandering,), (Animal.emerged, Animal.first_feed))
UP_FROM_CELL = StageOfLife((Animal.cell,), (Animal.emerged, Animal.first_feed))
UP_FROM_REST = StageOfLife((Animal.eclosed,), (Animal.emerged, Animal.first_feed))


class StageLengths:
    """Lengths of stages by brood, sorted when they are first asked for."""

    def __init__(self, ledger: Ledger, today: int) -> None:
        self.ledger, self.today = ledger, today
        self._ended: dict[StageOfLife, dict[str, dict[int, list[LengthSeen]]]] = {}
        self._waiting: dict[int, int] | None = None

    def evidence(self, stage: StageOfLife, species: str, brood: int | None, since: Span) -> StageEvidence:
        """What sibs and the species' other broods of this house say; ``since``: when this one's stage began."""
        broods = self._of_species(stage, species)
        mine = broods.get(brood, []) if brood is not None else []
        waiting = self.waiting(brood) if brood is not None and (mine or stage is TO_WANDERING) else 0
        over = float(max(self.today - since.latest, 0))
        # One of those that wait is the one asked about; without a sib that has gone on they say little.
        still = [LengthSeen(over, math.inf)] * min(max(waiting - 1, 0), MOST_WAITING) if mine else []
        others = [tuple(some) for id_, some in sorted(broods.items()) if id_ != brood]
        return StageEvidence((*mine, *still), tuple(others[-MOST_BROODS:]))

    def own_range(self, stage: StageOfLife, species: str) -> SpeciesRange | None:
        """The usual range of a stage by this house's own records alone; None while too few have finished it."""
        broods = list(self._of_species(stage, species).values())
        found = from_lengths(broods[-MOST_BROODS:], ENOUGH_BROODS, ENOUGH_ENDED)
        if found is None:
            return None
        low, likely, high = found.usual
        return SpeciesRange(round(low, 1), round(high, 1), round(likely, 1), OWN_RECORDS)

    def waiting(self, brood: int) -> int:
        """How many of a brood are larvae still, as far as they were counted."""
        if self._waiting is None:
            self._waiting = {}
            for content in self.ledger.rows(Content, Content.until.is_(None)):
                of, heads = content.brood, max(content.total, 1)
                if content.animal is not None:
                    animal = self.ledger.row(Animal, content.animal)
                    if _first(animal, TO_WANDERING.ends) is not None:
                        continue
                    of, heads = animal.brood, 1
                if of is not None and content.instar != "eggs":
                    self._waiting[of] = self._waiting.get(of, 0) + heads
        return self._waiting.get(brood, 0)

    def _of_species(self, stage: StageOfLife, species: str) -> dict[int, list[LengthSeen]]:
        if stage not in self._ended:
            self._ended[stage] = self._sorted(stage)
        return self._ended[stage].get(species, {})

    def _sorted(self, stage: StageOfLife) -> dict[str, dict[int, list[LengthSeen]]]:
        out: dict[str, dict[int, list[LengthSeen]]] = {}
        for animal in self.ledger.rows(Animal):
            if animal.brood is None:
                continue
            begin = animal.value(stage.begin[0])
            if begin is None and stage.begin[0] is Animal.born:
                begin = self.ledger.row(Brood, animal.brood).hatch
            length = _length(begin, animal, stage)
            if length is not None:
                species = self.ledger.row(Line, animal.line).species
                out.setdefault(species, {}).setdefault(animal.brood, []).append(length)
        return out


def _length(begin: Span | None, animal: Animal, stage: StageOfLife) -> LengthSeen | None:
    """The stage's length in days; None where it is not known on both sides."""
    found = _first(animal, stage.ends)
    if begin is None or found is None or begin.earliest <= FIRST or begin.latest >= LAST:
        return None
    end, exact = found
    low = float(end.earliest - begin.latest) if exact and end.earliest > FIRST else 0.0
    high = float(end.latest - begin.earliest)
    if end.latest >= LAST or high <= 0:
        return None
    low = max(low - 0.5, 0.5)  # a day is seen as a whole
    return LengthSeen(low, max(high + 0.5, low + 1), animal.sex)


def _first(animal: Animal, ends: Iterable[Column[Span | None]]) -> tuple[Span, bool] | None:
    """The earliest of these days that was noted, and whether it is the end itself and no later day."""
    for n, column in enumerate(ends):
        day = animal.value(column)
        if day is not None and not day.unknown:
            return day, n == 0
    return None
