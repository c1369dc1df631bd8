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
        *("quarantine-over", "dead", "sexed", "weigh", "animal", "arrival", "dead-some", "line", "missing"),
        *("marked", "given-away", "move", "move-some", "sexed-some"),
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
        *("search", "protein", "rebed", "dead", "plan-made", "search-sooner", "move", "hatched", "split"),
        *("missing", "protein-out", "mating-seen", "male-in", "male-out", "parted", "given-away"),
    ),
    "eggs": ("hatched", "search", "counted", "split", "dead-some", "move-some", "merge", "split-some"),
    "larvae": (
        *("weigh-one", "weigh", "wandering", "cell", "rebed", "protein", "dead-some", "split", "split-some"),
        *("animal", "move", "move-some", "counted", "sexed-some", "sexed", "dead", "missing-some", "merge"),
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
        *(
            "tick",
            "stage",
            "plan-made",
            "arrival",
            "pair",
            "rebed",
            "emptied",
            "found",
            "came-back",
            "loan-in",
        ),
    ),
    "empty": (
        *("cleaned", "stage", "tick", "plan-made", "arrival", "pair", "found", "came-back", "loan-in"),
    ),
}
"""What happens most at each stage; the other acts of the stage follow."""
MANY = 8  # an act of so many stages is a general one, and comes after those of the stage

ANYWHERE = (
    "animal",
    "parents",
    "found",
    "came-back",
    "promise-over",
    "arrival",
    "line",
    "loan-in",
    "line-from",
    "substrate",
    "substrate-used",
    "box",
    "shelf",
)
"""Acts of no stage, which come last, in this order; others of no stage after them."""

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

    One that concerns nobody here today is among them, and says why it does not fit.
    """
    row = ledger.row(Enclosure, enclosure)
    stage, first = row.stage, FIRST[row.stage]
    found = [a for a in all_acts().values() if _can_be(a, stage)]
    # Some are offered for the work that is due, and what a reading states is recorded by the reading.
    found = [a for a in found if a.id not in (CONFIRM, DONE, OFF, *ELSEWHERE, *STATED)]
    found.sort(key=lambda a: _rank(a, first))
    at = box(ledger, enclosure)
    return tuple(_offer(at, act, str(row.code), stage) for act in found)


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


def _rank(act: Act, first: tuple[str, ...]) -> tuple[int, int]:
    if act.id in first:
        return 0, first.index(act.id)
    if not act.stages:
        return 3, ANYWHERE.index(act.id) if act.id in ANYWHERE else len(ANYWHERE)
    return 1 + (len(act.stages) >= MANY), 0


def _given(act: Act, code: str, stage: str) -> tuple[tuple[str, str], ...]:
    """What need not be asked, because it is this enclosure."""
    field = HERE.get(act.id) or (APART.get(act.id) if stage in TAKES_NEW else None)
    return ((field, code),) if field else ()


def for_due(act: Act, code: str) -> Offer:
    """The offer of ticking off or putting off what is due at an enclosure."""
    return Offer(act.id, act.title, ((code, code),))
