"""Open plans worked out again: what has become of F since a pair was chosen.

A plan keeps why it was chosen, F first. Parents that were recorded, corrected or put in doubt since
then change that F: such a plan is held back until the keeper chooses the pair again or gives it up.
"""

from __future__ import annotations

from collections.abc import Iterable

from rounds.analysis.pairing import pair_sentences as sentences
from rounds.analysis.pedigree.kinship import matrix
from rounds.analysis.pedigree.pedigree_table import Pedigree
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.tables import PlannedPairing
from rounds.text.reading_text import read_reading, same

PLACES = 3
"""Of an F in the words of a plan."""


def changed(ledger: Ledger, p: Pedigree, plans: Iterable[PlannedPairing]) -> dict[int, str]:
    """For each plan whose F is another by now, what it was and is, by row id.

    A plan chosen with the keeper's own words says no F and is passed over.
    """
    known = [(plan, read_reading(plan.why or "")) for plan in plans]
    asked = [(plan, was) for plan, was in known if was is not None]
    names = list(dict.fromkeys(animal_name(ledger, a) for plan, _ in asked for a in (plan.male, plan.female)))
    if not names:
        return {}
    found = matrix(p, names)
    at = {name: k for k, name in enumerate(names)}
    out = {}
    for plan, was in asked:
        i, j = at[animal_name(ledger, plan.male)], at[animal_name(ledger, plan.female)]
        now = found.low[i][j], found.usual[i][j], found.high[i][j]
        if not all(same(a, b, PLACES) for a, b in zip(was, now, strict=True)):
            out[plan.id] = sentences.f_is_another(*was, *now)
    return out
