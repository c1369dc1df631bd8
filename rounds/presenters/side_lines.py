"""The right-hand column of a wide screen: four weeks in pictures, who is in the box, what comes next, notes.

What follows from the books and the looks is made once for a box and what was saved there, not at every key.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from rounds.named_tuple import NamedTuple
from rounds.presenters import screen_sentences, side_sentences
from rounds.presenters.lines import BLANK, Line, cut, fit, flow, size, wrap
from rounds.records.entries import NOTE, Cell
from rounds.records.round_summary import MARKS
from rounds.records.stops import Stop
from rounds.text.cleaning import clean, long_day
from rounds.values.spans import span_words
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.state import VisitDraft

if TYPE_CHECKING:
    from rounds.presenters import box_facts
    from rounds.records.ledger import Ledger

NO_LOOK = VisitDraft()
NEXT, NEXT_BOXES = 38, 8
"""Cells that the list of the next boxes takes, and how many of them it has."""
ALL_NAMED = 4
"""Animals and groups that are named one by one; of more, the first ones and how many there are."""


class _Kept(NamedTuple):
    """The lines of a box, and what they were made from: the same things, and equal answers."""

    made_from: tuple[object, ...]
    answers: Mapping[str, Cell]
    lines: tuple[Line, ...]


_KEPT: WeakKeyDictionary[Walk, _Kept] = WeakKeyDictionary()


def lines(walk: Walk, width: int, height: int) -> list[Line]:
    """Exactly ``height`` lines of ``width`` cells."""
    out = list(_of_box(walk, width))
    shown = steps.rows(walk.state, walk.desk)
    if len(out) < height and walk.state.cursor < len(shown):
        kind = shown[walk.state.cursor].kind
        out += _about(clean(kind.title, 40), kind.about, width, 6)
    if len(out) < height:
        out += _notes(walk, width)
    if len(out) + 1 < height and width >= NEXT:
        out += _next(walk, height - len(out))
    out = [cut(line, width) for line in out[:height]]
    return out + [cut(BLANK, width)] * (height - len(out))


def _of_box(walk: Walk, width: int) -> tuple[Line, ...]:
    """The pictures, who is here and the next work: kept until the box, its looks or the books are others."""
    at, state = walk.state.at, walk.state
    look = state.looks.get(at, NO_LOOK)
    answers = {kind: cell for kind, cell in look.cells.items() if kind != NOTE}
    made_from = (
        walk.route.stops[at],
        look.extra,
        look.depth,
        state.corrected,
        state.earlier,
        walk.past.of(at),
        walk.books.at_hand,
        walk.dues.works,
        width,
    )
    kept = _KEPT.get(walk)
    same = kept is not None and all(a is b for a, b in zip(kept.made_from, made_from, strict=True))
    if kept is None or not same or kept.answers != answers:
        kept = _KEPT[walk] = _Kept(made_from, answers, tuple(_made(walk, width)))
    return kept.lines


def _made(walk: Walk, width: int) -> list[Line]:
    """The pictures, and below them what needs the books: nothing moves when they have been read beside the keys."""
    from rounds.presenters import four_weeks  # no start needs it

    parts = [four_weeks.lines(walk, width)]
    if walk.books.at_hand is not None:
        stop = walk.route.stops[walk.state.at]
        parts += [*_of_books(walk, walk.books.at_hand, stop, width), _due(walk, stop, width)]
    out: list[Line] = []
    for part in parts:
        out += [*part, BLANK] if part else []
    return out


def _of_books(walk: Walk, ledger: Ledger, stop: Stop, width: int) -> tuple[list[Line], list[Line]]:
    """Who is in the box with age, and a larva's weights."""
    from rounds.presenters import box_facts

    found = box_facts.facts(ledger, stop.enclosure.id, walk.day)
    return who(found.living, width), _weights(walk, stop, found, width)


def who(living: tuple[box_facts.Living, ...], width: int) -> list[Line]:
    """One by one with age; the number of an animal is never cut, and of many it is said how many there are."""
    shown = living if len(living) <= ALL_NAMED else living[: ALL_NAMED - 1]
    out: list[Line] = [((side_sentences.IN_THE_BOX, "faint"),)] if living else []
    for one in shown:
        name, age = wrap(clean(one.name, 200), width, 4), clean(one.age, 80)
        if len(name) == 1 and size(((f"{name[0]}  {age}", ""),)) <= width:
            out.append(((name[0], "strong"), (f"  {age}", "")))
            continue
        out += [((part, "strong"),) for part in name]
        out += [((f" {part}", ""),) for part in wrap(age, width - 1, 2)]
    if len(shown) < len(living):
        more = side_sentences.and_more(len(living) - len(shown), sum(one.animals for one in living))
        out.append(((more, "faint"),))
    return out


def _weights(walk: Walk, stop: Stop, found: box_facts.BoxFacts, width: int) -> list[Line]:
    """The last weights of a larva as bars and numbers, and how heavy its sex becomes."""
    if not found.weights:
        return []
    from rounds.presenters.four_weeks import BARS
    from rounds.walk.machine.usual_ranges import GRAMS, Box, usual

    box = stop.enclosure
    plan = walk.config.vocabulary.stages[box.stage]
    species = walk.config.species.get(box.species)
    range_ = usual(GRAMS, Box(plan, (), walk.day, box.changed, box.species, species, found.sex))
    most = max([*found.weights, range_.high if range_ is not None else 0])
    bars = "".join(BARS[min(len(BARS) - 1, round(g / most * (len(BARS) - 1)))] for g in found.weights)
    when = span_words(found.weighed.earliest, found.weighed.latest) if found.weighed is not None else ""
    said = side_sentences.grams(tuple(f"{g:g}" for g in found.weights), when)
    out = flow([((f"{side_sentences.WEIGHT} ", "strong"),), ((f" {bars} ", ""),), ((f" {said}", ""),)], width)
    if range_ is not None:
        source = range_.source.split(",")[0]
        told = side_sentences.heaviest(found.sex, f"{range_.low:g}", f"{range_.high:g}", source)
        out += [((x, "faint"),) for x in wrap(clean(told, 200), width, 2)]
    return out


def _due(walk: Walk, stop: Stop, width: int) -> list[Line]:
    """The work that comes next at this box, and in how many days."""
    coming = [(d.window.earliest, d.window, d.what, d.withheld) for d in stop.dues]
    if walk.dues.works is not None:
        here = (w for w in walk.dues.works if w.enclosure == stop.enclosure.id and w.done is None and w.shown)
        coming = [(w.begins(), w.window, w.what, w.withheld) for w in here]
    if not coming:
        return []
    # What is late first, the longest; then what begins the soonest.
    coming.sort(key=lambda work: (work[1].latest >= walk.day, min(work[1].latest, max(work[0], walk.day))))
    day, window, what, withheld = coming[0]
    late = window.latest - walk.day
    days = late if late < 0 else max(0, day - walk.day)
    said = side_sentences.next_due(clean(what, 80), days, waits=bool(withheld))
    when = span_words(window.earliest, window.latest)
    parts = [f"{said}, {when}"] if len(said) + len(when) + 2 <= width else [said, when]
    return [
        ((side_sentences.NEXT_DUE, "faint"),),
        *(((x, ""),) for part in parts for x in wrap(part, width, 3)),
    ]


@lru_cache(64)  # the same at every key in a row
def _about(title: str, about: str, width: int, most: int) -> tuple[Line, ...]:
    """What a reading means."""
    text = [((x, ""),) for x in wrap(clean(about, 400), width, most)]
    return (((title, "faint"),), *text, BLANK)


def _notes(walk: Walk, width: int) -> list[Line]:
    """The note of the box and those of its last looks."""
    out: list[Line] = []
    note = walk.route.stops[walk.state.at].enclosure.note
    if note:
        out.append(((screen_sentences.ABOUT_THIS_ENCLOSURE, "faint"),))
        out += [((x, ""),) for x in wrap(clean(note, 400), width, 4)]
        out.append(BLANK)
    for v in reversed([v for v in walk.past.of(walk.state.at) if v.note][-2:]):
        out.append(((screen_sentences.note_of(long_day(v.day)), "faint"),))
        out += [((x, ""),) for x in wrap(clean(v.note, 400), width, 4)]
        out.append(BLANK)
    return out


def _next(walk: Walk, most: int) -> list[Line]:
    """The boxes that come next, as many as there are lines for."""
    out: list[Line] = [((screen_sentences.NEXT_ON_THE_WALK, "faint"), (screen_sentences.SIGNS, "faint"))]
    at = walk.state.at
    while len(out) < min(most, NEXT_BOXES + 1):
        at = steps.stop_after(walk.desk, at)
        if at >= walk.route.count():
            break
        e = walk.route.stops[at].enclosure
        mark = "✓" if walk.round.looked(at) else ("s" if walk.round.skipped(at) else " ")
        actions = walk.desk.actions(at)
        open_ = MARKS[actions[0].level] if actions else ""
        if not open_ and any(d.planned() <= walk.day for d in walk.route.stops[at].dues):
            open_ = screen_sentences.DUE
        where = clean(e.place.address, 8) if e.place else ""
        row = f"{mark} {fit(where, 6)} {fit(clean(e.code, 10), 10)} {e.stage:<10} "
        out.append(((row, ""), (open_, "today")))
    return out
