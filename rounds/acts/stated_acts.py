"""Acts that a reading states: a mating seen, somebody found dead or missing at a look.

The reading is the act, so that nothing is told twice. Where the books cannot tell whom it
concerns, that is asked: it stays due at the box until it was said.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from rounds.acts import stated_sentences
from rounds.acts.act import ActInput, act
from rounds.acts.fields import Counts, Field
from rounds.acts.leaving import dead, dead_some, missing, missing_some
from rounds.acts.life import follow
from rounds.acts.moving_and_locks import ON
from rounds.acts.pairing_acts import mating_seen
from rounds.husbandry.life_table import HERE
from rounds.records.ledger import Draft
from rounds.records.tables import Pairing
from rounds.records.whereabouts import inside
from rounds.values.spans import told

Plan = Callable[[Draft, ActInput], None]

STATED = ("mated-here", "dead-here", "missing-here")
"""They are recorded by readings; the walk offers the acts that say whom."""

_COUNT = Field("count", "whole", "how many", default="1", low=1, high=1000)
_SEEN = Field("seen", "day", "last day it was seen alive", past=True)


@act(
    "mated-here",
    "a mating seen on a visit",
    ON,
    on="enclosure",
    about="A pair was seen mating when the box was visited.",
)
def mated_here(draft: Draft, given: ActInput) -> None:
    box = given.subject
    several = list(draft.ledger.rows(Pairing, Pairing.until.is_(None), Pairing.enclosure.is_(box)))
    if len(several) > 1:
        follow(draft, given, HERE, box, why=stated_sentences.mating_seen(told(given["on"])))
        return
    mating_seen(draft, _as(given, "mating-seen", box, {"pairing": None, "male": None}))


@act(
    "dead-here",
    "found dead on a visit",
    _COUNT,
    _SEEN,
    ON,
    on="enclosure",
    about="So many were found dead when the box was visited.",
)
def dead_here(draft: Draft, given: ActInput) -> None:
    more = {"seen": given["seen"], "cause": None}
    if not _told(draft, given, ("dead", dead), ("dead-some", dead_some), more):
        why = stated_sentences.found_dead(given["count"], told(given["on"]))
        for _ in range(given["count"]):
            follow(draft, given, HERE, given.subject, why=why)


@act(
    "missing-here",
    "found missing on a visit",
    _COUNT,
    _SEEN,
    ON,
    on="enclosure",
    about="So many were not found when the box was visited.",
)
def missing_here(draft: Draft, given: ActInput) -> None:
    if not _told(draft, given, ("missing", missing), ("missing-some", missing_some), {"seen": given["seen"]}):
        why = stated_sentences.not_found(given["count"], told(given["on"]))
        for _ in range(given["count"]):
            follow(draft, given, HERE, given.subject, why=why)


def _told(
    draft: Draft, given: ActInput, one: tuple[str, Plan], some: tuple[str, Plan], more: Mapping[str, Any]
) -> bool:
    """Do what it states where only one animal, or one group, can be meant."""
    there, count = inside(draft.ledger, given.subject), int(given["count"])
    if len(there) != 1:
        return False
    only, more = there[0], {**more, "rest": "later", "looked": None}
    if only.animal is not None:
        if count > 1:
            return False
        name, plan = one
        plan(draft, _as(given, name, only.animal, more))
        return True
    if count > only.total or only.males or only.females:
        return False  # more than are known of, or of which sex they were is to be said
    name, plan = some
    which = {"count": Counts(0, 0, count), "line": None, "brood": None, "age": None}
    plan(draft, _as(given, name, given.subject, {**more, **which}))
    return True


def _as(given: ActInput, act_: str, subject: int, values: Mapping[str, Any]) -> ActInput:
    """The same, as it would be told to another act."""
    values = {**values, "on": given["on"]}
    return ActInput(subject, values, given.today, given.keeper, sure=True, settings=given.settings, act=act_)
