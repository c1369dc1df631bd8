"""The rack as it stands: every shelf with its slots from left to right, and how each box fares.

What has to be known at a glance is a sign or a word, never only a colour: the worst open
action, work that is due, a lock, and for how many days nobody has looked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rounds.husbandry import locks
from rounds.husbandry.locks import ActiveLock
from rounds.records import enclosure_view
from rounds.records.observations import Action, EnclosureState
from rounds.records.round_summary import MARKS
from rounds.records.stops import Stop
from rounds.records.tables import Enclosure, Place
from rounds.text.cleaning import day_words
from rounds.values.spans import span_words
from rounds.views import box_sentences as sentences
from rounds.views import family_queries, page_sentences, page_words
from rounds.views.page import Link, OpenPage, Page, Shelf, Tile
from rounds.views.sources import Sources

TODAY, LATELY, LONG, NEVER = "✓", "░", "▒", "▓"
"""Shades, by days since the last look: none, one or two, three and more, never looked at."""
LATELY_DAYS = 2
MOST_DAYS = 99
LEGEND = (
    (TODAY, sentences.SEEN_TODAY),
    (LATELY, sentences.SEEN_LATELY),
    (LONG, sentences.SEEN_LONG_AGO),
    (f"{NEVER}?", sentences.NEVER_SEEN),
    ("!!!", sentences.OPEN_NOW),
    ("!!", sentences.OPEN_TODAY),
    ("!", sentences.OPEN_WATCH),
    (sentences.DUE, sentences.WORK_DUE),
    (sentences.LOCK, sentences.LOCKED),
)
Spot = tuple[str, int, int]  # bay, shelf, slot


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    """The page of all shelves; empty slots are those of the books in which nothing stands."""
    ledger = sources.ledger
    stops = {s.enclosure.id: s for s in sources.stops()}
    looks = sources.last_looks()
    held: dict[Spot, list[tuple[int, int, Tile]]] = {(p.bay, p.shelf, p.slot): [] for p in ledger.rows(Place)}
    nowhere: list[Tile] = []
    boxes = 0
    for enclosure in ledger.rows(Enclosure):
        boxes += 1
        stop = stops.get(enclosure.id)
        box = enclosure_view.enclosure(ledger, enclosure.id) if stop is None else stop.enclosure
        tile = _tile(
            box,
            stop,
            _locks(box, stop, sources),
            sources.actions(enclosure.id),
            looks.get(enclosure.id),
            sources.day,
            set_aside=sources.sets_locks_aside(enclosure.id),
        )
        if box.place is None:
            nowhere.append(tile)
            continue
        spot = (box.place.bay, box.place.shelf, box.place.slot)
        held.setdefault(spot, []).append((box.order, box.number, tile))
    shelves = _shelves(held)
    shelves += [Shelf(sentences.WITHOUT_A_PLACE, (tile,), listed=True) for tile in nowhere]
    return Page(
        sentences.rack(boxes),
        shelves=tuple(shelves) if boxes else (),
        about=sentences.ABOUT_RACK,
        hint="" if boxes else page_sentences.NO_BOX,
    )


def _shelves(held: Mapping[Spot, Sequence[tuple[int, int, Tile]]]) -> list[Shelf]:
    shelves: dict[tuple[str, int], list[Tile]] = {}
    for (bay, shelf, slot), some in sorted(held.items(), key=lambda kept: _in_order(kept[0])):
        here = shelves.setdefault((bay, shelf), [])
        here += [tile for _, _, tile in sorted(some, key=lambda t: t[:2])] or [_free(f"{bay}{shelf}-{slot}")]
    return [Shelf(f"{bay}{shelf}", tuple(tiles), bay) for (bay, shelf), tiles in shelves.items()]


def _in_order(spot: Spot) -> tuple[object, ...]:
    """As the walk has it, but every shelf from the left: bay 2 before bay 10."""
    bay, shelf, slot = spot
    return (family_queries.natural(bay), bay, shelf, slot)


def _free(address: str) -> Tile:
    return Tile(("", sentences.FREE), None, said=(sentences.nothing_stands(address),))


def _tile(
    box: EnclosureState,
    stop: Stop | None,
    held: Sequence[ActiveLock],
    actions: Sequence[Action],
    looked: int | None,
    day: int,
    *,
    set_aside: bool,
) -> Tile:
    dues = [] if stop is None else [d for d in stop.dues if d.planned() <= day]
    worst = actions[0].level if actions else ""
    signs = (*([sentences.DUE] if dues else []), *([sentences.LOCK] if held else []))
    where = box.place.address if box.place else page_sentences.NO_PLACE
    when = _looked(box, looked, day)
    said = [
        sentences.box(where, box.code, box.number, box.stage, _contents(box), when),
        *(_action(a) for a in actions),
        *(sentences.lock(_lock(k, day, set_aside=set_aside)) for k in locks.as_told(held)),
        *(sentences.due(d.what, span_words(d.window.earliest, d.window.latest), d.withheld) for d in dues),
    ]
    return Tile(
        (box.code, _stage(box)),
        Link("enclosure", box.id),
        MARKS.get(worst, ""),
        worst,
        shade(box, looked, day),
        box.id,
        signs,
        tuple(said),
    )


def _lock(lock: ActiveLock, day: int, *, set_aside: bool) -> str:
    if set_aside:
        return sentences.lock_set_aside(*locks.set_aside(lock, day), lock.reason)
    return locks.words(lock, day)


def _action(a: Action) -> str:
    said = sentences.open_action(a.reason, a.todo, a.withheld, cause_gone=a.cause_gone)
    return sentences.action(MARKS.get(a.level, "!"), said)


def shade(box: EnclosureState, looked: int | None, day: int) -> str:
    """How long nobody looked, as a sign and a number of days; nothing for a box that is not walked to."""
    if looked is None:
        return "" if box.stage == "empty" else f"{NEVER}?"
    ago = day - looked
    if ago <= 0:
        return TODAY
    sign = LATELY if ago <= LATELY_DAYS else LONG
    return f"{sign}{ago}d" if ago <= MOST_DAYS else f"{sign}{MOST_DAYS}+d"


def _stage(box: EnclosureState) -> str:
    instars = {c.instar for c in box.contents if c.instar}
    return sentences.larvae_of(instars.pop()) if box.stage == "larvae" and len(instars) == 1 else box.stage


def _looked(box: EnclosureState, looked: int | None, day: int) -> str:
    if looked is None:
        return "" if box.stage == "empty" else sentences.NEVER_LOOKED
    ago = day - looked
    if ago <= 0:
        return sentences.LOOKED_TODAY
    return sentences.looked(day_words(looked), page_sentences.ago(ago))


def _locks(box: EnclosureState, stop: Stop | None, sources: Sources) -> Sequence[ActiveLock]:
    if stop is not None:
        return stop.locks
    held = enclosure_view.locks(sources.ledger, box.id, sources.day)
    return locks.in_force(box.stage, held, sources.day, vacated=box.vacated)


def _contents(box: EnclosureState) -> str:
    said = []
    for c in box.contents:
        if c.animal:
            said.append(f"{c.line} {c.animal}{' ' + c.sex if c.sex in page_words.SEXES else ''}")
        else:
            counts = page_sentences.counts(c.males, c.females, c.unsexed, at_least=c.at_least)
            said.append(f"{c.line} {counts}{' ' + c.instar if c.instar else ''}")
    return ", ".join(said) or page_sentences.NOBODY_RECORDED
