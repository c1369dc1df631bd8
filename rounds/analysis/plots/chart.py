"""A chart of points over two axes as a value, as a drawing, and as lines of text: one value, so that all say the same.

Series differ by the shape of their dots in a drawing and by a letter-like sign in text, never by colour.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from textwrap import wrap

from rounds.analysis.plots.svg_drawing import SIGN, Drawing, fitting
from rounds.named_tuple import NamedTuple
from rounds.text.cleaning import clean

WIDTH, HEIGHT = 640.0, 400.0
LEFT, RIGHT, TOP, BOTTOM = 62.0, 20.0, 74.0, 52.0
"""Units of the margins: the numbers of the upright axis, air, title and legend, the numbers of the lying axis."""
SIZE = 11.0
ROWS = 14
"""Lines of text between the axes."""
SEVERAL = "#"
"""In text: dots of several series in one cell."""


class Kind(NamedTuple):
    """How a series is told from others: the shape of its dots, whether they are filled, its sign in text."""

    shape: str
    sign: str
    filled: bool


KINDS = (
    Kind("circle", "o", filled=True),
    Kind("triangle", "^", filled=False),
    Kind("square", "x", filled=False),
    Kind("diamond", "*", filled=True),
)


class Point(NamedTuple):
    """``left`` to ``right``: where it may lie, the same where that is known."""

    left: float
    right: float
    height: float


class Series(NamedTuple):
    """Points under one name, joined within each of ``tracks``."""

    name: str
    kind: Kind
    tracks: tuple[tuple[Point, ...], ...]

    @property
    def points(self) -> list[Point]:
        return [p for track in self.tracks for p in track]


class Chart(NamedTuple):
    """``across`` and ``up`` name the axes with their units; ``notes`` are said below."""

    title: str
    across: str
    up: str
    series: tuple[Series, ...]
    notes: tuple[str, ...] = ()


class Scale(NamedTuple):
    """An axis from ``low`` to ``high`` with the numbers that stand at it."""

    low: float
    high: float
    ticks: tuple[float, ...]

    def share(self, value: float) -> float:
        """Where a value lies: 0 at the low end, 1 at the high one."""
        return (value - self.low) / (self.high - self.low)


def scale(low: float, high: float, most: int) -> Scale:
    """The axis for values from ``low`` to ``high``: at most ``most`` ticks, a round step of 1, 2 or 5 times a power of ten."""
    if high <= low:
        low, high = low - 0.5, high + 0.5
    least = (high - low) / max(1, most - 1)
    power = 10.0 ** math.floor(math.log10(least))
    for step in (power, 2 * power, 5 * power, 10 * power, 20 * power):
        first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
        if last - first + 1 <= most:
            break
    return Scale(first * step, last * step, tuple(k * step for k in range(first, last + 1)))


def _scales(chart: Chart, across: int, up: int) -> tuple[Scale, Scale]:
    points = [p for s in chart.series for p in s.points]
    lefts, rights = [p.left for p in points], [p.right for p in points]
    heights = [p.height for p in points]
    return scale(min(lefts), max(rights), across), scale(min(0.0, *heights), max(heights), up)


def drawn(chart: Chart) -> Drawing:
    """The chart as a drawing. It must have a point."""
    out = Drawing(WIDTH, HEIGHT + 16 * len(chart.notes), chart.title)
    x_scale, y_scale = _scales(chart, 9, 7)
    right, bottom = WIDTH - RIGHT, HEIGHT - BOTTOM

    def x(value: float) -> float:
        return LEFT + x_scale.share(value) * (right - LEFT)

    def y(value: float) -> float:
        return bottom - y_scale.share(value) * (bottom - TOP)

    out.text(8, 20, fitting(chart.title, WIDTH - 16, 14), 14, bold=True)
    _legend(out, chart.series)
    out.text(8, TOP - 12, chart.up, SIZE)
    for value in y_scale.ticks:
        out.line(LEFT, y(value), right, y(value), 0.5, dashed=True)
        out.text(LEFT - 8, y(value) + 4, f"{value:g}", SIZE, "end")
    for value in x_scale.ticks:
        out.line(x(value), bottom, x(value), bottom + 4)
        out.text(x(value), bottom + 18, f"{value:g}", SIZE, "middle")
    out.line(LEFT, bottom, right, bottom)
    out.text((LEFT + right) / 2, bottom + 38, chart.across, 12, "middle")
    for series in chart.series:
        for track in series.tracks:
            middles = [((p.left + p.right) / 2, p.height) for p in track]
            for (x1, y1), (x2, y2) in pairwise(middles):
                out.line(x(x1), y(y1), x(x2), y(y2), 0.6)
    for series in chart.series:
        for p in series.points:
            if p.right > p.left:
                out.line(x(p.left), y(p.height), x(p.right), y(p.height), 2)
            middle = (p.left + p.right) / 2
            out.dot(x(middle), y(p.height), 3.5, filled=series.kind.filled, shape=series.kind.shape)
    for i, note in enumerate(chart.notes):
        out.text(8, HEIGHT + 16 * i + 4, fitting(note, WIDTH - 16, SIZE), SIZE)
    return out


def _legend(out: Drawing, series: Sequence[Series]) -> None:
    at = 14.0
    for one in series:
        out.dot(at, 35, 4, filled=one.kind.filled, shape=one.kind.shape)
        out.text(at + 10, 39, one.name, SIZE)
        at += 10 + (len(one.name) + 3) * SIGN * SIZE


def as_text(chart: Chart, width: int = 78) -> list[str]:
    """Lines no wider than ``width``: the numbers of the upright axis at the left, a sign for each dot."""
    y_scale = _scales(chart, 9, 7)[1]
    label = max(len(f"{value:g}") for value in y_scale.ticks) + 1
    room = max(20, width - label - 2)
    x_scale = _scales(chart, max(3, min(9, room // 8)), 7)[0]
    grid = [[" "] * room for _ in range(ROWS)]
    for series in chart.series:
        for p in series.points:
            row = round((1 - y_scale.share(p.height)) * (ROWS - 1))
            start, end = (round(x_scale.share(v) * (room - 1)) for v in (p.left, p.right))
            for at in range(start, end + 1):
                taken = grid[row][at]
                grid[row][at] = series.kind.sign if taken in (" ", series.kind.sign) else SEVERAL
    heads = {round((1 - y_scale.share(v)) * (ROWS - 1)): f"{v:g}" for v in y_scale.ticks}
    lines = [clean(chart.title, width), clean(chart.up, width)]
    lines += [f"{heads.get(i, ''):>{label}} |{''.join(cells)}".rstrip() for i, cells in enumerate(grid)]
    lines.append(f"{'':>{label}} +{'-' * room}")
    numbers = [" "] * (room + 1)
    for value in x_scale.ticks:
        text = f"{value:g}"
        at = min(round(x_scale.share(value) * (room - 1)) + 1, room + 1 - len(text))
        numbers[at : at + len(text)] = text
    lines.append(f"{'':>{label}} {''.join(numbers)}".rstrip())
    lines.append(f"{'':>{label}}  {chart.across}")
    kinds = [f"{s.kind.sign} {s.name}" for s in chart.series]
    if any(SEVERAL in cells for cells in grid):
        from rounds.analysis.plots import plot_sentences

        kinds.append(f"{SEVERAL} {plot_sentences.SEVERAL}")
    return [*lines, *wrap("  ".join(kinds), width), *(x for note in chart.notes for x in wrap(note, width))]
