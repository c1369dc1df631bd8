"""The books as pages for one walk: what pages ask (rounds.views.sources.Sources), and the pages made.

A page is made when it is first looked at and kept until something is recorded or worked out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeVar

from rounds.config import Config
from rounds.husbandry.species import Species
from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.observations import Action, DueNotice, House, Visit
from rounds.records.record import Record
from rounds.records.stops import Stop
from rounds.store import read
from rounds.store.book import Book
from rounds.store.read_visits import last_days
from rounds.views.page import Link, OpenPage, Page
from rounds.views.page_registry import build
from rounds.views.page_words import day
from rounds.views.sources import Archive, Gone, Slow, Tell
from rounds.walk import walk_sentences
from rounds.walk.background import Behind
from rounds.walk.books import Books
from rounds.walk.round_state import RoundState
from rounds.walk.route import Route
from rounds.walk.rule_monitor import Watch

if TYPE_CHECKING:
    from rounds.due.kinds import DueWork
    from rounds.walk.walk_dues import WalkDues

T = TypeVar("T")
R = TypeVar("R", bound=Record)
KEPT = 60
"""Pages that are kept: the way back never has to make one again."""


class LookUp:
    """``tell`` is called, from a thread, whenever there is something new to show on a page."""

    def __init__(
        self,
        book: Book,
        config: Config,
        *,
        route: Route,
        books: Books,
        watch: Watch,
        dues: WalkDues,
        round_: RoundState,
        tell: Callable[[], object],
    ) -> None:
        self.day, self.kinds, self.species = round_.day, config.vocabulary.kinds, config.species
        self._book, self._route, self._books = book, route, books
        self._watch, self._dues, self._round = watch, dues, round_
        self.behind = Behind(book.path, tell)
        self._pages: dict[tuple[Link, str], Page] = {}
        self._indexes: dict[Column[Any], Mapping[Any, Sequence[Any]]] = {}
        self._once: dict[str, Any] = {}
        self._indexed: Ledger | None = None
        self._looks: dict[int, int] | None = None
        self._saved_up_to = 0
        self._actions: Mapping[int, Sequence[Action]] | None = None

    # Pages

    def page(self, opened: OpenPage) -> Page:
        key = (opened.link, opened.query)
        known = self._pages.get(key)
        if known is None:
            try:
                known = build(opened, self)
            except Gone:
                known = Page(walk_sentences.GONE, hint=walk_sentences.GONE_HINT)
            if len(self._pages) >= KEPT:
                del self._pages[next(iter(self._pages))]
            self._pages[key] = known
        return known

    def first_row(self, link: Link, stop: int) -> int:
        """The rack opens at the enclosure one stands at; other pages at their first row."""
        if link.kind != "rack" or stop >= self._route.count():
            return 0
        here = self._route.enclosure_of(stop)
        at = 0
        for shelf in self.page(OpenPage(link)).shelves:
            for tile in shelf.tiles:
                if tile.enclosure == here:
                    return at
                at += 1
        return 0

    def saved(self, up_to: int) -> None:
        """So many keys' entries are committed: what was looked up in the visits may lack the newest."""
        if up_to != self._saved_up_to:
            self._saved_up_to = up_to
            self.behind.forget_visits()

    def visits_changed(self) -> None:
        """Somebody else's visits came: what follows from any is worked out anew."""
        self._looks = None
        self.behind.forget_visits()
        self._pages.clear()

    def changed(self, *, books: bool = False) -> None:
        """Something was recorded, or worked out: pages are made again. ``books``: acts were recorded."""
        self._pages.clear()
        self._actions = None
        if books:
            self.behind.forget()

    # What pages ask

    @property
    def ledger(self) -> Ledger:
        return self._books.ledger

    def index(self, of: type[R], column: Column[T]) -> Mapping[T, Sequence[R]]:
        ledger = self._fresh()
        known = self._indexes.get(column)
        if known is None:
            made: dict[T, list[R]] = {}
            for record in ledger.rows(of):
                made.setdefault(record.value(column), []).append(record)
            known = self._indexes[column] = made
        return known

    def once(self, name: str, make: Callable[[], T]) -> T:
        self._fresh()
        if name not in self._once:
            self._once[name] = make()
        made: T = self._once[name]
        return made

    def _fresh(self) -> Ledger:
        """The books; what was made of an earlier state of them is forgotten."""
        ledger = self.ledger
        if self._indexed is not ledger:
            self._indexed = ledger
            self._indexes.clear()
            self._once.clear()
        return ledger

    def moment(self, at_ms: int) -> str:
        from zoneinfo import ZoneInfo

        local = datetime.fromtimestamp(at_ms / 1000, ZoneInfo(self._house.zone))
        return f"{day(local.toordinal())} {local:%H:%M}"

    @cached_property
    def _house(self) -> House:
        return read.house(self._book)

    def stops(self) -> Sequence[Stop]:
        return self._route.stops

    def seen(self, enclosure: int, most: int) -> Sequence[Visit]:
        stop = self._route.stop_of(enclosure)
        now = None if stop is None else self._now(stop)
        past = read.last_visits(self._book, enclosure, most)
        if now is None:
            return past
        return [*(v for v in past if v.uid != now.uid), now][-most:]

    def last_looks(self) -> Mapping[int, int]:
        if self._looks is None:
            self._looks = last_days(self._book, next(iter(self._round.visits.values()), None))
        today = {
            s.enclosure.id: self.day
            for i, s in enumerate(self._route.stops)
            if (v := self._now(i)) and v.looked
        }
        return {**self._looks, **today}

    def actions(self, enclosure: int) -> Sequence[Action]:
        if self._actions is None:
            self._actions = self._watch.every_open()
        found = self._actions.get(enclosure, ())
        at = self._route.stop_of(enclosure) if found else None
        if at is None:
            return found
        stop = self._route.stops[at]
        return [self._watch.as_told(a, stop.enclosure.stage, likely_cell=stop.likely_cell) for a in found]

    def sets_locks_aside(self, enclosure: int) -> bool:
        return self._watch.overrides(enclosure)

    def dues(self) -> Sequence[tuple[int, DueNotice]]:
        every = [(s.enclosure.id, d) for s in self._route.stops for d in s.dues]
        return sorted(every, key=lambda row: row[1].planned())  # stable: shelf order within a day

    def works(self) -> Slow:
        dues = self._dues
        if dues.works is not None:
            return Slow(dues.works)
        if dues.finder is not None:
            return Slow(None, dues.said or walk_sentences.WORKING)
        ledger = self.ledger
        return self.slow("due", str(self.day), lambda archive, tell: _works(ledger, self.species, self.day))  # noqa: ARG005

    def slow(
        self, name: str, key: str, work: Callable[[Archive, Tell], T], *, of_visits: bool = False
    ) -> Slow:
        return self.behind.ask(name, key, work, of_visits=of_visits)

    def _now(self, stop: int) -> Visit | None:
        """This round's visit of a stop, None while there is none."""
        return self._round.visit_at(stop) if stop in self._round.visits else None


def _works(ledger: Ledger, species: Mapping[str, Species], today: int) -> tuple[DueWork, ...]:
    from rounds.analysis.pairing.plans_again import PlansRemembered
    from rounds.due.planned_pairings import open_plans
    from rounds.due.work import works

    return works(ledger, species, today, PlansRemembered()(ledger, open_plans(ledger)))
