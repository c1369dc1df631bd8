"""The stops of a walk in the order they are walked, and how each is found."""

from __future__ import annotations

from rounds.husbandry import locks
from rounds.husbandry.locks import ActiveLock
from rounds.records.stops import DUE_AHEAD, Stop
from rounds.store import read
from rounds.store.book import Book


class Route:
    """``stops`` follow the books: an act of the walk puts a stop anew, and its place stays."""

    def __init__(self, stops: list[Stop]) -> None:
        self.stops = stops
        self.times_put = 0
        self.by_enclosure = {s.enclosure.id: i for i, s in enumerate(stops)}
        self._numbers = {s.enclosure.number: i for i, s in enumerate(stops)}
        self._codes = {s.enclosure.code.casefold(): i for i, s in enumerate(stops)}
        self._shelf_first = {s.shelf: i for i, s in enumerate(stops) if s.first_on_shelf}

    def count(self) -> int:
        return len(self.stops)

    def put(self, at: int, stop: Stop) -> None:
        """A stop as it is now."""
        self.times_put += 1
        self.stops[at] = stop

    @property
    def lived_in(self) -> bool:
        """Is any box of the walk more than an empty one?"""
        return any(s.enclosure.stage != "empty" for s in self.stops)

    def find(self, text: str) -> int | None:
        """The stop with this short number or code."""
        found = self._numbers.get(int(text)) if text.isdecimal() else None
        return self._codes.get(text.casefold()) if found is None else found

    def stop_of(self, enclosure: int) -> int | None:
        """The stop of an enclosure, None when it is not on this walk."""
        return self.by_enclosure.get(enclosure)

    def enclosure_of(self, stop: int) -> int:
        """The id of the enclosure at a stop."""
        return self.stops[stop].enclosure.id

    def label(self, stop: int) -> str:
        """The stop's code."""
        return self.stops[stop].enclosure.code

    def first_on(self, shelf: str) -> int | None:
        """The stop at which a shelf's own readings are asked, None for a shelf without one."""
        return self._shelf_first.get(shelf)


def read_route(book: Book, day: int, bays: tuple[str, ...]) -> Route:
    """The enclosures of these bays (of all, when none is named) as the book has them on ``day``."""
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
        alone = mine is None and not e.vacated
        in_force = (
            usual.get(e.stage) if alone else locks.in_force(e.stage, mine or (), day, vacated=e.vacated)
        )
        if in_force is None:
            in_force = usual[e.stage] = locks.in_force(e.stage, (), day)
        out.append(Stop(e, in_force, tuple(dues.get(e.id, ())), first))
    return Route(out)
