"""Which acts the walk lists at an enclosure, and in which order."""

from __future__ import annotations

from rounds.acts.act import Act
from rounds.acts.due_acts import CONFIRM, DONE, OFF
from rounds.acts.offer import Offer
from rounds.acts.offered_subjects import Box, box, nobody
from rounds.acts.offered_subjects import whom as whom_of
from rounds.acts.registry import all_acts
from rounds.acts.stated_acts import STATED
from rounds.husbandry.stages import VACANT
from rounds.records.ledger import Ledger
from rounds.records.tables import Enclosure

FIRST = {
    "quarantine": (
        *("quarantine-over", "dead", "sexed", "weigh", "animal", "arrival", "dead-some", "move", "missing"),
        *("marked", "given-away", "line", "move-some", "sexed-some"),
    ),
    "holding": (
        *("pair", "first-feed", "mature", "weigh", "dead", "to-laying", "move", "plan-made", "missing"),
        *("search", "plan-pair", "sexed", "marked", "given-away", "lent", "promised", "rebed", "protein"),
    ),
    "pairing": (
        *(
            "mating-seen",
            "to-laying",
            "male-out",
            "male-in",
            "parted",
            "dead",
            "pair",
            "plan-made",
            "missing",
        ),
        *("move", "search", "plan-pair", "given-away"),
    ),
    "laying": (
        *("search", "protein", "rebed", "dead", "plan-made", "search-sooner", "move", "missing", "split"),
        *(
            "protein-out",
            "plan-pair",
            "given-away",
            "hatched",
            "mating-seen",
            "male-in",
            "male-out",
            "parted",
        ),
    ),
    "eggs": ("hatched", "search", "counted", "split", "dead-some", "move-some", "merge"),
    "larvae": (
        *("weigh-one", "weigh", "wandering", "cell", "rebed", "protein", "dead-some", "split", "move-some"),
        *("animal", "move", "dead", "counted", "sexed-some", "sexed", "missing-some", "merge", "protein-out"),
    ),
    "wandering": ("cell", "wandering", "dead", "move", "missing", "look-again", "sexed"),
    "cell": ("eclosed", "emerged", "dead", "look-again", "lock", "move", "missing"),
    "resting": (
        *("emerged", "first-feed", "move", "dead", "sexed", "mature", "marked", "plan-pair", "missing"),
    ),
    "colony": (
        *("dead-some", "protein", "rebed", "plan-made", "counted", "search", "move-some", "missing-some"),
        *("animal", "sexed-some", "given-away-some", "protein-out"),
    ),
    "prepared": (
        *("tick", "stage", "plan-made", "arrival", "pair", "rebed", "emptied", "found", "came-back"),
        "loan-in",
    ),
    "empty": (
        *("cleaned", "stage", "tick", "plan-made", "arrival", "pair", "found", "came-back", "loan-in"),
    ),
}
"""What happens most at each stage; the other acts of the stage follow."""
MANY = 8  # an act of so many stages is a general one, and comes after those of the stage

ANYWHERE = (
    *("look-again", "lift", "lock", "move-box", "tick", "emptied", "stage", "swap-boxes", "swapped-labels"),
    *("animal", "parents", "substrate-used", "arrival", "line", "loan-in", "line-from", "substrate"),
    *("box", "shelf", "trial-open"),
)
"""Acts of many stages or of none, in this order: about the box, then about the house; others of their sort after them."""

GROUPS_ALONE = ("eggs", "colony")
"""Stages whose animals are counted and have no number, as a rule."""

LAST = (
    *("plan-drop", "mark-lost", "promise-over", "went-back", "found", "came-back"),
    *("trial-out", "trial-join", "trial-change", "trial-looked", "trial-close"),
)
"""Acts that take something out of the common, such as a running trial: the end of every list, in this order.

Those at the very end are left out while they do not fit, so that nobody turns pages for them.
What is listed has its place all the same.
"""

TITLES = {
    "animal": "one here gets its number",
    "parents": "parents found out",
    "found": "a missing animal found here",
    "came-back": "back from a loan, into here",
    "arrival": "animals arrived",
    "line": "a line opened",
    "loan-in": "an animal came on loan",
    "line-from": "where a line comes from",
    "substrate-used": "substrate of a batch given here",
    "shelf": "a new shelf",
}
"""What acts of no stage are called where they are offered, because their own title follows a name."""

HERE = {
    "animal": "in",
    "found": "into",
    "came-back": "into",
    "substrate-used": "into",
    "split": "from",
    "hatched": "from",
}
"""Fields that can only mean the enclosure at which the act is recorded."""
APART = {"arrival": "into", "loan-in": "into"}
"""The same where newcomers may be put here: nobody lives here, or only others in quarantine."""
TAKES_NEW = ("quarantine", *VACANT)


FROM_ELSEWHERE = ("found", "came-back")
"""Acts of no stage on an animal that is not here yet: they are offered where nobody lives, too."""

ELSEWHERE = ("labels-settled", "brood-parents")
"""Acts that are opened by the due work that asks for them, or on a page of the books; listed they would push
another out of reach."""


def offers(ledger: Ledger, enclosure: int) -> tuple[Offer, ...]:
    """The acts of the stage, the likeliest first, then general ones, then the house's: every day in the same order.

    One that concerns nobody here today is among them, and says why it does not fit; only the end of
    the list, from the last act that fits on, is left out where it holds nothing but seldom acts.
    """
    row = ledger.row(Enclosure, enclosure)
    stage = row.stage
    found = [a for a in all_acts().values() if _can_be(a, stage)]
    # Some are offered for the work that is due, and what a reading states is recorded by the reading.
    found = [a for a in found if a.id not in (CONFIRM, DONE, OFF, *ELSEWHERE, *STATED)]
    found.sort(key=lambda a: _rank(a, stage))
    at = box(ledger, enclosure)
    listed = [_offer(at, act, str(row.code), stage) for act in found]
    while listed[-1].unfit and _rank(found[len(listed) - 1], stage)[0] == SELDOM:
        listed.pop()
    return tuple(listed)


def _can_be(act: Act, stage: str) -> bool:
    """Is it an act of the stage, or one of the house that somebody here can be meant by?"""
    if act.stages:
        return stage in act.stages
    return act.on != "animal" or act.id in FROM_ELSEWHERE or stage not in VACANT


def _offer(at: Box, act: Act, code: str, stage: str) -> Offer:
    whom = whom_of(at, act)
    title = TITLES.get(act.id, act.title)
    if act.on == "plan" and len(whom) == 1:
        title = f"{title}: {whom[0][1]}"
    return Offer(act.id, title, whom, _given(act, code, stage), "" if whom else nobody(act))


def _rank(act: Act, stage: str) -> tuple[int, int]:
    """Where an act stands in the list of a stage; those of one rank as the registry has them."""
    first = FIRST[stage]
    if act.id in first:
        return 0, first.index(act.id)
    if _seldom(act, stage):
        return SELDOM, LAST.index(act.id) if act.id in LAST else -1
    if act.stages and len(act.stages) < MANY:
        return 1, 0
    return 2 + (not act.stages), ANYWHERE.index(act.id) if act.id in ANYWHERE else len(ANYWHERE)


SELDOM = 4
"""The rank of acts that take something out of the common."""


def _seldom(act: Act, stage: str) -> bool:
    """Does the act take what a box in this stage has once in a while?"""
    if act.id in LAST:
        return True
    if stage in GROUPS_ALONE:
        return act.on == "animal"
    return act.id.endswith("-some") and not any(other.endswith("-some") for other in FIRST[stage])


def _given(act: Act, code: str, stage: str) -> tuple[tuple[str, str], ...]:
    """What need not be asked, because it is this enclosure."""
    field = HERE.get(act.id) or (APART.get(act.id) if stage in TAKES_NEW else None)
    return ((field, code),) if field else ()


def for_due(act: Act, code: str) -> Offer:
    """The offer of ticking off or putting off what is due at an enclosure."""
    return Offer(act.id, act.title, ((code, code),))
