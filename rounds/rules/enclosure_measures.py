"""Measures of who is in an enclosure, and of the shelf it stands on."""

from __future__ import annotations

from rounds.rules.scene import UsualRange
from rounds.rules.visit_view import View

YOUNG = ("eggs", "larvae", "wandering", "cell")
"""Stages in which a counted group without an instar is no group of adults."""


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
        if c.instar:
            continue
        if c.animal:
            total += c.sex == sex
        elif e.stage not in YOUNG:
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
