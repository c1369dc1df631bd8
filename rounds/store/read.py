"""Everything that can be asked of a book; the answers are values of :mod:`rounds.records.observations`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rounds.store.read_house import dues, enclosures, house, keepers, locks
from rounds.store.read_rounds import (
    flags_of_visit,
    known_actions,
    last_round_day,
    newest_rows,
    not_seen,
    open_actions,
    round_of,
    steps_of,
    unfinished_rounds,
    unseen_of_round,
    walked,
    walked_elsewhere,
)
from rounds.store.read_visits import (
    changes,
    enclosure_of_visit,
    history,
    last_visits,
    newest_with,
    shelf_history,
    shelf_visits,
    visits_of_round,
)

if TYPE_CHECKING:
    from rounds.acts.act import Recorded
    from rounds.store.book import Book

__all__ = [
    "acts",
    "changes",
    "dues",
    "enclosure_of_visit",
    "enclosures",
    "flags_of_visit",
    "history",
    "house",
    "keepers",
    "known_actions",
    "last_round_day",
    "last_visits",
    "locks",
    "newest_rows",
    "newest_with",
    "not_seen",
    "open_actions",
    "round_of",
    "shelf_history",
    "shelf_visits",
    "steps_of",
    "unfinished_rounds",
    "unseen_of_round",
    "visits_of_round",
    "walked",
    "walked_elsewhere",
]


def acts(
    book: Book,
    *,
    enclosure: int | None = None,
    animal: int | None = None,
    since: int | None = None,
    limit: int | None = None,
) -> list[Recorded]:
    """Acts in the order they were recorded; see :func:`rounds.store.read_acts.acts`."""
    from rounds.store import read_acts  # it brings the registry of acts along, which no start needs

    return read_acts.acts(book, enclosure=enclosure, animal=animal, since=since, limit=limit)
