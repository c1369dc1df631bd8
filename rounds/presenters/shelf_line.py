"""The shelf one stands at, as a row of marks in the title bar: a mark for each box and each empty place, in their order.

``B3 ✓ [· ]·! - `` says: of shelf B3 the first box was seen, one stands at the second, the third is not seen yet
and something urgent is open there, and the fourth place is empty. The help page says what the marks mean.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rounds.kept_last import kept_last
from rounds.walk.core import Walk
from rounds.walk.route import Route

if TYPE_CHECKING:
    from rounds.records.ledger import Ledger

SEEN, SKIPPED, WAITING, EMPTY, URGENT, CUT = "✓", "s", "·", "-", "!", "…"
NOT_SAVED_YET = "…"
"""As on the rows: ✓ stands only for what is on the disk."""
CELLS = 3
"""Cells of a place: what is before it (a blank, or a bracket where one stands), its mark, and whether it is urgent."""


def marks(walk: Walk, room: int) -> str:
    """The shelf in at most ``room`` cells; what has no room on either side shows as ``…``. "" away from shelves."""
    at, stops = walk.state.at, walk.route.stops
    here = stops[at].enclosure.place if at < len(stops) else None
    if here is None:
        return ""
    slots = _slots(walk, here.bay, here.shelf)
    places = _places(walk.route, here.bay, here.shelf, slots, walk.route.times_put)
    name = here.shelf_name
    most = max(1, (room - len(name) - 3) // CELLS)
    if room < len(name) + 3 + CELLS:
        return ""
    now = places.index(at)
    start = max(0, min(now - most // 2, len(places) - most))
    # A shelf may be long: what is out of sight is not asked about.
    shown, now = [_sign(walk, stop) for stop in places[start : start + most]], now - start
    before, after = (CUT if start else " "), (CUT if start + most < len(places) else " ")
    row = "".join(f"{_edge(n, now)}{sign}" for n, sign in enumerate(shown))
    return f"{name}{before}{row}{_edge(len(shown), now)}{after}".rstrip(" ").ljust(
        len(name) + 2 + CELLS * len(shown)
    )


def _edge(n: int, now: int) -> str:
    """What stands before the n-th place."""
    return "[" if n == now else "]" if n == now + 1 else " "


@kept_last
def _places(route: Route, bay: str, shelf: int, slots: int, _times_put: int) -> tuple[int | None, ...]:
    """The stop at each place of a shelf, None for one without a box, in their order.

    A box that was moved stays where it was in the walk. ``slots`` is how many the books give the shelf.
    """
    boxes = [
        (place.slot, stop.enclosure.order, i)
        for i, stop in enumerate(route.stops)
        if (place := stop.enclosure.place) is not None and (place.bay, place.shelf) == (bay, shelf)
    ]
    taken = {slot for slot, _, _ in boxes}
    free = [(slot, 0, None) for slot in range(1, max(slots, *taken) + 1) if slot not in taken]
    return tuple(stop for _, _, stop in sorted([*boxes, *free], key=lambda place: place[:2]))


def _slots(walk: Walk, bay: str, shelf: int) -> int:
    """The last place of a shelf as the books have it; 0 while they are not read."""
    ledger = walk.books.at_hand
    if ledger is None:
        return 0
    return _last_slot(ledger, bay, shelf)


@kept_last
def _last_slot(ledger: Ledger, bay: str, shelf: int) -> int:
    from rounds.presenters.box_facts import records_by  # no start needs it
    from rounds.records.tables import Place

    return max((p.slot for p in records_by(ledger, Place, "bay").get(bay, ()) if p.shelf == shelf), default=0)


def _sign(walk: Walk, stop: int | None) -> str:
    """What is known of a place, and whether something urgent is open there."""
    if stop is None:
        return f"{EMPTY} "
    urgent = any(a.level == "now" for a in walk.desk.actions(stop))
    if not walk.saving.is_all_saved(stop):
        mark = NOT_SAVED_YET
    elif walk.round.looked(stop):
        mark = SEEN
    elif walk.round.skipped(stop):
        mark = SKIPPED
    else:
        mark = EMPTY if walk.route.stops[stop].enclosure.stage == "empty" else WAITING
    return f"{mark}{URGENT if urgent else ' '}"
