"""The rack and its shelves' temperatures as values to draw, from what the book holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rounds.analysis.plots import plot_sentences
from rounds.analysis.plots.rack_map import RackBox, RackMap, RackShelf
from rounds.analysis.plots.shelf_strips import Strip
from rounds.records.ledger import Ledger
from rounds.records.observations import Action, EnclosureState, Visit
from rounds.records.round_summary import MARKS
from rounds.records.tables import Place


def rack_of(
    ledger: Ledger, boxes: Sequence[EnclosureState], opened: Mapping[int, Sequence[Action]], title: str
) -> RackMap:
    """Every slot of the book in the order of its bays and shelves; several boxes of a slot stand side by side."""
    held: dict[tuple[str, int, int], list[RackBox]] = {}
    elsewhere = []
    for box in sorted(boxes, key=lambda b: b.order):
        actions = opened.get(box.id, ())
        worst = next((mark for level, mark in MARKS.items() if any(a.level == level for a in actions)), "")
        shown = RackBox(box.code, box.stage, worst)
        if box.place is None:
            elsewhere.append(shown)
        else:
            held.setdefault((box.place.bay, box.place.shelf, box.place.slot), []).append(shown)
    shelves: dict[tuple[str, int], list[RackBox | None]] = {}
    for place in sorted(ledger.rows(Place), key=lambda p: (p.bay, p.shelf, p.slot)):
        in_slot = held.get((place.bay, place.shelf, place.slot), [])
        shelves.setdefault((place.bay, place.shelf), []).extend(in_slot or [None])
    return RackMap(
        title,
        plot_sentences.RACK_SIGNS,
        [RackShelf(f"{bay}{shelf}", tuple(slots)) for (bay, shelf), slots in shelves.items()],
        plot_sentences.NO_PLACE,
        tuple(elsewhere),
    )


def temperatures(history: Mapping[str, Sequence[Visit]], kinds: Sequence[str]) -> list[Strip]:
    """A strip for each shelf with a number read; of several on a day the last counts."""
    out = []
    for shelf, visits in sorted(history.items()):
        by_day = {
            visit.day: float(value)
            for visit in visits
            for kind in kinds
            if isinstance(value := visit.read.get(kind), (int, float)) and not isinstance(value, bool)
        }
        if by_day:
            out.append(Strip(shelf, by_day))
    return out
