"""Open plans worked out again: what has become of F since a pair was chosen.

A plan keeps why it was chosen, F first. Parents that were recorded, corrected or put in doubt since
then change that F: such a plan is held back until the keeper confirms it or gives it up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from rounds.due.planned_pairings import AnotherF, Reading
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.tables import PlannedPairing
from rounds.text.reading_text import read_reading

if TYPE_CHECKING:
    from rounds.analysis.pedigree.pedigree_table import Pedigree

PLACES = 3
"""Of an F in the words of a plan chosen before more were written."""


def changed(ledger: Ledger, p: Pedigree, plans: Iterable[PlannedPairing]) -> dict[int, AnotherF]:
    """Each plan whose F is another by now, by row id.

    A plan chosen with the keeper's own words says no F and is passed over.
    """
    asked = _with_f(plans)
    names = list(dict.fromkeys(animal_name(ledger, a) for plan, _ in asked for a in (plan.male, plan.female)))
    if not names:
        return {}
    from rounds.analysis.pedigree.kinship import matrix  # as below

    found = matrix(p, names)
    at = {name: k for k, name in enumerate(names)}
    out = {}
    for plan, was in asked:
        i, j = at[animal_name(ledger, plan.male)], at[animal_name(ledger, plan.female)]
        now = found.low[i][j], found.usual[i][j], found.high[i][j]
        # What was written down is rounded, and 0.1875 is no other F than 0.188.
        if _rounded(was) != _rounded(now):
            out[plan.id] = AnotherF(was, now)
    return out


def _rounded(reading: Reading) -> tuple[str, ...]:
    return tuple(f"{f:.{PLACES}f}" for f in reading)


def _with_f(plans: Iterable[PlannedPairing]) -> list[tuple[PlannedPairing, Reading]]:
    known = [(plan, read_reading(plan.why or "")) for plan in plans]
    return [(plan, was) for plan, was in known if was is not None]


class PlansRemembered:
    """:func:`changed`, with the answers of the newest books remembered.

    Nothing is read of the pedigree while no plan says an F. Books whose parents contradict each
    other change nothing here: they are told of where they are corrected.
    """

    def __init__(self) -> None:
        self._ledger: Ledger | None = None
        self._found: dict[int, AnotherF | None] = {}

    def __call__(self, ledger: Ledger, plans: Iterable[PlannedPairing]) -> Mapping[int, AnotherF]:
        if self._ledger is not ledger:
            self._ledger, self._found = ledger, {}
        mine = self._found
        asked = [plan for plan, _ in _with_f(plans)]
        lacking = [plan for plan in asked if plan.id not in mine]
        if lacking:
            from rounds.analysis.pedigree.book_pedigree import (
                of_book,
            )  # every walk asks; few have such a plan

            p, _ = of_book(ledger, "")
            found = {} if p is None else changed(ledger, p, lacking)
            mine.update({plan.id: found.get(plan.id) for plan in lacking})
        return {plan.id: another for plan in asked if (another := mine[plan.id]) is not None}
