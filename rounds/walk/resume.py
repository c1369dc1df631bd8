"""Take up a round where it was interrupted: its readings, and everything undo needs."""

from __future__ import annotations

from rounds.husbandry.stages import Depth
from rounds.named_tuple import NamedTuple
from rounds.records.entries import ACT, UndoStep
from rounds.records.observations import Visit
from rounds.store import read
from rounds.store.book import Book
from rounds.walk.desk import WalkDesk
from rounds.walk.machine.state import Undoable, VisitDraft
from rounds.walk.past import cells_of


class TakenUp(NamedTuple):
    """What an interrupted round had recorded. ``visited`` counts its visits, the newest begun at ``latest_ms``."""

    looks: dict[int, VisitDraft]
    steps: tuple[Undoable, ...]
    rows: dict[int, list[UndoStep]]  # the book's step rows that are not undone, by number
    seq: int
    visited: int
    latest_ms: int


def take_up(book: Book, desk: WalkDesk) -> TakenUp:
    """Read the desk's round back; it learns which visits are its own and what they raised.

    A visit whose enclosure has left these bays since stays in the book and is not walked.
    """
    visits = read.visits_of_round(book, desk.round.uid)
    stop_of: dict[bytes, int] = {}
    for v in visits:
        stop = desk.stop_of(v.enclosure)
        if stop is not None:
            desk.round.visits[stop] = v.uid
            stop_of[v.uid] = stop
            desk.watch.recall(v.enclosure, v.uid, read.flags_of_visit(book, v.uid))
    looks = {stop_of[v.uid]: _look(desk, stop_of[v.uid], v) for v in visits if v.uid in stop_of}
    steps: list[Undoable] = []
    rows: dict[int, list[UndoStep]] = {}
    seq = 0
    for row in read.steps_of(book, desk.round.uid):
        seq = max(seq, row.seq)
        undoable = None if row.undone else _undoable(book, desk, row, stop_of)
        if undoable is not None:
            known = rows.setdefault(row.seq, [])
            if row.kind != ACT or not known:  # an act that a reading stated is taken back with the reading
                steps.append(undoable)
            known.append(row)
    return TakenUp(looks, tuple(steps), rows, seq, len(visits), max((v.at_ms for v in visits), default=0))


def _look(desk: WalkDesk, stop: int, v: Visit) -> VisitDraft:
    cells = cells_of(v)
    usual = desk.starts_at(stop)
    depth = Depth(v.depth) if v.depth > usual else None
    asked = desk.questions.readings(stop, usual if depth is None else depth)
    extra = tuple(
        k for k in v.read if k not in asked and k in desk.kinds and desk.kinds[k].subject != "shelf"
    )
    return VisitDraft(cells, depth, extra)


def _undoable(book: Book, desk: WalkDesk, row: UndoStep, stop_of: dict[bytes, int]) -> Undoable | None:
    if row.kind == ACT:
        concerned = (desk.stop_of(e) for e in sorted(desk.acts.concerns(row.subject)))
        at = [stop for stop in concerned if stop is not None]
        return Undoable(row.seq, at[0], None, ACT, Depth.WALL, None) if at else None
    if not row.kind:
        action = desk.watch.restored(row.subject, row.before)
        stop = desk.stop_of(action.enclosure) if action else None
        return None if stop is None else Undoable(row.seq, stop, None, "", Depth.WALL, None, action)
    stop = stop_of.get(row.subject)
    visit = None if stop is not None else row.subject  # not this round's: an earlier visit was corrected
    if stop is None:
        owner = read.enclosure_of_visit(book, row.subject)
        stop = None if owner is None else desk.stop_of(owner)
    return None if stop is None else Undoable(row.seq, stop, visit, row.kind, Depth(row.depth), row.before)
