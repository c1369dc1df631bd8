"""When food was last given, however long ago: a cup that nobody changed for weeks is still to be changed."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from rounds.records.observations import EnclosureState, Visit
from rounds.store import read
from rounds.store.book import Book
from rounds.walk.rule_monitor import Watch


def with_last_given(
    book: Book,
    watch: Watch,
    enclosures: Iterable[EnclosureState],
    recent: Mapping[int, Sequence[Visit]],
    day: int,
    own: Collection[bytes] = (),
) -> dict[int, list[Visit]]:
    """The recent visits of enclosures, and before them the last ones that carry rules look back on.

    Only what was given since the first of those who live there now came is theirs. ``own`` are visits
    of the round that is under way, which are no past.
    """
    wanted = {}
    every = list(enclosures)
    for e in every:
        there = {kind for v in recent.get(e.id, ()) for kind, value in v.read.items() if value}
        if lacking := watch.given_before(e) - there:
            wanted[e.id] = (lacking, e.company.oldest_since)
    older = read.newest_with(book, wanted, day) if wanted else {}
    out = {}
    for e in every:
        seen = recent.get(e.id, ())
        known = {*own, *(v.uid for v in seen)}
        before = [v for v in older.get(e.id, ()) if v.uid not in known]
        out[e.id] = sorted((*before, *seen), key=lambda v: (v.day, v.at_ms)) if before else list(seen)
    return out
