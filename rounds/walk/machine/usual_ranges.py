"""The usual range of a reading at a box, and where it is known from: one function for all that is drawn or compared."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.husbandry.readings import ReadingKind, StagePlan
from rounds.husbandry.species import OWN_RECORDS, Species
from rounds.named_tuple import NamedTuple
from rounds.records.observations import Visit
from rounds.walk.machine.questions import observed_range

GRAMS = "grams"
"""The weight of a larva; it is no reading of a visit, but it has a usual range as well."""
OF_THE_STAGE = "the stage's readings"
"""The source of a value that the file of readings gives for a stage."""


class Usual(NamedTuple):
    """Lowest and highest usual value, and who says so: the box's own records, the stage, or the species file."""

    low: float
    high: float
    source: str


class Box(NamedTuple):
    """What is known of a box that a usual range follows from.

    ``visits`` are the earlier looks, oldest first, and ``changed`` is the last day on which the stage or who
    is in it was another: what was read until then says nothing about who is there now. ``species`` is None
    where no file tells of it, and ``sex`` is that of a larva that is alone.
    """

    plan: StagePlan
    visits: Sequence[Visit]
    day: int
    changed: int
    species_name: str = ""
    species: Species | None = None
    sex: str = "unknown"


def usual(reading: ReadingKind | str, box: Box) -> Usual | None:
    """The usual range of a counted reading, or of a larva's weight (:data:`GRAMS`); None where nobody knows one.

    A weight is held against the heaviest that larvae of its sex become; a count against what the same animals
    did in the last fortnight, or against the one value that the stage usually has.
    """
    if isinstance(reading, str):
        found = box.species.range("peak_grams", box.sex, "unknown") if box.species is not None else None
        return Usual(found.low, found.high, found.source) if reading == GRAMS and found is not None else None
    value = box.plan.usual_value(reading.id, box.species_name)
    if reading.type != "count" or value is None:
        return None
    if value != "history":
        return Usual(float(value), float(value), OF_THE_STAGE)
    seen = observed_range(reading.id, box.visits, box.day, box.changed)
    return Usual(*seen, OWN_RECORDS) if seen is not None else None
