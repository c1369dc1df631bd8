"""How a round stands: what was seen and what was not, what the rules say of it, what to carry.

Everything the screen asks of a round, from what is held in memory; recording is
:class:`rounds.walk.recorder.Recorder`'s.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from typing import Any

from rounds.config import Config
from rounds.records.entries import AS_EXPECTED, NOTE, SKIPPED
from rounds.records.observations import NOTHING, Action, Flag, Visit
from rounds.records.round_summary import Carry, Need, carried, urgency
from rounds.rules.scene import Scene
from rounds.store import read
from rounds.store.book import Book
from rounds.walk.machine.state import State, VisitDraft
from rounds.walk.machine.steps import depth_of
from rounds.walk.past import Past
from rounds.walk.route import Route
from rounds.walk.rule_monitor import Watch
from rounds.walk.stage_questions import StageQuestions
from rounds.walk.walk_dues import WalkDues

CARRY_DAYS = 15  # the past that carry rules are given for enclosures whose own is not at hand
AT_ONCE = 100
"""Enclosures whose past is read together for the carry list."""


class RoundState:
    """A round as it is: the machine's state over the house, and what follows from both.

    ``uid`` is its id, ``opened`` whether the book has it; ``visits`` are its own by stop, and
    ``visited`` is how many the book has of it.
    """

    def __init__(
        self,
        book: Book,
        config: Config,
        *,
        day: int,
        keeper: str,
        clock: Callable[[], int],
        route: Route,
        past: Past,
        visits: dict[int, bytes],
        questions: StageQuestions,
        watch: Watch,
        dues: WalkDues,
    ) -> None:
        self.day, self.keeper, self.clock, self.visits = day, keeper, clock, visits
        self.uid, self.opened, self.visited = b"", False, 0
        self.state = State()
        self._book, self._route, self._past = book, route, past
        self._questions, self._watch, self._dues = questions, watch, dues
        self._previews: dict[int, tuple[Flag, ...]] = {}
        self._wanted: dict[int, tuple[Need, ...]] = {}  # what the next round is to bring, by stop
        self._presets = lambda: config.species
        self._vocabulary = config.vocabulary
        self._shelf_kinds = frozenset(config.vocabulary.every_shelf)
        # Kept up key by key, so that a key costs the same in a house of sixty and of a thousand.
        self._looked: set[int] = set()
        self._for_shelf: set[int] = set()

    def say(self, message: str) -> None:
        """Show a message that no key brought about."""
        self.state = self.state._replace(message=message)

    def drop_steps(self, seqs: Collection[int]) -> None:
        """Nobody takes these steps back any more."""
        left = tuple(step for step in self.state.steps if step.seq not in seqs)
        self.state = self.state._replace(steps=left)

    def take_stock(self) -> None:
        """Count anew what this round has seen: its looks were read from the book."""
        self._looked = {i for i in self.state.looks if self.looked(i)}
        self._for_shelf = {
            i for i, look in self.state.looks.items() if not self._shelf_kinds.isdisjoint(look.cells)
        }

    def note_put(self, stop: int, kind: str) -> None:
        """A cell of this round's visit was put: keep count."""
        self._wanted.pop(stop, None)
        (self._looked.add if self.looked(stop) else self._looked.discard)(stop)
        if kind in self._shelf_kinds:
            self._for_shelf.add(stop)
            self._previews.clear()  # they may rest on what is read once for a shelf
            self._wanted.clear()

    def ask_again(self, stop: int) -> None:
        """What is asked at a stop, and what follows from it, may have changed: actions, or its past."""
        self._questions.forget(stop)
        self._previews.pop(stop, None)
        self._wanted.pop(stop, None)

    def listed(self) -> tuple[tuple[int, Action | None], ...]:
        """The summary's rows: open actions by urgency, then what was not seen, each in shelf order."""
        open_ = [(i, a) for i, s in enumerate(self._route.stops) for a in self._watch.open_at(s.enclosure.id)]
        open_.sort(key=lambda row: urgency(row[1]))
        return (*open_, *((i, None) for i in self.unseen()))

    def looked(self, stop: int) -> bool:
        """Whether this round has seen the enclosure (a skip is not a look)."""
        cells = self.state.looks.get(stop, VisitDraft()).cells
        return any(v is not None for k, v in cells.items() if k != SKIPPED)

    @property
    def seen_count(self) -> int:
        """How many enclosures this round has seen."""
        return len(self._looked)

    def skipped(self, stop: int) -> str:
        """The reason key of a skip, or nothing."""
        return str(self.state.looks.get(stop, VisitDraft()).cells.get(SKIPPED) or "")

    def unseen(self) -> tuple[int, ...]:
        return tuple(
            i for i, s in enumerate(self._route.stops) if s.enclosure.stage != "empty" and not self.looked(i)
        )

    def passed_over(self, stop: int) -> bool:
        """Is it an empty box at which nothing is open? In a house where nobody lives yet, none is passed over."""
        box = self._route.stops[stop].enclosure
        return box.stage == "empty" and not self._watch.open_at(box.id) and self._route.lived_in

    def empty_boxes(self) -> tuple[str, ...]:
        """The codes of the boxes that were passed over, in shelf order."""
        stops = range(self._route.count())
        return tuple(self._route.label(i) for i in stops if self.passed_over(i) and not self.looked(i))

    @property
    def over(self) -> bool:
        """Whether the walk stands at its end, past the last enclosure."""
        return self.state.at >= self._route.count()

    def flags(self, stop: int) -> tuple[Flag, ...]:
        """Flags of this round's visit; before it has one, what stands as things are."""
        s = self._route.stops[stop]
        if stop in self.visits:
            return self._watch.flags_at(s.enclosure.id)
        known = self._previews.get(stop)
        if known is None:
            known = self._previews[stop] = self._watch.preview(self.scene(stop), s.locks)
        return known

    def carry(self) -> tuple[Carry, ...]:
        """What to bring on the next round: for the carry rules over every enclosure, set-ups, and due work.

        What each enclosure wants is kept until something changes there, its past is not: it is
        read for many enclosures at once, a fortnight of it and the last food given before, and let go.
        """
        from rounds.walk.due_background import added  # no start needs them
        from rounds.walk.last_given import with_last_given

        stops = self._route.stops
        lacking = [i for i in range(len(stops)) if i not in self._wanted]
        for at in range(0, len(lacking), AT_ONCE):
            some = lacking[at : at + AT_ONCE]
            without = [stops[i].enclosure.id for i in some if i not in self._past.at_hand]
            recent = read.history(self._book, since_day=self.day - CARRY_DAYS, enclosures=without)
            own = {self.visits[i] for i in some if i in self.visits}
            for id_, visits in recent.items():
                recent[id_] = [v for v in visits if v.uid not in own]
            recent |= {stops[i].enclosure.id: self._past.at_hand[i] for i in some if i in self._past.at_hand}
            boxes = [stops[i].enclosure for i in some]
            past = with_last_given(self._book, self._watch, boxes, recent, self.day, own)
            for i, box in zip(some, boxes, strict=True):
                unasked = self._vocabulary.unasked(vacated=box.vacated, young_only=box.young_only)
                self._wanted[i] = self._watch.bring(self._scene(i, past[box.id]), stops[i].locks, unasked)

        wanted = {s.enclosure.id: self._wanted[i] for i, s in enumerate(stops)}
        return carried([s.enclosure for s in stops], self._dues.carry, added(wanted, self._dues.needs))

    def scene(self, stop: int) -> Scene:
        """What rules see of the enclosure now, with this round's visit last once there is one."""
        return self._scene(stop, self._past.of(stop))

    def _scene(self, stop: int, past: list[Visit]) -> Scene:
        s = self._route.stops[stop]
        present = stop in self.visits
        visits = [*past, self.visit_at(stop)] if present else past
        return Scene(
            s.enclosure, visits, self.day, self.clock(), self._shelf(s.shelf), present, self._presets
        )

    def visit_at(self, stop: int) -> Visit:
        """This round's visit of a stop as a record."""
        cells = {k: v for k, v in self.state.looks.get(stop, VisitDraft()).cells.items() if v is not None}
        confirmed = cells.pop(AS_EXPECTED, None)
        note, skipped = cells.pop(NOTE, ""), cells.pop(SKIPPED, "")
        s = self._route.stops[stop]
        return Visit(
            uid=self.visits.get(stop, b""),
            enclosure=s.enclosure.id,
            day=self.day,
            at_ms=self.clock(),
            read={k: v for k, v in cells.items() if not isinstance(v, Mapping)},
            confirmed=_ranges(confirmed) if isinstance(confirmed, Mapping) else NOTHING,
            depth=int(depth_of(self.state, self._questions, stop)),
            skipped=str(skipped),
            note=str(note),
            keeper=self.keeper,
            shelf=s.shelf,
        )

    def _shelf(self, shelf: str) -> list[Visit]:
        stops = self._route.stops
        today = [self.visit_at(i) for i in sorted(self._for_shelf) if shelf and stops[i].shelf == shelf]
        return [
            *self._past.visits_of_shelf(shelf),
            *(v for v in today if not self._shelf_kinds.isdisjoint(v.read)),
        ]


def _ranges(confirmed: Mapping[str, Any]) -> dict[str, Any]:
    return {k: tuple(v) if isinstance(v, list) else v for k, v in confirmed.items()}
