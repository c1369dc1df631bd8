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

KEPT_PASTS = 64
"""Enclosures whose past is kept at hand: a house has a thousand, and a walk looks at one."""


class Past:
    """``visits`` are this round's own by stop, which are no past; ``shelf_kinds`` the readings of a shelf."""

    def __init__(
        self, book: Book, route: Route, visits: Mapping[int, bytes], shelf_kinds: Collection[str]
    ) -> None:
        self._book, self._route, self._visits, self._shelf_kinds = book, route, visits, shelf_kinds
        self.at_hand: dict[int, list[Visit]] = {}
        self._of_shelf: dict[str, list[Visit]] = {}

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

    def of_shelf(self, shelf: str) -> list[Visit]:
        """Earlier visits at which the shelf's own readings were taken.

        They are asked at the shelf's first enclosure, so its history is enough, and the next
        one's for each that was skipped at times; going through every visit of the house would
        cost more than all else at an enclosure.
        """
        known = self._of_shelf.get(shelf)
        if known is None:
            stops, first = self._route.stops, self._route.first_on(shelf)
            known, at = [], len(stops) if first is None else first
            while at < len(stops) and stops[at].shelf == shelf:
                visits = self.of(at)
                known += [
                    v for v in visits if v.shelf == shelf and any(k in v.read for k in self._shelf_kinds)
                ]
                if not any(v.skipped for v in visits):
                    break
                at += 1
            known.sort(key=lambda v: v.at_ms)
            self._of_shelf[shelf] = known
        return known

    def forget(self, stop: int) -> None:
        """It was added to or corrected by somebody else: it is read again when it is next wanted."""
        self.at_hand.pop(stop, None)
        self._of_shelf.pop(self._route.stops[stop].shelf, None)

    def correct(self, stop: int, visit: bytes, kind: str, after: Cell) -> None:
        """An earlier visit was corrected."""
        past = self.of(stop)
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


def cells_of(visit: Visit) -> dict[str, Cell]:
    """All that a visit says, as the walk's machine keeps it."""
    cells: dict[str, Cell] = dict(visit.read)
    if visit.confirmed is not NOTHING:
        cells[AS_EXPECTED] = {k: list(x) if isinstance(x, tuple) else x for k, x in visit.confirmed.items()}
    for kind, text in ((NOTE, visit.note), (SKIPPED, visit.skipped)):
        if text:
            cells[kind] = text
    return cells
