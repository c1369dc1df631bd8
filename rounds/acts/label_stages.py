"""Gives the stages that began while labels were swapped to the box they are true of."""

from __future__ import annotations

from rounds.acts.label_counterparts import Days
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Draft
from rounds.records.tables import Enclosure, StagePast
from rounds.values.spans import FIRST, Span


class _Change(NamedTuple):
    """One change of stage; ``row`` is the past that ended with it."""

    row: int
    day: Span | None
    stage: str
    since: Span | None


class _Stages(NamedTuple):
    """A box's first known stage and the changes since, by day."""

    stage: str
    since: Span | None
    changes: tuple[_Change, ...]


def exchange_stages(draft: Draft, boxes: dict[int, int], days: Days) -> int:
    """Draft it for both boxes; how many changes of stage were exchanged."""
    known = {box: _stages(draft, box) for box in boxes}
    moved = {box: [c for c in known[box].changes if days.begins_in(c.day)] for box in boxes}
    if not any(moved.values()):
        return 0
    for box, other in boxes.items():
        own = [change for change in known[box].changes if change not in moved[box]]
        every = sorted((*own, *moved[other]), key=lambda change: _order(change.day))
        _write(draft, box, known[box]._replace(changes=tuple(every)))
    return sum(map(len, moved.values()))


def _order(day: Span | None) -> tuple[int, int]:
    return (FIRST, FIRST) if day is None else (day.earliest, day.latest)


def _stages(draft: Draft, box: int) -> _Stages:
    pasts = sorted(
        draft.ledger.rows(StagePast, StagePast.enclosure.is_(box)), key=lambda past: _order(past.until)
    )
    now = draft.ledger.row(Enclosure, box)
    then = [*((past.stage, past.since) for past in pasts), (now.stage, now.stage_since)]
    changes = tuple(_Change(past.id, past.until, *to) for past, to in zip(pasts, then[1:], strict=True))
    return _Stages(*then[0], changes)


def _write(draft: Draft, box: int, stages: _Stages) -> None:
    stage, since = stages.stage, stages.since
    for change in stages.changes:
        draft.set(StagePast.enclosure, change.row, box)
        draft.set(StagePast.stage, change.row, stage)
        draft.set(StagePast.since, change.row, since)
        stage, since = change.stage, change.since
    draft.set(Enclosure.stage, box, stage)
    draft.set(Enclosure.stage_since, box, since)
