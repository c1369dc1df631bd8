"""The act of moving a female to where she lays."""

from __future__ import annotations

from rounds.acts import laying_sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ActWarning, ask, kept_in, refuse
from rounds.acts.fields import Field, FieldError
from rounds.acts.life import follow
from rounds.acts.moving_and_locks import ON, put
from rounds.acts.pairing_checks import alive, came_later, not_usable, too_early
from rounds.acts.parting import close
from rounds.acts.vacating import LOOKED, REST
from rounds.husbandry.life_table import INTO, LEFT
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name, code
from rounds.records.tables import Animal, Pairing, PairingMale
from rounds.records.whereabouts import inside
from rounds.values.spans import told

LAY_IN = ("prepared", "empty", "holding", "laying")


@act(
    "to-laying",
    "moved to a laying box",
    Field("to", "ref", "the box she lays in now (hers, if laid out for it)", required=True, of="enclosure"),
    Field("female", "ref", "which female, when several are here", of="animal"),
    Field("with_male", "yesno", "did her male go with her: yes or no", default="no"),
    REST,
    LOOKED,
    ON,
    on="enclosure",
    about="A female goes to lay, alone (her pairing ends) or with her male (it goes on, and two eat).",
    stages=("pairing", "holding"),
)
def to_laying(draft: Draft, given: ActInput) -> None:
    ledger, box, to, when = draft.ledger, given.subject, given["to"], given["on"]
    female = _the_female(ledger, given)
    pairing = next(
        (found.id for found in ledger.rows(Pairing, Pairing.until.is_(None), Pairing.female.is_(female))),
        None,
    )
    males = (
        sorted(
            partner.male
            for partner in ledger.rows(
                PairingMale, PairingMale.pairing.is_(pairing), PairingMale.until.is_(None)
            )
        )
        if pairing is not None
        else []
    )
    going = males if given["with_male"] else []
    slips = [
        *alive(ledger, female, "female"),
        *not_usable(ledger, to, "to", (*LAY_IN, "pairing") if to == box else LAY_IN),
    ]
    if pairing is not None:
        row = ledger.row(Pairing, pairing)
        slips += too_early(row.since, when, row.name)
    if given["with_male"] and not males:
        slips.append(
            FieldError.of("with_male", laying_sentences.no_pairing_with_a_male(animal_name(ledger, female)))
        )
    if to == box and males and not given["with_male"]:
        slips.append(
            FieldError.of("with_male", laying_sentences.male_still_with_her(animal_name(ledger, males[0])))
        )
    refuse(*slips, *came_later(ledger, (female, *going), to, when))
    ask(
        given,
        [
            *(d for a in (female, *going) if to != box for d in kept_in(ledger, a, given, "female")),
            *_others_there(ledger, to, {female, *going}),
        ],
    )
    for animal in (female, *going):
        put(draft, animal, to, when)
    if pairing is not None and going:
        # They stay together on purpose: the work of parting them is over with the move.
        draft.set(Pairing.enclosure, pairing, to)
    elif pairing is not None:
        close(draft, pairing, when)
    who = animal_name(draft.ledger, female)
    follow(draft, given, INTO, to, why=laying_sentences.female_in_since(who, told(when)))
    if to != box:
        follow(draft, given, LEFT, box, why=laying_sentences.may_have_laid(who, told(when)))


def _the_female(ledger: Ledger, given: ActInput) -> int:
    box = given.subject
    here = [content.animal for content in inside(ledger, box) if content.animal is not None]
    females = [a for a in here if ledger.row(Animal, a).sex == "f"]
    if given["female"] is not None:
        if given["female"] not in here:
            raise ActRefused.at(
                "female",
                laying_sentences.female_not_there(animal_name(ledger, given["female"]), code(ledger, box)),
            )
        if ledger.row(Animal, given["female"]).sex == "m":
            raise ActRefused.at("female", laying_sentences.not_a_female(animal_name(ledger, given["female"])))
        return int(given["female"])
    if len(females) == 1:
        return int(females[0])
    if females:
        raise ActRefused.at("female", laying_sentences.which_female(animal_name(ledger, a) for a in females))
    raise ActRefused.at("female", laying_sentences.no_female_here(code(ledger, box)))


def _others_there(ledger: Ledger, to: int, moving: set[int]) -> list[ActWarning]:
    there = [
        content.animal
        for content in inside(ledger, to)
        if content.animal is not None and content.animal not in moving
    ]
    return [
        ("to", laying_sentences.another_female_there(animal_name(ledger, a), code(ledger, to))) for a in there
    ]
