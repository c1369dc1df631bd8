"""The last four weeks of an enclosure as pictures made of characters: one line a reading, one cell a day.

Pure: a walk and a width in, lines out. Counts are bars, answers of a choice are marks, and a day
nobody looked is a gap. The words beside a picture say what its newest mark is.
"""

from __future__ import annotations

from collections.abc import Mapping

from rounds.husbandry.readings import ReadingKind, StagePlan
from rounds.presenters import screen_sentences
from rounds.presenters.lines import Line, cut
from rounds.presenters.reading_values import value_words
from rounds.records.entries import AS_EXPECTED, Cell
from rounds.records.observations import Visit
from rounds.text.cleaning import clean, day_words
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.questions import Ask

DAYS = 28
LEAST = 4
"""A full bar is this many at least: one of one must not look like a feast."""
BARS = "▁▂▃▄▅▆▇█"
FINE, NOT_READ, UNSEEN = "·", "-", " "
NO_CELLS: Mapping[str, Cell] = {}
MOST = 7
"""Readings that have a picture: those first asked."""


def lines(walk: Walk, width: int) -> list[Line]:
    """A heading, two lines for each reading with anything but the ordinary to show, and what the signs mean."""
    first = walk.day - DAYS + 1
    visits = {v.day: v for v in walk.past.of(walk.state.at) if v.day >= first and v.looked}
    enclosure = walk.route.stops[walk.state.at].enclosure
    plan = walk.config.vocabulary.stages[enclosure.stage]
    cells = steps.cells_here(walk.state, walk.desk) if walk.state.earlier is None else NO_CELLS
    out: list[Line] = []
    for ask in [a for a in steps.rows(walk.state, walk.desk) if a.kind.subject != "shelf"][:MOST]:
        days = [_value(ask, visits.get(day)) for day in range(first, walk.day)]
        days.append(_today(ask, cells))
        picture = _picture(ask, days, plan, enclosure.species)
        if not set(picture) <= {FINE, NOT_READ, UNSEEN}:
            out += [cut(line, width) for line in _two_lines(ask, days, picture)]
    if not out:
        return []
    heading = screen_sentences.four_weeks(day_words(first), day_words(walk.day))
    meaning = [cut(((text, "faint"),), width) for text in screen_sentences.FOUR_WEEKS_SIGNS]
    return [cut(((heading, "strong"),), width), *out, *meaning]


def _two_lines(ask: Ask, days: list[Cell], picture: str) -> tuple[Line, Line]:
    """What is read, with its newest answer in words, and under it the picture."""
    newest = next((v for v in reversed(days) if v not in (FINE, NOT_READ, UNSEEN)), FINE)
    said = value_words(ask.kind, newest) if newest != FINE else ""
    return ((clean(ask.kind.title, 18), "strong"), (f"  {said}", "faint")), ((picture, ""),)


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


def _most(ask: Ask, days: list[Cell]) -> float:
    """The count that has the highest bar: the most that was read, or the highest that is expected."""
    usual = ask.confirms[1] if isinstance(ask.confirms, tuple) else ask.confirms
    told = [v for v in (*days, usual) if isinstance(v, (int, float)) and not isinstance(v, bool)]
    return max(told, default=0)


def _picture(ask: Ask, days: list[Cell], plan: StagePlan, species: str) -> str:
    most = max(_most(ask, days), LEAST)
    return "".join(_mark(ask.kind, v, most, plan, species) for v in days)


def _mark(kind: ReadingKind, value: Cell, most: float, plan: StagePlan, species: str) -> str:
    if value in (FINE, NOT_READ, UNSEEN):
        return str(value)
    if kind.type == "count" and isinstance(value, (int, float)):
        return BARS[min(len(BARS) - 1, round(value / most * (len(BARS) - 1)))]
    if isinstance(value, (int, float, str)) and plan.is_fine(kind.id, species, value) is not False:
        return FINE
    if kind.type == "tick":
        return "1" if value else "0"
    choice = kind.choice(str(value))
    return choice.key if choice else "?"
