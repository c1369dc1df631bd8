"""Measures of time, and of one reading over visits: since when, how often the same, how long without a sign."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rounds.rules.food_measures import LASTS
from rounds.rules.visit_view import View

HOUR_MS = 3_600_000
SEEN_ALIVE = ("out", "still")
"""Answers of `activity` that mean somebody was seen."""
SIGNS = ("activity", "mating", "on_back", "jelly_gone")
"""Readings that can show a sign of life."""


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
    for seen in view.past:
        if seen.read.get(of):
            return view.day - seen.day
    return None


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
