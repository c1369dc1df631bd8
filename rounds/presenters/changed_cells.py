"""Where a line differs from the one that stood there before, cell by cell."""

from __future__ import annotations

from collections.abc import Iterator

from rich.cells import cell_len

from rounds.named_tuple import NamedTuple
from rounds.presenters.lines import Line, Run

CLOSE = 10
"""Cells that stay the same between two changes and are painted again all the same: to move the cursor costs more."""


class Stretch(NamedTuple):
    """Cells of a line from ``x`` on that have to be painted."""

    x: int
    runs: Line


def stretches(old: Line, new: Line) -> list[Stretch]:
    """What has to be painted over ``old`` to have ``new``; both are equally many cells wide."""
    before, after = _cells(old), _cells(new)
    return [Stretch(x, _runs(after[x:end])) for x, end in _changed(before, after)]


def _changed(before: list[Run], after: list[Run]) -> Iterator[tuple[int, int]]:
    start = end = -1
    for x, (was, now) in enumerate(zip(before, after, strict=True)):
        if was == now:
            continue
        if start >= 0 and x - end > CLOSE:
            yield _whole(after, start), end
            start = -1
        start = x if start < 0 else start
        end = x + 1
    if start >= 0:
        yield _whole(after, start), end


def _whole(after: list[Run], start: int) -> int:
    """A stretch does not begin with the second half of a wide sign."""
    return start - 1 if start and not after[start][0] else start


def _cells(line: Line) -> list[Run]:
    """A text and its style for each cell: marks belong to the sign before, a wide sign's second cell has no text."""
    out: list[Run] = []
    for text, style in line:
        if text.isascii():
            out += [(sign, style) for sign in text]
            continue
        for sign in text:
            size = cell_len(sign)
            if size:
                out += [(sign, style), ("", style)][:size]
            elif out:
                at = len(out) - 1 if out[-1][0] else len(out) - 2
                out[at] = (out[at][0] + sign, out[at][1])
    return out


def _runs(cells: list[Run]) -> Line:
    out: list[Run] = []
    for text, style in cells:
        if out and out[-1][1] == style:
            out[-1] = (out[-1][0] + text, style)
        else:
            out.append((text, style))
    return tuple(out)
