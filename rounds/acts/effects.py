"""What has to be said when animals come into a box, and the pairings they leave."""

from __future__ import annotations

from rounds.acts import effects_sentences
from rounds.acts.act import ActInput, ActRefused
from rounds.acts.fields import Field
from rounds.acts.life import set_stage
from rounds.husbandry.stages import STAGES, VACANT
from rounds.records.ledger import Draft
from rounds.records.naming import code
from rounds.records.tables import Enclosure, Pairing, PairingMale
from rounds.values.spans import Span, told

NEW_STAGE = Field("stage", "stage", "the stage of the box from now on, when it was empty or prepared")


def move_in(draft: Draft, given: ActInput, box: int, stage: str | None) -> None:
    """See to it that an enclosure has a stage that animals can live in, before they go in.

    One that was empty or prepared needs ``stage``; one in use keeps its own, and another is refused.
    """
    now = str(draft.ledger.row(Enclosure, box).stage)
    lived = [s for s in STAGES if s not in VACANT]
    if stage is not None and stage not in lived:
        raise ActRefused.at("stage", effects_sentences.animals_inside(stage, lived))
    if now not in VACANT:
        if stage is not None and stage != now:
            raise ActRefused.at("stage", effects_sentences.in_use_already(code(draft.ledger, box), now))
        return
    if stage is None:
        raise ActRefused.at("stage", effects_sentences.stage_missing(code(draft.ledger, box), now, lived))
    set_stage(draft, given, box, stage)


def part(draft: Draft, animal: int, when: Span, box: int | None = None) -> None:
    """An animal is with its partners no longer: its pairings (those in ``box``, when given) end.

    A pairing goes on while its female and a male are left in it.
    """
    ledger = draft.ledger
    for pairing in list(ledger.rows(Pairing, Pairing.until.is_(None))):
        if box is not None and pairing.enclosure not in (None, box):
            continue
        partners = ledger.rows(PairingMale, PairingMale.pairing.is_(pairing.id))
        males = [partner for partner in partners if partner.until is None]
        going = [partner for partner in males if animal in (partner.male, pairing.female)]
        if not going and animal != pairing.female:
            continue
        if pairing.since is not None and when.latest < pairing.since.earliest:
            raise ActRefused.at(
                "on", effects_sentences.before_pairing_began(pairing.name, told(pairing.since))
            )
        for partner in going:
            draft.set(PairingMale.until, partner.id, when)
        if animal == pairing.female or len(going) == len(males):
            draft.set(Pairing.until, pairing.id, when)
