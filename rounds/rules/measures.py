"""Derived measures: what follows from readings and history, one function each.

Every function takes a :class:`~rounds.rules.visit_view.View` and the id of the reading it is
asked about (empty for most) and returns a value, or None when that is not known.
Only what was observed is used: a value confirmed by one key, or a visit that was
skipped, neither enters a baseline nor lengthens or ends a run.

Readings that measures are made from are named by their ids in ``readings.yaml``; where
such a reading does not exist the parser refuses the measure.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from rounds.husbandry.stages import INSTARS
from rounds.rules import food_measures, species_measures
from rounds.rules.food_measures import LASTS
from rounds.rules.scene import UsualRange
from rounds.rules.visit_view import View

HOUR_MS = 3_600_000
SEEN_ALIVE = ("out", "still")
"""Answers of `activity` that mean somebody was seen."""
YOUNG = ("eggs", "larvae", "wandering", "cell")
"""Stages in which a counted group without an instar is no group of adults."""
SIGNS = ("activity", "mating", "on_back", "jelly_gone")
"""Readings that can show a sign of life."""

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


# --- time ---------------------------------------------------------------------------


def hours_since_visit(view: View, _of: str) -> float | None:
    last = view.previous()
    return None if last is None else (view.now_ms - last.at_ms) / HOUR_MS


def days_since_visit(view: View, _of: str) -> int | None:
    last = view.previous()
    return None if last is None else view.day - last.day


def days_in_stage(view: View, _of: str) -> int | None:
    """Days it has certainly been in its stage: counted from the latest day it can have begun."""
    since = view.scene.enclosure.stage_since
    return None if since is None else max(0, view.day - since.latest)


# --- one reading over visits ----------------------------------------------------------


def previous(view: View, of: str) -> Any:
    """What was observed the last time before this visit, in this stage."""
    return next((v.read[of] for v in view.past_in_stage if of in v.read), None)


def change_since_last(view: View, of: str) -> float | None:
    now, before = view.observed(of), previous(view, of)
    return None if now is None or before is None else float(now) - float(before)


def same_for_visits(view: View, of: str) -> int | None:
    """This visit and the unbroken earlier ones at which the same was observed."""
    run = _run(view, of)
    return None if run is None else run[0]


def same_for_days(view: View, of: str) -> int | None:
    """Days from the first visit of that run to this one."""
    run = _run(view, of)
    return None if run is None else view.day - run[1]


def _run(view: View, of: str) -> tuple[int, int] | None:
    now = view.observed(of)
    if now is None:
        return None
    visits, first = 1, view.day
    for seen in view.past_in_stage:
        value = seen.read.get(of)
        if value is None:
            continue
        if value != now:
            break
        visits, first = visits + 1, seen.day
    return visits, first


def days_since(view: View, of: str) -> int | None:
    """Days since it was last seen at all: a tick yes, a count above nothing (0: now)."""
    if view.observed(of):
        return 0
    return next((view.day - v.day for v in view.past if v.read.get(of)), None)


def days_since_read(view: View, of: str) -> int | None:
    """Days since it was last observed, whatever the answer (0: now)."""
    if view.observed(of) is not None:
        return 0
    return next((view.day - v.day for v in view.past if of in v.read), None)


def days_since_sign(view: View, _of: str) -> int | None:
    """Days since a sign of life: somebody seen, or food gone.

    Only days that looks cover count, each at the most as many before it as a cup lasts: that
    nobody looked for weeks is not that there was no sign for weeks. Without any sign on record
    it counts from the first look in this stage that could have shown one: it is then at least
    that long. A sign of animals that all have left is none.
    """
    if view.seen is not None and _alive(view.seen.read):
        return 0
    told_now = view.seen is not None and any(id_ in view.seen.read for id_ in SIGNS)
    days, last, found = 0, view.day if told_now else None, False
    for seen in view.past_of_someone():
        alive, told = _alive(seen.read), any(id_ in seen.read for id_ in SIGNS)
        if not (alive or told):
            continue
        days += min(last - seen.day, LASTS) if last is not None else 0
        last, found = seen.day, True
        if alive:
            break
    return days if found else None


def _alive(read: Mapping[str, Any]) -> bool:
    return read.get("activity") in SEEN_ALIVE or any(read.get(id_) for id_ in SIGNS[1:])


# --- who is here ----------------------------------------------------------------------


def adults(view: View, _of: str) -> int:
    return view.scene.enclosure.adults


def males(view: View, _of: str) -> int:
    return _sexed(view, "m", 0)


def females(view: View, _of: str) -> int:
    return _sexed(view, "f", 1)


def _sexed(view: View, sex: str, column: int) -> int:
    total = 0
    e = view.scene.enclosure
    for c in e.contents:
        if c.animal:
            total += c.sex == sex
        elif not c.instar and e.stage not in YOUNG:
            total += (c.males, c.females)[column]
    return total


def larvae(view: View, _of: str) -> int | UsualRange:
    """Larvae recorded here; a range without an upper end where a count was "at least"."""
    count, more = 0, False
    e = view.scene.enclosure
    for c in e.contents:
        if c.instar or (not c.animal and e.stage in YOUNG[1:]):
            count += 1 if c.animal else c.males + c.females + c.unsexed
            more = more or c.at_least
    return UsualRange(count, float("inf")) if more else count


def instar(view: View, _of: str) -> str | None:
    """The instar all larvae here share; not known when they differ or none is recorded."""
    found = {c.instar for c in view.scene.enclosure.contents if c.instar}
    return found.pop() if len(found) == 1 else None


def litres_per_larva(view: View, of: str) -> float | None:
    count, litres = larvae(view, of), view.scene.enclosure.litres
    return litres / count if litres and isinstance(count, int) and count else None


# --- the shelf ------------------------------------------------------------------------


def shelf_temperature(view: View, _of: str) -> float | None:
    """The newest reading of its shelf on this round day, degrees C."""
    for seen in reversed(view.scene.shelf):
        if seen.day == view.day and "shelf_temp" in seen.read:
            return float(seen.read["shelf_temp"])
        if seen.day < view.day:
            break
    return None


def shelf_change(view: View, of: str) -> float | None:
    """Today's temperature of the shelf minus its newest one of the three days before."""
    now = shelf_temperature(view, of)
    if now is None:
        return None
    for seen in reversed(view.scene.shelf):
        if seen.day < view.day - 3:
            break
        if seen.day < view.day and "shelf_temp" in seen.read:
            return now - float(seen.read["shelf_temp"])
    return None


_ANY = ("count", "choice", "tick")
_JELLY = ("jelly_gone",)

MEASURES: dict[str, Measure] = {
    m.name: m
    for m in (
        Measure("hours_since_visit", "number", "hours since the last look", hours_since_visit, "h"),
        Measure("days_since_visit", "number", "round days since the last look", days_since_visit, "days"),
        Measure("days_in_stage", "number", "days it has certainly been in its stage", days_in_stage, "days"),
        Measure("previous", "same", "what the last observation of a reading was", previous, of=_ANY),
        Measure(
            "change_since_last",
            "number",
            "a count now minus the last one observed",
            change_since_last,
            of=("count",),
            low=None,
        ),
        Measure(
            "same_for_visits",
            "number",
            "looks in a row, this one included, with the same answer",
            same_for_visits,
            "visits",
            of=_ANY,
        ),
        Measure("same_for_days", "number", "days that run has lasted", same_for_days, "days", of=_ANY),
        Measure(
            "days_since",
            "number",
            "days since a tick was last yes or a count above nothing",
            days_since,
            "days",
            of=("tick", "count"),
        ),
        Measure(
            "days_since_read",
            "number",
            "days since a reading was last observed",
            days_since_read,
            "days",
            of=_ANY,
        ),
        Measure(
            "days_since_sign",
            "number",
            "days since somebody was seen or food had gone",
            days_since_sign,
            "days",
            reads=SIGNS,
        ),
        Measure("adults", "number", "adults recorded here", adults),
        Measure("males", "number", "adult males recorded here", males),
        Measure("females", "number", "adult females recorded here", females),
        Measure("larvae", "number", "larvae recorded here", larvae),
        Measure("instar", "choice", "the instar that all larvae here share", instar, choices=INSTARS),
        Measure("litres_per_larva", "number", "litres for each larva", litres_per_larva, "l"),
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
            "quarter cups of jelly gone for each day since the last look at the food",
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
            shelf_temperature,
            "°C",
            reads=("shelf_temp",),
            low=None,
        ),
        Measure(
            "shelf_change",
            "number",
            "its shelf's temperature today against the last one of three days before",
            shelf_change,
            "°C",
            reads=("shelf_temp",),
            low=None,
        ),
    )
}
"""Every measure by name: the only list the parser, the schema and the documentation have."""
