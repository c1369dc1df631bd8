"""Named shares from 0 to 100 %, one a row, each a value or a range: as a drawing and as lines of text."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from rounds.analysis.plots.svg_drawing import SIGN, Drawing, fitting
from rounds.named_tuple import NamedTuple
from rounds.text.cleaning import clean

NAME = 20
"""Cells of a name in text."""
WIDTH, LEFT, RIGHT, TOP, STEP = 640.0, 170.0, 540.0, 62.0, 20.0


class ShareRow(NamedTuple):
    """``low`` to ``high``: at least and at most, shares of 1; ``said`` stands behind."""

    name: str
    low: float
    high: float
    said: str


class ShareRows(NamedTuple):
    """``sure`` and ``open`` say what the low and the high end of a row are; ``axis`` what the shares are of."""

    title: str
    sure: str
    open: str
    axis: str
    rows: Sequence[ShareRow]
    notes: tuple[str, ...] = ()


def drawn(shown: ShareRows) -> Drawing:
    """A filled dot at the low end, an open one at the high end where that is another, and a line between."""
    bottom = TOP + len(shown.rows) * STEP + 6
    out = Drawing(WIDTH, bottom + 46 + 16 * len(shown.notes), shown.title)
    out.text(8, 20, fitting(shown.title, WIDTH - 16, 14), 14, bold=True)
    out.dot(14, 36, 4)
    out.text(24, 40, shown.sure, 11)
    second = 24 + (len(shown.sure) + 3) * SIGN * 11
    out.dot(second, 36, 4, filled=False)
    out.text(second + 10, 40, shown.open, 11)

    def x(share: float) -> float:
        return LEFT + share * (RIGHT - LEFT)

    for tenth in range(0, 11, 2):
        out.line(x(tenth / 10), TOP - 8, x(tenth / 10), bottom, 0.5, dashed=True)
        out.text(x(tenth / 10), bottom + 16, f"{tenth * 10}%", 11, "middle")
    out.text((LEFT + RIGHT) / 2, bottom + 36, shown.axis, 12, "middle")
    for i, row in enumerate(shown.rows):
        y = TOP + (i + 0.5) * STEP
        out.text(8, y + 4, fitting(row.name, LEFT - 16, 11), 11)
        if row.high > row.low:
            out.line(x(row.low), y, x(row.high), y, 2)
            out.dot(x(row.high), y, 4, filled=False)
        out.dot(x(row.low), y, 4)
        out.text(RIGHT + 12, y + 4, row.said, 11)
    for i, note in enumerate(shown.notes):
        out.text(8, bottom + 54 + 16 * i, fitting(note, WIDTH - 16, 11), 11)
    return out


def as_text(shown: ShareRows, width: int = 78) -> list[str]:
    """``●`` at the low end, ``○`` where the high end is another, ``─`` between."""
    most = max((len(row.said) for row in shown.rows), default=0)
    room = max(21, width - NAME - most - 4)
    out = [clean(shown.title, width), *wrap(f"● {shown.sure}   o {shown.open}", width)]
    out.append(" " * (NAME + 1) + f"{'0%':<{room // 2}}50%".ljust(room - 4) + "100%")
    for row in shown.rows:
        cells = [" "] * room
        low, high = (round(share * (room - 1)) for share in (row.low, row.high))
        cells[low : high + 1] = "─" * (high - low + 1)
        cells[high] = "o"
        cells[low] = "●"
        out.append(f"{_name(row.name)} {''.join(cells)} {row.said}".rstrip())
    return [*out, *(x for note in shown.notes for x in wrap(note, width))]


def _name(name: str) -> str:
    """A name in its column, as wide as it is on a terminal."""
    from rich.cells import set_cell_size

    return set_cell_size(clean(name, NAME), NAME)
