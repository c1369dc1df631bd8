"""What becomes of enclosures and pairings when animals come and go."""

from __future__ import annotations

from rounds.acts import effects_sentences
from rounds.acts.act import ActInput, ActRefused
from rounds.acts.fields import Field
from rounds.acts.moving_and_locks import set_stage
from rounds.acts.work_windows import drop_dues, lift_all
from rounds.husbandry.stages import STAGES
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import code
from rounds.records.tables import (
    Animal,
    Content,
    Due,
    Enclosure,
    Lock,
    Pairing,
    PairingMale,
    Search,
    StagePast,
)
from rounds.records.whereabouts import inside
from rounds.values.spans import Span, text

NEW_STAGE = Field("stage", "stage", "the stage of the enclosure from now on, when it was empty or prepared")


REST = Field(
    "rest",
    "word",
    "what becomes of the enclosure when it was the last in it",
    words=("keep", "empty", "prepare"),
)


LOOKED = Field("looked", "yesno", "was it looked through for eggs and larvae first")


BREEDING = ("pairing", "laying", "colony")
"""Stages in which eggs may be in the substrate whether or not anybody has seen them."""


def move_in(draft: Draft, box: int, stage: str | None, when: Span, field: str = "stage") -> None:
    """See to it that an enclosure has a stage that animals can live in, before they go in.

    One that was empty or prepared needs ``stage``; one in use keeps its own, and another is refused.
    """
    now = str(draft.ledger.row(Enclosure, box).stage)
    lived = [s for s in STAGES if s not in ("empty", "prepared")]
    if stage is not None and stage not in lived:
        raise ActRefused.at(field, effects_sentences.animals_inside(stage, lived))
    if now not in ("empty", "prepared"):
        if stage is not None and stage != now:
            raise ActRefused.at(field, effects_sentences.in_use_already(code(draft.ledger, box), now))
        return
    if stage is None:
        raise ActRefused.at(field, effects_sentences.stage_missing(code(draft.ledger, box), now, lived))
    set_stage(draft, box, stage, when)


def left_behind(draft: Draft, box: int, given: ActInput) -> None:
    """What becomes of an enclosure that animals have left: its ``rest``, asked for when it is vacant."""
    there = inside(draft.ledger, box)
    rest = given["rest"]
    if there:
        if rest in ("empty", "prepare"):
            raise ActRefused.at("rest", effects_sentences.others_still_there(code(draft.ledger, box)))
        return
    if rest is None:
        raise ActRefused.at("rest", effects_sentences.rest_missing(code(draft.ledger, box)))
    if rest != "keep":
        clear(draft, box, "empty" if rest == "empty" else "prepared", given)


def pairing_left(draft: Draft, box: int, given: ActInput) -> None:
    """What becomes of an enclosure where a pairing stood, once none is open in it.

    Whoever stays behind without the other sex is held from now on; a vacant one asks for its ``rest``.
    """
    ledger = draft.ledger
    there = [content.animal for content in inside(ledger, box)]
    stood = ledger.row(Enclosure, box).stage == "pairing"
    if given["rest"] is not None or (stood and not there):
        left_behind(draft, box, given)
    if (
        not stood
        or not there
        or None in there
        or any(ledger.rows(Pairing, Pairing.until.is_(None), Pairing.enclosure.is_(box)))
    ):
        return
    sexes = {ledger.row(Animal, a).sex for a in there}
    if len(there) == 1 or sexes in ({"m"}, {"f"}):
        set_stage(draft, box, "holding", given["on"])


def clear(draft: Draft, box: int, stage: str, given: ActInput) -> None:
    """Empty a vacant enclosure, after a look for eggs and larvae; refused without one.

    Where eggs may be in the substrate, a complete search must be in the books, made not
    certainly before the last animal left.
    """
    ledger, name = draft.ledger, code(draft.ledger, box)
    if inside(ledger, box):
        raise ActRefused.at("enclosure", effects_sentences.still_holds_animals(name))
    if given["looked"] is not True:
        raise ActRefused.at("looked", effects_sentences.not_looked_through(name))
    if _bred_in(ledger, box) and not _searched(ledger, box):
        raise ActRefused.at("looked", effects_sentences.may_hold_eggs(name))
    set_stage(draft, box, stage, given["on"])
    lift_all(draft, Lock.enclosure.is_(box), given.today)
    drop_dues(draft, Due.enclosure.is_(box), effects_sentences.was_cleared(name))


def _bred_in(ledger: Ledger, box: int) -> bool:
    """May eggs be in the substrate? They may also where she, or he, was only held after the pairing."""
    stage = str(ledger.row(Enclosure, box).stage)
    if stage == "holding":
        past = [str(past_stage.stage) for past_stage in ledger.rows(StagePast, StagePast.enclosure.is_(box))]
        stage = next((s for s in reversed(past) if s != "holding"), "")
    return stage in BREEDING


def _searched(ledger: Ledger, box: int) -> bool:
    left = max(
        (
            content.until.earliest
            for content in ledger.rows(Content, Content.enclosure.is_(box))
            if content.until
        ),
        default=None,
    )
    if left is None:
        return True
    return any(
        search.complete and search.made is not None and search.made.latest >= left
        for search in ledger.rows(Search, Search.enclosure.is_(box))
    )


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
                "on", effects_sentences.before_pairing_began(pairing.name, text(pairing.since))
            )
        for partner in going:
            draft.set(PairingMale.until, partner.id, when)
        if animal == pairing.female or len(going) == len(males):
            draft.set(Pairing.until, pairing.id, when)
