"""What a walk knows of the house: its stops, their past, what is asked and withheld there.

Read from the book when the walk opens, and an enclosure's past only when the walk first
comes by: a start must not cost more in a house with five years of visits.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from rounds.acts.offer import Offer
from rounds.config import Config
from rounds.husbandry import locks
from rounds.husbandry.locks import ActiveLock
from rounds.husbandry.stages import Depth
from rounds.records.entries import NOTE, Cell
from rounds.records.observations import Action, DueNotice, Visit
from rounds.records.round_summary import NO_NEEDS, Need
from rounds.records.stops import DUE_AHEAD, Stop
from rounds.store import read
from rounds.store.book import Book
from rounds.walk.machine import questions
from rounds.walk.machine.questions import Ask
from rounds.walk.machine.state import Drafted, Earlier
from rounds.walk.rule_monitor import Watch

if TYPE_CHECKING:
    from rounds.acts import checklists
    from rounds.due.kinds import DueWork
    from rounds.walk.act_queries import ActDesk
    from rounds.walk.due_background import DueWorkFinder

HISTORY_VISITS = 40
"""Earlier visits of an enclosure that rules and ranges may look back on."""

KEPT_PASTS = 64
"""Enclosures whose past is kept at hand: a house has a thousand, and a walk looks at one."""


class HouseDesk:
    """Answers what the machine asks of the house (rounds.walk.machine.state.Desk)."""

    def __init__(
        self, book: Book, config: Config, day: int, bays: tuple[str, ...], new_id: Callable[[], bytes]
    ) -> None:
        self.book, self.config, self.day = book, config, day
        self.commands, self.kinds = config.commands, config.vocabulary.kinds
        self.skips, self.put_offs = config.vocabulary.skips, config.vocabulary.put_offs
        self.stops = _stops(book, day, bays)
        self.by_enclosure = {s.enclosure.id: i for i, s in enumerate(self.stops)}
        self._numbers = {s.enclosure.number: i for i, s in enumerate(self.stops)}
        self._codes = {s.enclosure.code.casefold(): i for i, s in enumerate(self.stops)}
        self.watch = Watch(config.rules, day, config.fingerprint, new_id, read.known_actions(book, day))
        self.visits: dict[int, bytes] = {}  # this round's, by stop
        self._history: dict[int, list[Visit]] = {}
        self._asks: dict[tuple[int, Depth], tuple[Ask, ...]] = {}
        self._shelf_first = {s.shelf: i for i, s in enumerate(self.stops) if s.first_on_shelf}
        self._of_shelf = questions.of_shelf(config.vocabulary)
        self._shelf_past: dict[str, list[Visit]] = {}
        self.due_work: DueWorkFinder | None = None
        self.due_carry: Mapping[int, Mapping[str, float]] = {}
        self.due_needs: Mapping[int, Sequence[Need]] = NO_NEEDS
        self.due_works: tuple[DueWork, ...] | None = None  # all of it, however far ahead; None: not there yet
        self._due_said = ""

    @cached_property
    def acts(self) -> ActDesk:
        """The books, read when they are first needed: starting must not pay for them."""
        from rounds.walk.act_queries import ActDesk

        return ActDesk(self.book, self.config, self.day)

    def count(self) -> int:
        return len(self.stops)

    def find(self, text: str) -> int | None:
        found = self._numbers.get(int(text)) if text.isdecimal() else None
        return self._codes.get(text.casefold()) if found is None else found

    def enclosure_of(self, stop: int) -> int:
        return self.stops[stop].enclosure.id

    def stop_of(self, enclosure: int) -> int | None:
        return self.by_enclosure.get(enclosure)

    def label(self, stop: int) -> str:
        return self.stops[stop].enclosure.code

    def starts_at(self, stop: int) -> Depth:
        depth = self.config.vocabulary.stages[self.stops[stop].enclosure.stage].starts_at
        return Depth.WALL if self.withheld(stop, depth) else depth

    def asks(self, stop: int, depth: Depth) -> tuple[Ask, ...]:
        known = self._asks.get((stop, depth))
        if known is None:
            s = self.stops[stop]
            known = self._asks[(stop, depth)] = questions.asks(
                self.config.vocabulary,
                s.enclosure.stage,
                s.enclosure.species,
                depth,
                self.history(stop),
                self.day,
                self.watch.pressing(s.enclosure.id),
                first_on_shelf=s.first_on_shelf,
                changed=s.enclosure.changed,
                oldest=s.enclosure.company.oldest_since,
            )
        return known

    def of_shelf(self, stop: int) -> tuple[int, tuple[Ask, ...]]:
        return self._shelf_first.get(self.stops[stop].shelf, stop), self._of_shelf

    def withheld(self, stop: int, depth: Depth) -> str:
        s = self.stops[stop]
        return locks.withheld(s.locks, depth, overridden=self.watch.overrides(s.enclosure.id))

    def earlier(self, stop: int) -> tuple[Earlier, ...]:
        return tuple(
            Earlier(v.uid, v.day, {**v.read, **({NOTE: v.note} if v.note else {})})
            for v in reversed(self.history(stop)[-3:])
        )

    def actions(self, stop: int) -> tuple[Action, ...]:
        return self.watch.open_at(self.stops[stop].enclosure.id)

    def offers(self, stop: int) -> tuple[Offer, ...]:
        return self.acts.offers(self.stops[stop].enclosure.id) if stop < len(self.stops) else ()

    def draft(
        self,
        stop: int,  # noqa: ARG002
        act: str,
        whom: str,
        typed: tuple[tuple[str, str], ...],
        *,
        sure: bool,
    ) -> Drafted:
        return self.acts.draft(act, whom, dict(typed), sure)

    def begun(self, stop: int) -> tuple[checklists.Begun, ...]:
        """Checklists begun at a stop, once the books have been read; reading them is not waited for."""
        return self.acts.begun(self.stops[stop].enclosure.id) if self.acts_read else ()

    @property
    def acts_read(self) -> bool:
        """Whether the books are at hand."""
        return "acts" in self.__dict__ and self.acts.read

    def history(self, stop: int) -> list[Visit]:
        """Visits before this round's, oldest first."""
        known = self._history.get(stop)
        if known is None:
            visits = read.last_visits(self.book, self.stops[stop].enclosure.id, HISTORY_VISITS)
            mine = self.visits.get(stop)
            known = self._history[stop] = [v for v in visits if v.uid != mine]
        return known

    def let_go(self, around: int) -> None:
        """Forget the past of enclosures far from a stop; it is read again when the walk comes by.

        Only while nothing waits to be saved: what was corrected is then in the book.
        """
        if len(self._history) <= KEPT_PASTS:
            return
        far = sorted(self._history, key=lambda i: abs(i - around))[KEPT_PASTS // 2 :]
        for stop in far:
            del self._history[stop]
            for depth in Depth:
                self._asks.pop((stop, depth), None)

    def shelf_past(self, shelf: str) -> list[Visit]:
        """Earlier visits at which the shelf's own readings were taken.

        They are asked at the shelf's first enclosure, so its history is enough, and the next
        one's for each that was skipped at times; going through every visit of the house would
        cost more than all else at an enclosure.
        """
        known = self._shelf_past.get(shelf)
        if known is None:
            wanted = self.config.vocabulary.every_shelf
            known, at = [], self._shelf_first.get(shelf, len(self.stops))
            while at < len(self.stops) and self.stops[at].shelf == shelf:
                visits = self.history(at)
                known += [v for v in visits if v.shelf == shelf and any(k in v.read for k in wanted)]
                if not any(v.skipped for v in visits):
                    break
                at += 1
            known.sort(key=lambda v: v.at_ms)
            self._shelf_past[shelf] = known
        return known

    def correct(self, stop: int, visit: bytes, kind: str, after: Cell) -> None:
        """An earlier visit was corrected: what is derived from the past follows at once."""
        past = self.history(stop)
        for i, v in enumerate(past):
            if v.uid == visit and kind == NOTE:
                past[i] = v._replace(note=str(after or ""))
            elif v.uid == visit:
                kept = dict(v.read)  # in its order: the rows of a visit do not jump while it is corrected
                if after is None or isinstance(after, Mapping):
                    kept.pop(kind, None)
                else:
                    kept[kind] = after
                past[i] = v._replace(read=kept)
        self.ask_again(stop)

    def refresh(self, enclosures: Iterable[int]) -> None:
        """Take what an act changed about these enclosures from the books."""
        for id_ in enclosures:
            stop = self.by_enclosure.get(id_)
            if stop is not None:
                self.stops[stop] = self.acts.stop(id_, self.stops[stop])
                self.ask_again(stop)
                if self.due_works is not None:
                    others = [w for w in self.due_works if w.enclosure != id_]
                    self.due_works = (*others, *self.acts.works(id_))
        if self.due_work is not None:
            self.due_work.ask(self.acts.ledger)  # what hangs together with it elsewhere, and what to carry

    # Due work: see rounds.walk.due_background. It changes what is shown, never what a key does.

    def find_dues(self, tell: Callable[[], object]) -> None:
        """Begin to work out all due work; ``tell`` is called, from a thread, whenever there is some to take."""
        from rounds.walk.due_background import DueWorkFinder

        self.due_work = DueWorkFinder(self.book.path, self.config, self.day, self.day + DUE_AHEAD, tell)
        read = "acts" in self.__dict__ and self.acts.read
        self.due_work.ask(self.acts.ledger if read else None)

    def take_dues(self) -> None:
        """Show the due work that was worked out meanwhile, if there is any."""
        found = self.due_work.take() if self.due_work is not None else None
        if found is None:
            return
        if self.config.presets.banner and not self.config.banner:
            self.config = self.config._replace(banner=self.config.presets.banner)
        self._due_said = found.said
        if found.ledger is None:
            return
        self.acts.adopt(found.ledger)
        self.due_carry, self.due_works, self.due_needs = found.carry, found.works, found.needs
        for i, s in enumerate(self.stops):
            mine = found.dues.get(s.enclosure.id, ())
            if mine != s.dues:
                self.stops[i] = s._replace(dues=mine)

    @property
    def due_said(self) -> str:
        """Why only the work that the book holds is shown ("" when all of it is, or is not there yet)."""
        return self._due_said or (self.acts.said if "acts" in self.__dict__ else "")

    def undone(self) -> list[tuple[int, DueNotice]]:
        """Work that was due and not done, nor put off: the stop, and the work there, the soonest to end first."""
        found = [(i, d) for i, s in enumerate(self.stops) for d in s.dues if d.planned() <= self.day]
        return sorted(found, key=lambda row: row[1].window.latest)

    def ask_again(self, stop: int) -> None:
        """What is asked at a stop may have changed: actions, or its past."""
        for depth in Depth:
            self._asks.pop((stop, depth), None)


def _stops(book: Book, day: int, bays: tuple[str, ...]) -> list[Stop]:
    held, dues = read.locks(book, day), read.dues(book, day + DUE_AHEAD)  # until all of it is worked out
    out: list[Stop] = []
    shelves: set[str] = set()
    usual: dict[str, tuple[ActiveLock, ...]] = {}  # by stage, where no lock was set
    for e in read.enclosures(book, bays):
        shelf = e.place.shelf_name if e.place else ""
        first = bool(shelf) and shelf not in shelves and e.stage != "empty"
        if first:
            shelves.add(shelf)
        mine = held.get(e.id)
        in_force = usual.get(e.stage) if mine is None else locks.in_force(e.stage, mine, day)
        if in_force is None:
            in_force = usual[e.stage] = locks.in_force(e.stage, (), day)
        out.append(Stop(e, in_force, tuple(dues.get(e.id, ())), first))
    return out
