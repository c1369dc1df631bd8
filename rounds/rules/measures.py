"""The derived measures that rules can ask for: one table, each line with the function that works it out.

The functions stand by what they are about in `visit_measures`, `enclosure_measures`,
`food_measures` and `species_measures`. Every one takes a
:class:`~rounds.rules.visit_view.View` and the id of the reading it is asked about (empty for
most) and returns a value, or None when that is not known. Only what was observed is used: a
value confirmed by one key, or a visit that was skipped, neither enters a baseline nor
lengthens or ends a run.

Readings that measures are made from are named by their ids in ``readings.yaml``; where
such a reading does not exist the parser refuses the measure.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from rounds.husbandry.stages import INSTARS
from rounds.named_tuple import NamedTuple
from rounds.rules import enclosure_measures, food_measures, species_measures, visit_measures
from rounds.rules.visit_view import View

Function = Callable[[View, str], Any]


class Measure(NamedTuple):
    """One derived measure.

    ``kind`` is number, choice, tick, or ``same`` (of the reading's own type); ``of`` says
    which types of reading it is asked about (empty: none); ``choices`` are a choice's
    words; ``reads`` are the readings it is made from.
    """

    name: str
    kind: str
    about: str
    function: Function
    unit: str = ""
    of: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    reads: tuple[str, ...] = ()
    low: float | None = 0  # the least a number can be; None: it may be negative


def key_of(name: str, of: str = "") -> str:
    """The key under which a look keeps this measure."""
    return f"={name} of {of}" if of else f"={name}"


_ASKED: dict[str, tuple[Function, str]] = {}


def compute(view: View, key: str) -> Any:
    """The value of the measure kept under ``key``. Raises KeyError for an unknown one."""
    asked = _ASKED.get(key)
    if asked is None:
        name, _, of = key[1:].partition(" of ")
        asked = _ASKED[key] = (MEASURES[name].function, of)
    return asked[0](view, asked[1])


_ANY = ("count", "choice", "tick")
_JELLY = ("jelly_gone",)

MEASURES: dict[str, Measure] = {
    m.name: m
    for m in (
        Measure(
            "hours_since_visit", "number", "hours since the last look", visit_measures.hours_since_visit, "h"
        ),
        Measure(
            "days_since_visit",
            "number",
            "round days since the last look",
            visit_measures.days_since_visit,
            "days",
        ),
        Measure(
            "days_in_stage",
            "number",
            "days it has certainly been in its stage",
            visit_measures.days_in_stage,
            "days",
        ),
        Measure(
            "previous", "same", "what the last observation of a reading was", visit_measures.previous, of=_ANY
        ),
        Measure(
            "change_since_last",
            "number",
            "a count now minus the last one observed",
            visit_measures.change_since_last,
            of=("count",),
            low=None,
        ),
        Measure(
            "same_for_visits",
            "number",
            "looks in a row, this one included, with the same answer",
            visit_measures.same_for_visits,
            "visits",
            of=_ANY,
        ),
        Measure(
            "same_for_days",
            "number",
            "days that run has lasted",
            visit_measures.same_for_days,
            "days",
            of=_ANY,
        ),
        Measure(
            "days_since",
            "number",
            "days since a tick was last yes or a count above nothing",
            visit_measures.days_since,
            "days",
            of=("tick", "count"),
        ),
        Measure(
            "days_since_read",
            "number",
            "days since a reading was last observed",
            visit_measures.days_since_read,
            "days",
            of=_ANY,
        ),
        Measure(
            "days_since_sign",
            "number",
            "days since somebody was seen or food had gone",
            visit_measures.days_since_sign,
            "days",
            reads=visit_measures.SIGNS,
        ),
        Measure("adults", "number", "adults recorded here", enclosure_measures.adults),
        Measure("males", "number", "adult males recorded here", enclosure_measures.males),
        Measure("females", "number", "adult females recorded here", enclosure_measures.females),
        Measure("larvae", "number", "larvae recorded here", enclosure_measures.larvae),
        Measure(
            "instar",
            "choice",
            "the instar that all larvae here share",
            enclosure_measures.instar,
            choices=INSTARS,
        ),
        Measure(
            "litres_per_larva", "number", "litres for each larva", enclosure_measures.litres_per_larva, "l"
        ),
        Measure(
            "dry_suits",
            "tick",
            "it is dry, and the species file says that this stage may be",
            species_measures.dry_suits,
            reads=("moisture",),
        ),
        Measure(
            "degrees_too_warm",
            "number",
            "degrees by which its shelf is above the warmest the species file gives for its stage",
            species_measures.degrees_too_warm,
            "°C",
            reads=("shelf_temp",),
            low=None,
        ),
        Measure(
            "degrees_too_cold",
            "number",
            "degrees by which its shelf is below the coldest the species file gives for its stage",
            species_measures.degrees_too_cold,
            "°C",
            reads=("shelf_temp",),
            low=None,
        ),
        Measure(
            "warmest",
            "number",
            "the warmest the species file gives for its stage",
            species_measures.warmest,
            "°C",
            low=None,
        ),
        Measure(
            "coldest",
            "number",
            "the coldest the species file gives for its stage",
            species_measures.coldest,
            "°C",
            low=None,
        ),
        Measure(
            "cannibals_together",
            "tick",
            "larvae are together that eat each other by the species file, or do with so little room",
            species_measures.cannibals_together,
        ),
        Measure(
            "gone_per_day",
            "number",
            "quarter cups of jelly eaten for each day since the last look at the food",
            food_measures.gone_per_day,
            "quarter cups a day",
            reads=_JELLY,
        ),
        Measure(
            "usual_gone_per_day",
            "number",
            "the median of that over the last fortnight (at least 4 observed)",
            food_measures.usual_gone_per_day,
            "quarter cups a day",
            reads=_JELLY,
        ),
        Measure(
            "gone_ratio",
            "number",
            "gone per day as a share of the usual",
            food_measures.gone_ratio,
            reads=_JELLY,
        ),
        Measure(
            "days_untouched",
            "number",
            "days that food was offered and nothing of it gone",
            food_measures.days_untouched,
            "days",
            reads=("jelly_gone", "jelly_in", "fruit_gone", "fruit_in"),
        ),
        Measure(
            "usually_gone_meanwhile",
            "number",
            "quarter cups that usually go in as many days as food was untouched",
            food_measures.usually_gone_meanwhile,
            "quarter cups",
            reads=("jelly_gone", "jelly_in"),
        ),
        Measure(
            "cup_age_days",
            "number",
            "days since jelly was last put in",
            food_measures.cup_age_days,
            "days",
            reads=("jelly_in",),
        ),
        Measure(
            "gone_beyond",
            "number",
            "quarter cups gone beyond the most that can have lain there by what was put in over six days",
            food_measures.gone_beyond,
            "quarter cups",
            reads=("jelly_gone", "jelly_in"),
            low=None,
        ),
        Measure(
            "fruit_age_days",
            "number",
            "days since fruit was last put in, while some is left",
            food_measures.fruit_age_days,
            "days",
            reads=("fruit_in", "fruit_gone"),
        ),
        Measure(
            "fruit_left",
            "tick",
            "fruit was put in and has not been seen gone",
            food_measures.fruit_left,
            reads=("fruit_in", "fruit_gone"),
        ),
        Measure(
            "shelf_temperature",
            "number",
            "its shelf's temperature today",
            enclosure_measures.shelf_temperature,
            "°C",
            reads=("shelf_temp",),
            low=None,
        ),
        Measure(
            "shelf_change",
            "number",
            "its shelf's temperature today against the last one of three days before",
            enclosure_measures.shelf_change,
            "°C",
            reads=("shelf_temp",),
            low=None,
        ),
    )
}
"""Every measure by name: the only list the parser, the schema and the documentation have."""
