"""The last four weeks of an enclosure as pictures made of characters, one cell a day.

Pure: a walk and a width in, lines out. Counts are bars of eight levels with the range that is usual,
answers of a choice are marks with their words, and a day nobody looked is a gap.

At 80 columns there are no pictures: the last three looks stay, each in its column. A strip of 24 days in the
same 24 cells was tried on boxes 7, 12, 14, 15, 22, 23, 33, 47, 57 and 60 of the invented house (59 rows). What was read
the last three times takes 773 characters of words there, one hop of the eye along the row, and is said whole. The
strip takes 1,356 marks; 12 of them are digits whose meaning is two hops away, at the foot and back, and only while
that row is asked; and in 11 rows, those of jelly among them, a bar does not say the number. It shows a trend
better, which 80 columns cannot explain beside it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from rounds.husbandry.readings import ReadingKind, StagePlan
from rounds.presenters import screen_sentences, side_sentences
from rounds.presenters.lines import Line, cut, flow, size
from rounds.presenters.reading_values import value_words
from rounds.records.entries import AS_EXPECTED, NOTE, Cell
from rounds.records.observations import Visit
from rounds.text.cleaning import clean, day_words
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.questions import Ask
from rounds.walk.machine.usual_ranges import Box, Usual, usual

DAYS = 28
LEAST = 4
"""A full bar is this many at least: one of one must not look like a feast."""
BARS = "▁▂▃▄▅▆▇█"
FINE, NOT_READ, UNSEEN = "·", "-", " "
NO_CELLS: Mapping[str, Cell] = {}
MOST = 7
"""Readings that have a picture: those first asked."""


def lines(walk: Walk, width: int) -> list[Line]:
    """A heading, what is read and its picture for each reading with anything but the ordinary, and the signs."""
    first = walk.day - DAYS + 1
    past = walk.past.of(walk.state.at)
    visits = {v.day: v for v in past if v.day >= first and v.looked}
    enclosure = walk.route.stops[walk.state.at].enclosure
    plan = walk.config.vocabulary.stages[enclosure.stage]
    box = Box(plan, past, walk.day, enclosure.changed, enclosure.species)
    now = steps.cells_here(walk.state, walk.desk) if walk.state.earlier is None else NO_CELLS
    cells = {kind: cell for kind, cell in now.items() if cell is not None and kind != NOTE}
    out: list[Line] = []
    signs = ""
    for ask in [a for a in steps.rows(walk.state, walk.desk) if a.kind.subject != "shelf"][:MOST]:
        days = [_value(ask, visits.get(day)) for day in range(first, walk.day)]
        days.append(_today(ask, cells))
        picture = _Picture(ask.kind, days, plan, enclosure.species, usual(ask.kind, box))
        if not set(picture.marks) <= {FINE, NOT_READ, UNSEEN}:
            out += picture.lines(width)
            signs += picture.marks
    if not out:
        looked = [FINE if day in visits else UNSEEN for day in range(first, walk.day)]
        missed = looked.count(UNSEEN)
        if not visits or not missed:
            return []
        said = (side_sentences.LOOKS, "strong"), (f"  {side_sentences.looks_missed(missed)}", "faint")
        signs = "".join((*looked, FINE if cells else UNSEEN))
        out = [cut(said, width), cut(((signs, ""),), width)]
    heading = screen_sentences.four_weeks(day_words(first), day_words(walk.day))
    gaps = any(day not in visits for day in range(first, walk.day))
    return [cut(((heading, "faint"),), width), *out, *_meaning(signs, width, gaps=gaps)]


def _meaning(signs: str, width: int, *, gaps: bool) -> list[Line]:
    """What the signs of the pictures mean: of those that are there."""
    known = (
        (side_sentences.BARS, any(s in signs for s in BARS)),
        (side_sentences.NOT_READ, NOT_READ in signs),
        (side_sentences.FINE, FINE in signs),
        (side_sentences.GAP, gaps),
    )
    return flow([((f"{text}  ", "faint"),) for text, there in known if there], width)


class _Picture:
    """One reading in four weeks: ``marks`` has a cell for each day, the oldest first."""

    def __init__(
        self, kind: ReadingKind, days: Sequence[Cell], plan: StagePlan, species: str, range_: Usual | None
    ) -> None:
        self.kind, self.days, self.range = kind, days, range_
        counts = [v for v in days if isinstance(v, (int, float)) and kind.type == "count"]
        self.most = max([*counts, range_.high if range_ is not None else 0, LEAST])
        self.marks = "".join(self._mark(v, plan, species) for v in days)

    def lines(self, width: int) -> list[Line]:
        """What is read with its newest answer in words, the usual range, and the picture under them."""
        newest = next((v for v in reversed(self.days) if v not in (FINE, NOT_READ, UNSEEN)), FINE)
        words = self._answers(newest) if self.kind.type != "count" else []
        said = [words.pop(0) if words else value_words(self.kind, newest)]
        title: Line = ((clean(self.kind.title, 18), "strong"),)
        head: Line = (*title, (f"  {said[0]}", ""))
        pieces = [((f"  {text}", "faint"),) for text in (*words, *self._usual())]
        while pieces and size(head) + sum(map(size, pieces)) > width and self.kind.type != "count":
            pieces.pop()  # the oldest answer goes first; all are in the list of looks
        first = [head] if size(head) <= width else [title, head[1:]]
        return [*flow([*first, *pieces], width), cut(self._runs(), width)]

    def _answers(self, newest: Cell) -> list[str]:
        """The answers in the picture with their marks, the newest first."""
        out: list[str] = []
        for value, mark in zip(reversed(self.days), reversed(self.marks), strict=True):
            if value in (FINE, NOT_READ, UNSEEN):
                continue
            words = value_words(self.kind, value)
            said = side_sentences.answer(mark, words) if mark != FINE else words
            if said not in out and (mark != FINE or value == newest):
                out.append(said)
        return out

    def _usual(self) -> list[str]:
        if self.range is None:
            return []
        low, high = self.range.low, self.range.high
        return [side_sentences.usual_count(f"{low:g}", f"{high:g}", self._bar(low), self._bar(high))]

    def _runs(self) -> Line:
        """The picture; what is outside of the usual range stands out."""
        cells = zip(self.marks, (self._beyond(v) for v in self.days), strict=True)
        return tuple(
            ("".join(mark for mark, _ in some), "look" if beyond else "")
            for beyond, some in groupby(cells, key=lambda cell: cell[1])
        )

    def _beyond(self, value: Cell) -> bool:
        if self.range is None or not isinstance(value, (int, float)):
            return False  # of a tick or a choice there is no range
        return not self.range.low <= value <= self.range.high

    def _bar(self, value: float) -> str:
        return BARS[min(len(BARS) - 1, round(value / self.most * (len(BARS) - 1)))]

    def _mark(self, value: Cell, plan: StagePlan, species: str) -> str:
        if value in (FINE, NOT_READ, UNSEEN):
            return str(value)
        kind = self.kind
        if kind.type == "count" and isinstance(value, (int, float)):
            return self._bar(value)
        if isinstance(value, (int, float, str)) and plan.is_fine(kind.id, species, value) is not False:
            return FINE
        if kind.type == "tick":
            return "1" if value else "0"
        choice = kind.choice(str(value))
        return choice.key if choice else "?"


def _value(ask: Ask, visit: Visit | None) -> Cell:
    """What was read on a day; what was only confirmed is ``FINE``, a count as much as a choice."""
    if visit is None:
        return UNSEEN
    if ask.kind.id in visit.read:
        return visit.read[ask.kind.id]
    return FINE if ask.kind.id in visit.confirmed else NOT_READ


def _today(ask: Ask, cells: Mapping[str, Cell]) -> Cell:
    if ask.kind.id in cells:
        return cells[ask.kind.id]
    confirmed = cells.get(AS_EXPECTED)
    if isinstance(confirmed, Mapping) and ask.kind.id in confirmed:
        return FINE
    return NOT_READ if cells else UNSEEN
