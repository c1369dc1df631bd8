"""A reading of every shelf day by day, a strip each on one common scale: as a drawing and as lines of text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from textwrap import wrap

from rounds.analysis.plots.chart import scale
from rounds.analysis.plots.svg_drawing import Drawing, fitting
from rounds.named_tuple import NamedTuple
from rounds.text.cleaning import clean, day_and_year, day_words

BARS = "▁▂▃▄▅▆▇█"
NAME = 6
WIDTH, LEFT, RIGHT, TOP, STRIP, GAP = 640.0, 70.0, 106.0, 58.0, 38.0, 18.0


class Strip(NamedTuple):
    """One shelf: what was read by day; on a day that is missing nobody read it."""

    name: str
    by_day: Mapping[int, float]


class Strips(NamedTuple):
    """``unit`` stands behind every value; ``said`` says how strips are read."""

    title: str
    unit: str
    said: str
    first: int
    last: int
    strips: Sequence[Strip]


def _ends(shown: Strips) -> tuple[float, float]:
    values = [value for strip in shown.strips for value in strip.by_day.values()]
    axis = scale(min(values), max(values), 4)
    return axis.low, axis.high


def _range(strip: Strip, unit: str) -> str:
    low, high = min(strip.by_day.values()), max(strip.by_day.values())
    return f"{low:g} {unit}" if low == high else f"{low:g} to {high:g} {unit}"


def drawn(shown: Strips) -> Drawing:
    """A line of dots for each shelf, joined where days follow each other; all strips have the same scale."""
    low, high = _ends(shown)
    out = Drawing(WIDTH, TOP + len(shown.strips) * (STRIP + GAP) + 44, shown.title)
    out.text(8, 20, fitting(shown.title, WIDTH - 16, 14), 14, bold=True)
    out.text(LEFT - 6, TOP - 10, shown.unit, 10, "end")
    right = WIDTH - RIGHT
    days = max(1, shown.last - shown.first)

    def x(day: int) -> float:
        return LEFT + (day - shown.first) / days * (right - LEFT)

    for i, strip in enumerate(shown.strips):
        top = TOP + i * (STRIP + GAP)
        out.text(8, top + STRIP / 2 + 4, fitting(strip.name, 28, 12), 12, bold=True)
        for value, y in ((high, top), (low, top + STRIP)):
            out.line(LEFT, y, right, y, 0.5, dashed=True)
            out.text(LEFT - 6, y + 4, f"{value:g}", 9, "end")
        at = [(x(d), top + (high - v) / (high - low) * STRIP, d) for d, v in sorted(strip.by_day.items())]
        for (x1, y1, d1), (x2, y2, d2) in pairwise(at):
            if d2 - d1 == 1:
                out.line(x1, y1, x2, y2)
        for x1, y1, _ in at:
            out.dot(x1, y1, 1.8)
        out.text(right + 8, top + STRIP / 2 + 4, _range(strip, shown.unit), 10)
    bottom = TOP + len(shown.strips) * (STRIP + GAP) + 6
    for day, anchor in ((shown.first, "start"), (shown.last, "end")):
        out.text(x(day), bottom + 8, day_and_year(day), 11, anchor)
    out.text(8, bottom + 28, shown.said, 11)
    return out


def as_text(shown: Strips, width: int = 78) -> list[str]:
    """A bar of eight heights for each day, the newest at the right; a gap where nobody read."""
    low, high = _ends(shown)
    ranges = [_range(strip, shown.unit) for strip in shown.strips]
    room = max(10, width - NAME - max(map(len, ranges)) - 2)
    first = max(shown.first, shown.last - room + 1)
    out = [clean(shown.title, width)]
    for strip, said in zip(shown.strips, ranges, strict=True):
        cells = ""
        for day in range(first, shown.last + 1):
            value = strip.by_day.get(day)
            share = 0 if value is None else (value - low) / (high - low)
            cells += " " if value is None else BARS[round(share * (len(BARS) - 1))]
        out.append(f"{clean(strip.name, NAME):<{NAME}} {cells} {said}")
    ends = day_words(first), day_words(shown.last)
    out.append(f"{'':<{NAME}} {ends[0]}{ends[1]:>{max(1, shown.last - first + 1 - len(ends[0]))}}")
    signs = f"{BARS[0]} {low:g} {shown.unit}  {BARS[-1]} {high:g} {shown.unit}  {shown.said}"
    return [*out, *wrap(signs, width)]
