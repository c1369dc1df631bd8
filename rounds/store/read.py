"""Everything that can be asked of a book; the answers are :mod:`rounds.husbandry` records."""

from rounds.store.read_house import dues, enclosures, house, keepers, locks
from rounds.store.read_rounds import (
    flags_of_day,
    flags_of_visit,
    known_actions,
    not_seen,
    open_actions,
    round_of,
    rounds_of_day,
    steps_of,
    unfinished_rounds,
    unseen_of_round,
)
from rounds.store.read_visits import (
    changes,
    enclosure_of_visit,
    history,
    last_visits,
    shelf_history,
    shelf_visits,
    visits_of_round,
)

__all__ = [
    "changes",
    "dues",
    "enclosure_of_visit",
    "enclosures",
    "flags_of_day",
    "flags_of_visit",
    "history",
    "house",
    "keepers",
    "known_actions",
    "last_visits",
    "locks",
    "not_seen",
    "open_actions",
    "round_of",
    "rounds_of_day",
    "shelf_history",
    "shelf_visits",
    "steps_of",
    "unfinished_rounds",
    "unseen_of_round",
    "visits_of_round",
]
