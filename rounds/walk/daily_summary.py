"""A day put together from the book: the summary that any command can print.

Composes the store, the rules and the pure summary; the walk composes the same from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from rounds.config import Config
from rounds.husbandry import locks
from rounds.husbandry.locks import ActiveLock
from rounds.records.entries import Entry
from rounds.records.observations import EnclosureState, Visit
from rounds.records.round_summary import Summary, summary
from rounds.rules.scene import Scene
from rounds.store import read
from rounds.store.book import Book
from rounds.walk.last_given import with_last_given
from rounds.walk.rule_monitor import Watch

LOOK_BACK = 15  # days of visits that carry rules and standing flags look back on


def of_day(book: Book, config: Config, day: int) -> Summary:
    """The summary of a round day: open actions, what to carry, due, not seen.

    Due work follows from the books as they are now.
    """
    from rounds.store.ledger_store import load
    from rounds.walk.due_background import added, find

    enclosures = read.enclosures(book)
    past = read.history(book, since_day=day - LOOK_BACK)
    held = read.locks(book, day)
    visits = {e.id: [v for v in past.get(e.id, ()) if v.day <= day] for e in enclosures}
    today = {id_: [v for v in some if v.day == day] for id_, some in visits.items()}
    watch = Watch(
        config.rules, day, config.fingerprint, lambda _box, _rule: b"", read.open_actions(book, day)
    )
    shelves = by_shelf(past.values(), config)
    given = with_last_given(book, watch, enclosures, visits, day)
    due = find(load(book), config, day, day)
    return summary(
        day,
        enclosures,
        {
            e.id: [
                watch.as_told(a, e.stage, likely_cell=e.id in due.likely_cells) for a in watch.open_at(e.id)
            ]
            for e in enclosures
        },
        {id_: any(v.looked for v in some) for id_, some in today.items()},
        {id_: next((v.skipped for v in some if v.skipped), "") for id_, some in today.items()},
        due.carry,
        due.dues,
        added(
            {
                e.id: watch.bring(
                    scene_at(e, given[e.id], day, shelves, config),
                    in_force(e, held, day),
                    config.vocabulary.unasked(vacated=e.vacated, young_only=e.young_only),
                )
                for e in enclosures
            },
            due.needs,
        ),
    )


def judge_newest(book: Book, config: Config, new_id: Callable[[], bytes]) -> list[Entry]:
    """The flag and action rows that a loaded history's newest visits leave standing.

    A walk judges every visit as it is made; visits that came from tables were judged by
    nobody. Only each enclosure's newest visit is, for what stood before is over. An
    enclosure that has an open action of a rule gets no second one.
    """
    enclosures = read.enclosures(book)
    newest = {e.id: seen[-1] for e in enclosures if (seen := read.last_visits(book, e.id, 1))}
    if not newest:
        return []
    last = max(v.day for v in newest.values())
    past = read.history(book, since_day=min(v.day for v in newest.values()) - LOOK_BACK)
    held = read.locks(book, last)
    shelves = by_shelf(past.values(), config)
    known = read.known_actions(book, last)
    entries: list[Entry] = []
    for e in enclosures:
        visit = newest.get(e.id)
        if visit is None or not visit.looked or read.flags_of_visit(book, visit.uid):
            continue
        watch = Watch(
            config.rules,
            visit.day,
            config.fingerprint,
            lambda _box, _rule: new_id(),
            {e.id: known.get(e.id, [])},
        )
        scene = scene_at(e, past.get(e.id, [visit]), visit.day, shelves, config)
        entries += watch.judge(scene, in_force(e, held, visit.day), visit.uid, visit.at_ms, visit.keeper)
    return entries


def scene_at(
    e: EnclosureState,
    visits: Sequence[Visit],
    day: int,
    shelves: Mapping[str, Sequence[Visit]],
    config: Config,
) -> Scene:
    """The enclosure as it stood on ``day``: at its visit of that day, or with nobody there."""
    shelf = shelves.get(e.place.shelf_name, ()) if e.place else ()
    at = visits[-1].at_ms if visits else 0
    present = bool(visits) and visits[-1].day == day
    return Scene(e, visits, day, at, shelf, present, lambda: config.species)


def by_shelf(past: Iterable[Sequence[Visit]], config: Config) -> dict[str, list[Visit]]:
    """Visits at which a shelf's own reading was taken, by shelf, oldest first."""
    wanted = config.vocabulary.every_shelf
    out: dict[str, list[Visit]] = {}
    for some in past:
        for v in some:
            if v.shelf and any(k in v.read for k in wanted):
                out.setdefault(v.shelf, []).append(v)
    for found in out.values():
        found.sort(key=lambda v: v.at_ms)
    return out


def in_force(e: EnclosureState, held: Mapping[int, Sequence[ActiveLock]], day: int) -> tuple[ActiveLock, ...]:
    return locks.in_force(e.stage, held.get(e.id, ()), day, vacated=e.vacated)
