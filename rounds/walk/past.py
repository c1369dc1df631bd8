"""Earlier visits of the walk's stops, an enclosure's only when the walk first comes by.

A start must not cost more in a house with five years of visits.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from rounds.records.entries import AS_EXPECTED, NOTE, SKIPPED, Cell
from rounds.records.observations import NOTHING, Visit
from rounds.store import read
from rounds.store.book import Book
from rounds.walk.machine.state import Earlier
from rounds.walk.route import Route

HISTORY_VISITS = 40
"""Earlier visits of an enclosure that rules and ranges may look back on."""

SHELF_DAYS = 15
"""Earlier days on which a shelf's own readings may be looked back on: rules ask for the last three."""

KEPT_PASTS = 64
"""Enclosures whose past is kept at hand: a house has a thousand, and a walk looks at one."""


class Past:
    """``visits`` are this round's own by stop, which are no past; ``shelf_kinds`` the readings of a shelf."""

    def __init__(
        self, book: Book, route: Route, visits: Mapping[int, bytes], shelf_kinds: Collection[str], day: int
    ) -> None:
        self._book, self._route, self._visits, self._day = book, route, visits, day
        self._shelf_kinds = tuple(shelf_kinds)
        self.at_hand: dict[int, list[Visit]] = {}
        self._by_shelf: dict[str, list[Visit]] = {}

    def of(self, stop: int) -> list[Visit]:
        """Visits before this round's, oldest first."""
        known = self.at_hand.get(stop)
        if known is None:
            visits = read.last_visits(self._book, self._route.enclosure_of(stop), HISTORY_VISITS)
            mine = self._visits.get(stop)
            known = self.at_hand[stop] = [v for v in visits if v.uid != mine]
        return known

    def earlier(self, stop: int) -> tuple[Earlier, ...]:
        """The last three visits before this round, newest first."""
        return tuple(
            Earlier(v.uid, v.day, {**v.read, **({NOTE: v.note} if v.note else {})})
            for v in reversed(self.of(stop)[-3:])
        )

    def visits_of_shelf(self, shelf: str) -> list[Visit]:
        """Visits of the days before at which the shelf's own readings were taken, oldest first.

        They can be taken at any of its enclosures. The enclosures that stand there now are asked, and
        few days: going through every visit of the house would cost more than all else at an enclosure.
        """
        known = self._by_shelf.get(shelf)
        if known is None:
            here = [s.enclosure.id for s in self._route.stops if s.shelf == shelf] if shelf else []
            since = self._day - SHELF_DAYS
            found = read.shelf_history(self._book, self._shelf_kinds, since, here) if here else {}
            mine = set(self._visits.values())
            known = self._by_shelf[shelf] = [v for v in found.get(shelf, []) if v.uid not in mine]
        return known

    def of_its_shelf(self, visit: Visit) -> Visit:
        """The visit of that day at which the readings of a visit's shelf were taken; itself where it has them."""
        if not visit.shelf or any(k in visit.read for k in self._shelf_kinds):
            return visit
        taken = (v for v in reversed(self.visits_of_shelf(visit.shelf)) if v.day == visit.day)
        return next(taken, visit)

    def forget(self, stop: int) -> None:
        """It was added to or corrected by somebody else: it is read again when it is next wanted."""
        self.at_hand.pop(stop, None)
        self._by_shelf.pop(self._route.stops[stop].shelf, None)

    def correct(self, stop: int, visit: bytes, kind: str, after: Cell) -> None:
        """An earlier visit was corrected."""
        past = self.of(stop)
        for i, v in enumerate(past):
            if v.uid == visit:
                past[i] = v = _corrected(v, kind, after)
                if kind in self._shelf_kinds and v.shelf:
                    others = (o for o in self.visits_of_shelf(v.shelf) if o.uid != visit)
                    self._by_shelf[v.shelf] = sorted((*others, v), key=lambda o: (o.day, o.at_ms))

    def let_go(self, around: int) -> list[int]:
        """Forget the past of stops far from one, and say which; it is read again when the walk comes by.

        Only while nothing waits to be saved: what was corrected is then in the book.
        """
        if len(self.at_hand) <= KEPT_PASTS:
            return []
        far = sorted(self.at_hand, key=lambda i: abs(i - around))[KEPT_PASTS // 2 :]
        for stop in far:
            del self.at_hand[stop]
        return far


def _corrected(visit: Visit, kind: str, after: Cell) -> Visit:
    if kind == NOTE:
        return visit._replace(note=str(after or ""))
    kept = dict(visit.read)  # in its order: the rows of a visit do not jump while it is corrected
    if after is None or isinstance(after, Mapping):
        kept.pop(kind, None)
    else:
        kept[kind] = after
    return visit._replace(read=kept)


def cells_of(visit: Visit) -> dict[str, Cell]:
    """All that a visit says, as the walk's machine keeps it."""
    cells: dict[str, Cell] = dict(visit.read)
    if visit.confirmed is not NOTHING:
        cells[AS_EXPECTED] = {k: list(x) if isinstance(x, tuple) else x for k, x in visit.confirmed.items()}
    for kind, text in ((NOTE, visit.note), (SKIPPED, visit.skipped)):
        if text:
            cells[kind] = text
    return cells
