"""Where a line differs from the one that stood there before, cell by cell."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache

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
    if all(_one_cell_each(text) for line in (old, new) for text, _ in line):
        return [Stretch(x, _cut_out(new, x, end)) for x, end in _joined(_differing(old, new))]
    before, after = _cells(old), _cells(new)
    return [Stretch(x, _runs(after[x:end])) for x, end in _changed(before, after)]


@lru_cache(512)  # the texts of a screen are much the same from key to key
def _one_cell_each(text: str) -> bool:
    """Does each sign take one cell, as nearly always? Then cells are counted by counting signs."""
    return text.isascii() or all(cell_len(sign) == 1 for sign in text)


def _differing(old: Line, new: Line) -> Iterator[tuple[int, int]]:
    """Cells that differ, from one on and up to another, in lines of one cell for each sign."""
    at = 0
    others = iter(old)
    was, look = next(others, ("", ""))
    for text, style in new:
        while text:
            while not was:
                was, look = next(others)
            n = min(len(text), len(was))
            if style != look:
                yield at, at + n
            elif text[:n] != was[:n]:
                yield from ((at + i, at + i + 1) for i in range(n) if text[i] != was[i])
            at, text, was = at + n, text[n:], was[n:]


def _joined(differing: Iterable[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """The same with those put together that are close to each other."""
    start = end = -1
    for x, to in differing:
        if start >= 0 and x - end > CLOSE:
            yield start, end
            start = -1
        start = x if start < 0 else start
        end = to
    if start >= 0:
        yield start, end


def _cut_out(line: Line, start: int, end: int) -> Line:
    """The runs of a line of one cell for each sign between two cells."""
    out: list[Run] = []
    at = 0
    for text, style in line:
        part = text[max(0, start - at) : max(0, end - at)]
        if part:
            out.append((part, style))
        at += len(text)
    return tuple(out)


def _changed(before: list[Run], after: list[Run]) -> Iterator[tuple[int, int]]:
    pairs = enumerate(zip(before, after, strict=True))
    for start, end in _joined((x, x + 1) for x, (was, now) in pairs if was != now):
        # A stretch does not begin with the second half of a wide sign.
        yield start - 1 if start and not after[start][0] else start, end


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
