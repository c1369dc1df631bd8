"""The rack as a keeper would draw it: shelf under shelf, slot beside slot, a box's code and stage in each."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from rounds.analysis.plots.plot_sentences import SIGNS_IN_TEXT
from rounds.analysis.plots.svg_drawing import Drawing, fitting
from rounds.named_tuple import NamedTuple
from rounds.text.cleaning import clean

LABEL = 5
"""Cells of a shelf's name in text."""
LEAST_SLOT, MOST_SLOT = 12, 18
BOX, TALL, LEFT, TOP, GAP = 92.0, 40.0, 44.0, 36.0, 8.0


class RackBox(NamedTuple):
    """``mark`` is the sign of what needs doing there, if anything."""

    code: str
    stage: str
    mark: str = ""


class RackShelf(NamedTuple):
    """Left to right; None is an empty slot."""

    name: str
    slots: tuple[RackBox | None, ...]


class RackMap(NamedTuple):
    """``said`` tells the signs; ``elsewhere`` are boxes without a place, under ``no_place``."""

    title: str
    said: tuple[str, ...]
    shelves: Sequence[RackShelf]
    no_place: str
    elsewhere: tuple[RackBox, ...] = ()


def drawn(rack: RackMap) -> Drawing:
    """A frame for each slot, dashed where it is empty; a thick one where something needs doing."""
    most = max((len(shelf.slots) for shelf in rack.shelves), default=1)
    below = -(-len(rack.elsewhere) // most)
    rows = len(rack.shelves) + below + (1 if below else 0)
    top = TOP + 16 * len(rack.said)
    out = Drawing(max(420.0, LEFT + most * (BOX + GAP) + 4), top + rows * (TALL + GAP) + 8, rack.title)
    out.text(8, 20, fitting(rack.title, out.width - 16, 14), 14, bold=True)
    for i, said in enumerate(rack.said):
        out.text(8, 40 + 16 * i, fitting(said, out.width - 16, 11), 11)
    y = top
    for shelf in rack.shelves:
        out.text(8, y + TALL / 2 + 4, fitting(shelf.name, LEFT - 10, 12), 12, bold=True)
        for i, box in enumerate(shelf.slots):
            _box(out, LEFT + i * (BOX + GAP), y, box)
        y += TALL + GAP
    if rack.elsewhere:
        out.text(8, y + TALL - 8, rack.no_place, 12, bold=True)
        y += TALL + GAP
    for i, box in enumerate(rack.elsewhere):
        _box(out, LEFT + i % most * (BOX + GAP), y + i // most * (TALL + GAP), box)
    return out


def _box(out: Drawing, x: float, y: float, box: RackBox | None) -> None:
    if box is None:
        out.frame(x, y, BOX, TALL, 0.7, dashed=True)
        return
    out.frame(x, y, BOX, TALL, 2.5 if box.mark else 1)
    room = BOX - 12 - 12 * bool(box.mark)
    out.text(x + 6, y + 17, fitting(box.code, room, 12), 12, bold=True)
    out.text(x + 6, y + 33, fitting(box.stage, BOX - 12, 11), 11)
    if box.mark:
        out.text(x + BOX - 6, y + 17, box.mark, 12, "end", bold=True)


def as_text(rack: RackMap, width: int = 78) -> list[str]:
    """Two lines a shelf: codes with their marks, and stages; a shelf longer than the line goes on below."""
    most = max((len(shelf.slots) for shelf in rack.shelves), default=1)
    slot = max(LEAST_SLOT, min(MOST_SLOT, (width - LABEL) // max(1, most)))
    across = max(1, (width - LABEL) // slot)
    out = [clean(rack.title, width), *wrap(SIGNS_IN_TEXT, width)]
    for shelf in rack.shelves:
        out += _shelf(shelf.name, shelf.slots, slot, across)
    if rack.elsewhere:
        out += ["", rack.no_place, *_shelf("", rack.elsewhere, slot, across)]
    return out


def _shelf(name: str, slots: Sequence[RackBox | None], slot: int, across: int) -> list[str]:
    out = []
    for start in range(0, len(slots), across):
        part = slots[start : start + across]
        codes = [_cell(box.code, slot, box.mark) if box else _cell("·", slot) for box in part]
        stages = [_cell(box.stage if box else "", slot) for box in part]
        out.append(f"{clean(name, LABEL - 1) if not start else '':<{LABEL}}{''.join(codes)}".rstrip())
        out.append(f"{'':<{LABEL}}{''.join(stages)}".rstrip())
    return out


def _cell(text: str, slot: int, mark: str = "") -> str:
    """A text in a slot's width, its mark behind it; of the two the text is cut."""
    from rich.cells import cell_len, set_cell_size

    room = slot - 1 - (len(mark) + 1 if mark else 0)
    shown = clean(text, room)
    cut = shown if cell_len(shown) <= room else set_cell_size(shown, room - 1).rstrip() + "…"
    return set_cell_size(f"{cut} {mark}", slot)
