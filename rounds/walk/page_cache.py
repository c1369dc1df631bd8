"""The books as pages for one walk: what pages ask (rounds.views.sources.Sources), and the pages made.

A page is made when it is first looked at and kept until something is recorded or worked out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeVar

from rounds.husbandry.species import Species
from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.observations import Action, DueNotice, House, Visit
from rounds.records.record import Record
from rounds.records.stops import Stop
from rounds.store import read
from rounds.store.read_visits import last_days
from rounds.views.page import Link, OpenPage, Page
from rounds.views.page_registry import build
from rounds.views.sources import Archive, Gone, Slow, Tell
from rounds.views.words import day
from rounds.walk.background import Behind

if TYPE_CHECKING:
    from rounds.due.kinds import DueWork
    from rounds.walk.house_queries import HouseDesk

T = TypeVar("T")
R = TypeVar("R", bound=Record)
KEPT = 60
"""Pages that are kept: the way back never has to make one again."""


class LookUp:
    """``now`` gives this round's visit of a stop, or None while there is none."""

    def __init__(
        self, desk: HouseDesk, now: Callable[[int], Visit | None], tell: Callable[[], object]
    ) -> None:
        self.desk, self.day, self.kinds = desk, desk.day, desk.kinds
        self._now = now
        self.behind = Behind(desk.book.path, tell)
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
                known = Page("no longer in the books", hint="It was taken back meanwhile; go back a page.")
            if len(self._pages) >= KEPT:
                del self._pages[next(iter(self._pages))]
            self._pages[key] = known
        return known

    def first_row(self, link: Link, stop: int) -> int:
        """The rack opens at the enclosure one stands at; other pages at their first row."""
        if link.kind != "rack" or stop >= self.desk.count():
            return 0
        here = self.desk.stops[stop].enclosure.id
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

    def changed(self, *, books: bool = False) -> None:
        """Something was recorded, or worked out: pages are made again. ``books``: acts were recorded."""
        self._pages.clear()
        self._actions = None
        if books:
            self.behind.forget()

    # What pages ask

    @property
    def ledger(self) -> Ledger:
        return self.desk.acts.ledger

    @property
    def species(self) -> Mapping[str, Species]:
        return self.desk.config.species

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
        from datetime import datetime
        from zoneinfo import ZoneInfo

        local = datetime.fromtimestamp(at_ms / 1000, ZoneInfo(self._house.zone))
        return f"{day(local.toordinal())} {local:%H:%M}"

    @cached_property
    def _house(self) -> House:
        return read.house(self.desk.book)

    def stops(self) -> Sequence[Stop]:
        return self.desk.stops

    def seen(self, enclosure: int, most: int) -> Sequence[Visit]:
        stop = self.desk.by_enclosure.get(enclosure)
        now = None if stop is None else self._now(stop)
        past = read.last_visits(self.desk.book, enclosure, most)
        if now is None:
            return past
        return [*(v for v in past if v.uid != now.uid), now][-most:]

    def last_looks(self) -> Mapping[int, int]:
        if self._looks is None:
            self._looks = last_days(self.desk.book, next(iter(self.desk.visits.values()), None))
        today = {
            s.enclosure.id: self.day
            for i, s in enumerate(self.desk.stops)
            if (v := self._now(i)) and v.looked
        }
        return {**self._looks, **today}

    def actions(self, enclosure: int) -> Sequence[Action]:
        if self._actions is None:
            self._actions = self.desk.watch.every_open()
        return self._actions.get(enclosure, ())

    def dues(self) -> Sequence[tuple[int, DueNotice]]:
        every = [(s.enclosure.id, d) for s in self.desk.stops for d in s.dues]
        return sorted(every, key=lambda row: row[1].planned())  # stable: shelf order within a day

    def works(self) -> Slow:
        desk = self.desk
        if desk.due_works is not None:
            return Slow(desk.due_works)
        if desk.due_work is not None:
            return Slow(None, desk.due_said or "working …")
        ledger = self.ledger
        return self.slow("due", str(self.day), lambda archive, tell: _works(ledger, self.species, self.day))  # noqa: ARG005

    def slow(
        self, name: str, key: str, work: Callable[[Archive, Tell], T], *, of_visits: bool = False
    ) -> Slow:
        return self.behind.ask(name, key, work, of_visits)


def _works(ledger: Ledger, species: Mapping[str, Species], today: int) -> tuple[DueWork, ...]:
    from rounds.due.work import works

    return works(ledger, species, today)
