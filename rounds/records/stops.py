"""One enclosure of a walk, with everything shown there before a hand touches the lid."""

from __future__ import annotations

from rounds.husbandry.locks import ActiveLock
from rounds.named_tuple import NamedTuple
from rounds.records.observations import DueNotice, EnclosureState

DUE_AHEAD = 7  # days ahead that due work is shown at the enclosure


class Stop(NamedTuple):
    """``locks`` are those in force, the stage's own too; ``dues`` those that begin within a week.

    ``likely_cell``: its larvae may be wandering or in their cells by now, as far as due work was worked out.
    """

    enclosure: EnclosureState
    locks: tuple[ActiveLock, ...]
    dues: tuple[DueNotice, ...]
    first_on_shelf: bool
    likely_cell: bool = False

    @property
    def shelf(self) -> str:
        return self.enclosure.place.shelf_name if self.enclosure.place else ""
