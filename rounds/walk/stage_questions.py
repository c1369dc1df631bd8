"""What is asked at each stop of the walk, how closely it is looked at, and what may not be looked at."""

from __future__ import annotations

from rounds.husbandry import locks
from rounds.husbandry.readings import Vocabulary
from rounds.husbandry.stages import Depth
from rounds.walk.machine import questions
from rounds.walk.machine.questions import Ask
from rounds.walk.past import Past
from rounds.walk.route import Route
from rounds.walk.rule_monitor import Watch


class StageQuestions:
    """Questions are worked out once for a stop and a depth, and again once :meth:`forget` was told."""

    def __init__(
        self,
        vocabulary: Vocabulary,
        day: int,
        route: Route,
        past: Past,
        watch: Watch,
        *,
        stand_in: bool = False,
    ) -> None:
        self._stand_in = stand_in  # is not asked for what would be an act
        self._vocabulary, self._day = vocabulary, day
        self._route, self._past, self._watch = route, past, watch
        self._asks: dict[tuple[int, Depth], tuple[Ask, ...]] = {}
        self._asks_of_shelf = questions.asks_of_shelf(vocabulary)
        self.times_forgotten = 0

    def starts_at(self, stop: int) -> Depth:
        """How closely the stage is looked at."""
        depth = self._vocabulary.stages[self._route.stops[stop].enclosure.stage].starts_at
        return Depth.WALL if self.withheld(stop, depth) else depth

    def withheld(self, stop: int, depth: Depth) -> str:
        """Why one may not look so closely now ("" when one may)."""
        s = self._route.stops[stop]
        return locks.withheld(s.locks, depth, overridden=self._watch.overrides(s.enclosure.id))

    def asks(self, stop: int, depth: Depth) -> tuple[Ask, ...]:
        """The stage's questions at a depth."""
        known = self._asks.get((stop, depth))
        if known is None:
            s = self._route.stops[stop]
            known = self._asks[(stop, depth)] = questions.asks(
                self._vocabulary,
                s.enclosure.stage,
                s.enclosure.species,
                depth,
                self._past.of(stop),
                self._day,
                self._watch.pressing(s.enclosure.id),
                first_on_shelf=s.first_on_shelf,
                changed=s.enclosure.changed,
                oldest=s.enclosure.company.oldest_since,
                vacated=s.enclosure.vacated,
                young_only=s.enclosure.young_only,
            )
            if self._stand_in:
                known = self._asks[(stop, depth)] = tuple(a for a in known if not a.kind.act)
        return known

    def readings(self, stop: int, depth: Depth) -> frozenset[str]:
        """Ids of the readings that the stage asks at a depth; needs nothing of what was read before."""
        box = self._route.stops[stop].enclosure
        found = questions.readings(
            self._vocabulary, box.stage, depth, vacated=box.vacated, young_only=box.young_only
        )
        kinds = self._vocabulary.kinds
        return frozenset(i for i in found if not (self._stand_in and kinds[i].act))

    def asks_of_shelf(self, stop: int) -> tuple[int, tuple[Ask, ...]]:
        """Which stop is the first of this one's shelf, and what is read once for the shelf."""
        first = self._route.first_on(self._route.stops[stop].shelf)
        return stop if first is None else first, self._asks_of_shelf

    def forget(self, stop: int) -> None:
        """What is asked at a stop may have changed: actions, or its past."""
        self.times_forgotten += 1
        for depth in Depth:
            self._asks.pop((stop, depth), None)
