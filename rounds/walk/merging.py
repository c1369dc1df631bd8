"""Taking in what another terminal wrote into this walk's own round, without moving what is asked. Pure."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from rounds.records.entries import Cell
from rounds.walk.machine.questions import Ask
from rounds.walk.machine.state import State, VisitDraft


def merged(
    cells: Mapping[str, Cell], saved: Mapping[str, Cell], waiting: Collection[str]
) -> tuple[dict[str, Cell], tuple[str, ...]]:
    """The cells as they are ``saved`` in the book, but those that wait to be saved here; and the kinds that changed."""
    kinds = dict.fromkeys([*cells, *saved])
    changed = tuple(k for k in kinds if k not in waiting and cells.get(k) != saved.get(k))
    return {**cells, **{k: saved.get(k) for k in changed}}, changed


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
    return state._replace(cursor=next((i for i, ask in enumerate(after) if ask.kind.id == kind), len(after)))
