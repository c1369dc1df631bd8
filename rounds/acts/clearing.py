"""Acts of the last things of a box: emptied and cleaned."""

from __future__ import annotations

from rounds.acts import care_sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.fields import Field
from rounds.acts.life import clear_away
from rounds.acts.moving_and_locks import ON
from rounds.acts.vacating import LOOKED, may_be_cleared
from rounds.husbandry.stages import STAGES, VACANT
from rounds.records.ledger import Draft
from rounds.records.naming import code
from rounds.records.tables import Enclosure, Tick

CLEARING = "clearing"
"""The checklist to which `cleaned` belongs."""


@act(
    "emptied",
    "emptied",
    LOOKED._replace(required=True),
    Field(
        "then",
        "word",
        "empty (unless given) or prepared: filled anew and waiting",
        words=VACANT,
        default="empty",
    ),
    ON,
    on="enclosure",
    about="A vacant box was looked through, and what was in it thrown out.",
    stages=tuple(s for s in STAGES if s != "empty"),
)
def emptied(draft: Draft, given: ActInput) -> None:
    box = given.subject
    if draft.ledger.row(Enclosure, box).stage == given["then"]:
        raise ActRefused.at("then", care_sentences.is_so_already(code(draft.ledger, box), given["then"]))
    may_be_cleared(draft.ledger, box, given)
    clear_away(draft, given, box, given["then"])


@act(
    "cleaned",
    "cleaned",
    ON,
    on="enclosure",
    about="An empty box was washed and dried.",
    stages=("empty",),
)
def cleaned(draft: Draft, given: ActInput) -> None:
    box = given.subject
    if draft.ledger.row(Enclosure, box).stage != "empty":
        raise ActRefused.at("enclosure", care_sentences.not_empty(code(draft.ledger, box)))
    draft.add(Tick(enclosure=box, list=CLEARING, item="cleaned", done=given["on"]))
