"""Weighings as a small plot of text, readable without colours and without any sign a terminal may lack."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.named_tuple import NamedTuple
from rounds.text.cleaning import day_and_year
from rounds.values.spans import FIRST, LAST, Span
from rounds.views import animal_sentences as sentences

ROWS = 4
FEWEST = 24
"""Cells that the days get at the least: two dates must fit under them."""
SEEN, LIKELY, PEAK, SOME_DAY = "o", "?", "*", "-"


class Point(NamedTuple):
    """One weighing: the days it may have been made on, and grams; ``sure`` whether it was of whom it is drawn for."""

    when: Span
    grams: float
    sure: bool = True


def weights(points: Sequence[Point], width: int = 60) -> tuple[str, ...]:
    """At most seven lines of ``width`` cells; none where fewer than two weighings have a day.

    Days go to the right, grams upward, between the lowest and the highest. ``o`` is a
    weighing on a known day, ``---`` one made some day within, ``?`` one that was likely of
    the same animal, ``*`` the heaviest.
    """
    known = [p for p in points if p.when.earliest > FIRST and p.when.latest < LAST]
    if len(known) < 2:
        return ()
    low, high = min(p.grams for p in known), max(p.grams for p in known)
    first, last = min(p.when.earliest for p in known), max(p.when.latest for p in known)
    label = max(len(f"{g:g}") for g in (low, high)) + 2
    room = max(FEWEST, width - label - 3)
    grid = [[" "] * room for _ in range(ROWS)]

    def column(day: int) -> int:
        return round((day - first) * (room - 1) / (last - first)) if last > first else 0

    peak = max(known, key=lambda p: p.grams)
    for p in sorted(known, key=lambda p: (p is peak, p.when.exact)):  # what is surest is drawn last
        row = 0 if high == low else round((high - p.grams) * (ROWS - 1) / (high - low))
        start, end = column(p.when.earliest), column(p.when.latest)
        for x in range(start, end + 1):
            grid[row][x] = SOME_DAY
        if p is peak:
            grid[row][(start + end) // 2] = PEAK
        elif p.when.exact:
            grid[row][start] = SEEN if p.sure else LIKELY
    heads = {0: sentences.weight(high), ROWS - 1: sentences.weight(low)}
    if high == low:
        del heads[ROWS - 1]
    out = [f"{heads.get(y, ''):>{label}} |{''.join(cells).rstrip()}" for y, cells in enumerate(grid)]
    left, right = day_and_year(first), day_and_year(last)
    out.append(f"{'':>{label}} +{'-' * room}")
    out.append(
        f"{'':>{label}}  {left}{right:>{max(1, room - len(left))}}"
        if last > first
        else f"{'':>{label}}  {left}"
    )
    out.append(_said(known, len(points) - len(known), peak, low, high))
    return tuple(out)


def _said(known: Sequence[Point], without: int, peak: Point, low: float, high: float) -> str:
    """What the signs mean, of those that are there."""
    said = [sentences.weighings(len(known), low, high)]
    if high > low:
        when = day_and_year(peak.when.latest) if peak.when.exact else sentences.NO_EXACT_DAY
        said.append(sentences.heaviest(PEAK, when))
    if any(not p.when.exact for p in known):
        said.append(sentences.some_day_within(SOME_DAY * 3))
    if any(not p.sure for p in known):
        said.append(sentences.likely_its(LIKELY))
    if without:
        said.append(sentences.without_day(without))
    return "; ".join(said)
