"""When the animals of a house were laid and may have bred, out of its books.

Only what is recorded counts: without a day an end stays open, and an open end never rules an
animal out as the parent nobody recorded.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rounds.analysis.pedigree.pedigree_table import Life
from rounds.records.ledger import Ledger
from rounds.records.parentage import origins
from rounds.records.tables import Animal, Brood, Content, Enclosure, Pairing
from rounds.values.spans import FIRST, LAST, Span

EGG_DAYS = 60
"""An egg hatches within so many days of being laid (estimate: twice what is usual)."""

GROWN_DAYS = 60
"""No animal is grown sooner after the egg was laid (estimate: well below what any species here takes)."""

YOUNG = ("eggs", "larvae", "wandering", "cell")
"""Stages of an enclosure in which no animal is grown."""


class BookLives:
    """Lives of animals and of broods; where each stands is looked up once."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.left: dict[int, int] = {}
        self.young: set[int] = set()
        self.young_broods: set[int] = set()
        for content in ledger.rows(Content):
            now = content.until is None
            larvae = now and (bool(content.instar) or ledger.row(Enclosure, content.enclosure).stage in YOUNG)
            if content.animal is not None:
                last = LAST if content.until is None else content.until.latest
                self.left[content.animal] = max(last, self.left.get(content.animal, FIRST))
                if larvae:
                    self.young.add(content.animal)
            elif content.brood is not None and larvae:
                self.young_broods.add(content.brood)

    def of_animal(self, animal: Animal) -> Life:
        """The life of an animal with a number."""
        laid_from, laid_to = self._laid(animal.brood)
        grown = [animal.mature, animal.first_feed, animal.emerged, animal.eclosed]
        by = _least(_latest(grown))
        laid_to = _least([laid_to, *_latest([animal.born]), None if by is None else by - GROWN_DAYS])
        if laid_from is None and (born := _earliest([animal.born])):
            laid_from = born[0] - EGG_DAYS
        mature = _earliest(grown)
        young = not mature and animal.id in self.young
        alive_to = None
        if animal.state in ("dead", "gone"):
            died = _latest([animal.died]) or [self.left.get(animal.id, LAST)]
            alive_to = died[0] if died[0] < LAST else None
        outside = animal.lot is not None and animal.brood is None
        mature_from = LAST if young else next(iter(mature), None)
        return Life(laid_from, laid_to, mature_from, alive_to, by, outside, animal.brood is not None)

    def of_brood(self, brood: int) -> Life:
        """The life of a brood's animals that have no numbers."""
        return Life(*self._laid(brood), LAST if brood in self.young_broods else None, bred_here=True)

    def _laid(self, brood: int | None) -> tuple[int | None, int | None]:
        """The first and the last day on which a brood may have been laid."""
        if brood is None:
            return None, None
        first: int | None = None
        last: int | None = None
        for origin in origins(self.ledger, brood):
            last = _least([last, *_latest([origin.found, origin.hatch])])
            if first is None:
                first = self._laid_from(origin)
        return first, last

    def _laid_from(self, brood: Brood) -> int | None:
        if brood.pairing is not None:
            since = _earliest([self.ledger.row(Pairing, brood.pairing).since])
            if since:
                return since[0]
        hatched = _earliest([brood.hatch])
        return hatched[0] - EGG_DAYS if hatched else None


def _earliest(spans: Iterable[Span | None]) -> list[int]:
    """The first day of each span that has one, in their order."""
    return [s.earliest for s in spans if s is not None and s.earliest > FIRST]


def _latest(spans: Iterable[Span | None]) -> list[int]:
    return [s.latest for s in spans if s is not None and s.latest < LAST]


def _least(days: Iterable[int | None]) -> int | None:
    known: Iterator[int] = (d for d in days if d is not None)
    return min(known, default=None)
