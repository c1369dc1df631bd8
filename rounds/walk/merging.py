"""Taking in what another terminal wrote into this walk's own round, without moving what is asked. Pure."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from rounds.records.entries import AS_EXPECTED, NOTE, SKIPPED, Cell
from rounds.records.observations import NOTHING, Visit
from rounds.walk.machine.questions import Ask
from rounds.walk.machine.state import State, VisitDraft


def cells_of(visit: Visit) -> dict[str, Cell]:
    """All that a visit says, as the walk's machine keeps it."""
    cells: dict[str, Cell] = dict(visit.read)
    if visit.confirmed is not NOTHING:
        cells[AS_EXPECTED] = {k: list(x) if isinstance(x, tuple) else x for k, x in visit.confirmed.items()}
    for kind, text in ((NOTE, visit.note), (SKIPPED, visit.skipped)):
        if text:
            cells[kind] = text
    return cells


def merged(
    cells: Mapping[str, Cell], visit: Visit, waiting: Collection[str]
) -> tuple[dict[str, Cell], tuple[str, ...]]:
    """The cells as the book has them, but those that wait to be saved here; and the kinds that changed."""
    saved = cells_of(visit)
    kinds = dict.fromkeys([*cells, *saved])
    changed = tuple(k for k in kinds if k not in waiting and not _same(cells.get(k), saved.get(k)))
    return {**cells, **{k: saved.get(k) for k in changed}}, changed


def _same(one: Cell, other: Cell) -> bool:
    """A tick comes back from the book as 0 or 1."""
    return one == other


def with_cells(state: State, stop: int, cells: Mapping[str, Cell], extra: Collection[str]) -> State:
    """The state with these cells at a stop; ``extra`` are readings the stage does not ask, put below the others."""
    look = state.looks.get(stop, VisitDraft())
    more = tuple(k for k in extra if k not in look.extra)
    look = look._replace(cells=cells, extra=(*look.extra, *more))
    return state._replace(looks={**state.looks, stop: look})


def anchored(state: State, before: tuple[Ask, ...], after: tuple[Ask, ...]) -> State:
    """The cursor on the reading it was on, wherever its row stands now."""
    if state.cursor >= len(before):
        return state._replace(cursor=len(after))
    kind = before[state.cursor].kind.id
    return state._replace(cursor=next(i for i, ask in enumerate(after) if ask.kind.id == kind))
