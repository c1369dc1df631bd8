"""Everything a rule may look at when one enclosure is judged."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from rounds.named_tuple import NamedTuple
from rounds.records.observations import EnclosureState, Visit

if TYPE_CHECKING:
    from rounds.husbandry.species import Species


def no_presets() -> Mapping[str, Species]:
    """Nothing is known of any species."""
    return {}


class Scene(NamedTuple):
    """One enclosure at one moment.

    ``visits`` are oldest first. The last of them is the visit being made, unless
    ``present`` is False: then nobody is there and all of them are past (how the summary
    judges what was not seen). ``shelf`` are the visits, to any enclosure of its shelf, at
    which a reading of the shelf was taken, oldest first. ``today`` is the round day,
    ``now_ms`` the instant (UTC epoch ms). ``presets`` gives what is known of each species;
    it is only asked when a rule rests on that, for no walk is to wait for those files.
    """

    enclosure: EnclosureState
    visits: Sequence[Visit]
    today: int
    now_ms: int
    shelf: Sequence[Visit] = ()
    present: bool = True
    presets: Callable[[], Mapping[str, Species]] = no_presets

    @property
    def species(self) -> Species | None:
        """What is known of the species that lives here."""
        return self.presets().get(self.enclosure.species)

    @property
    def stage_from(self) -> int:
        """First day from which the enclosure was certainly in its stage (1 when nobody knows)."""
        return self.enclosure.stage_from


class UsualRange(NamedTuple):
    """A number known only to lie within ``low``..``high``, both included."""

    low: float
    high: float
