"""Who and what an act moved, read off the books before and after it, whatever the act is called.

Nothing here knows any act by name: a new act that moves an animal, a group, a box or a plan is
seen here without being told of.
"""

from __future__ import annotations

from collections.abc import Iterable

from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Add, Change, Ledger
from rounds.records.tables import Animal, Content, Enclosure, Lot, PlannedPairing


class Mover(NamedTuple):
    """One animal (``animal``) or some of a group that came into an enclosure.

    ``came_from`` is the enclosure they left, None when they came from outside or were missing.
    """

    content: Content
    into: int
    came_from: int | None

    @property
    def animal(self) -> int | None:
        return self.content.animal


class MovedBox(NamedTuple):
    """An enclosure that stands somewhere else now; a place is None where it has none."""

    box: int
    place_before: int | None
    place_after: int | None


class Movements(NamedTuple):
    """All that one act moved. ``left_house`` are enclosures that animals left for another house."""

    movers: tuple[Mover, ...] = ()
    boxes: tuple[MovedBox, ...] = ()
    plans: tuple[int, ...] = ()
    stages: tuple[int, ...] = ()
    left_house: tuple[int, ...] = ()

    def __bool__(self) -> bool:
        return any(self)


_WATCHED = {Content.table, Enclosure.table, PlannedPairing.table}


def movements(before: Ledger, after: Ledger, changes: Iterable[Change]) -> Movements:
    """What moved between two states of the books, of the rows that ``changes`` touched."""
    touched: dict[str, set[int]] = {}
    for change in changes:
        touched.setdefault(change.table, set()).add(change.id)
    if not _WATCHED & touched.keys():
        return Movements()
    arrived = any(isinstance(change, Add) and change.table == Lot.table for change in changes)
    movers, left = _moved(before, after, touched.get(Content.table, set()), arrived=arrived)
    boxes = sorted(id_ for id_ in touched.get(Enclosure.table, ()) if id_ in before.table(Enclosure.table))
    return Movements(
        tuple(movers),
        tuple(
            MovedBox(id_, was.place, now.place)
            for id_ in boxes
            for was, now in ((before.row(Enclosure, id_), after.row(Enclosure, id_)),)
            if was.place != now.place
        ),
        tuple(
            plan
            for plan in sorted(touched.get(PlannedPairing.table, ()))
            if _box_of_plan(after, plan) is not None
            and _box_of_plan(before, plan) != _box_of_plan(after, plan)
        ),
        tuple(id_ for id_ in boxes if before.row(Enclosure, id_).stage != after.row(Enclosure, id_).stage),
        tuple(left),
    )


def _box_of_plan(ledger: Ledger, plan: int) -> int | None:
    known = ledger.table(PlannedPairing.table)
    return ledger.row(PlannedPairing, plan).enclosure if plan in known else None


def _moved(
    before: Ledger, after: Ledger, touched: set[int], *, arrived: bool
) -> tuple[list[Mover], list[int]]:
    """Who came into which enclosure, and the enclosures that some left for another house."""
    was = {id_: row for id_ in touched if (row := _present(before, id_)) is not None}
    now = {id_: row for id_ in touched if (row := _present(after, id_)) is not None}
    home = {row.animal: row.enclosure for row in was.values() if row.animal is not None}
    lost, gained = _fewer(was.values(), now.values()), _fewer(now.values(), was.values())
    touched_groups = sorted({row.enclosure for row in was.values() if row.animal is None})  # "at least" ones
    movers = []
    for id_, row in sorted(now.items()):
        old = was.get(id_)
        if row.animal is not None:
            came_from = home.get(row.animal)
            if came_from == row.enclosure or (old is not None and old.enclosure == row.enclosure):
                continue
            if came_from is None and row.enclosure in lost:
                continue  # one of a group there got a number of its own
        elif old is not None and old.enclosure == row.enclosure and old.total >= row.total:
            continue
        else:
            came_from = next((box for box in (*sorted(lost), *touched_groups) if box != row.enclosure), None)
            if row.enclosure not in gained or (came_from is None and not arrived):
                continue  # found there by a search or a count, or only named anew
        movers.append(Mover(row, row.enclosure, came_from))
    gone = {
        row.enclosure
        for row in was.values()
        if row.animal is not None
        and row.id not in now
        and after.row(Animal, row.animal).state == "gone"
        and before.row(Animal, row.animal).state != "gone"
    }
    return movers, sorted(gone)


def _present(ledger: Ledger, id_: int) -> Content | None:
    if id_ not in ledger.table(Content.table):
        return None
    row = ledger.row(Content, id_)
    return None if row.void or row.until is not None else row


def _fewer(those: Iterable[Content], than: Iterable[Content]) -> set[int]:
    """Enclosures whose groups count more heads in ``those`` than in ``than``."""
    heads: dict[int, int] = {}
    for sign, rows in ((1, those), (-1, than)):
        for row in rows:
            if row.animal is None:
                heads[row.enclosure] = heads.get(row.enclosure, 0) + sign * max(row.total, 1)
    return {box for box, more in heads.items() if more > 0}
