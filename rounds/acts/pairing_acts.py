"""Acts of pairing: put together, a male more or fewer, a mating seen."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.acts import pairing_sentences, running_trials
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ActWarning, ask, kept_in, refuse
from rounds.acts.fields import Field, FieldError
from rounds.acts.life import follow
from rounds.acts.moving_and_locks import NOTE, ON, put
from rounds.acts.pairing_checks import (
    came_later,
    company,
    name_taken,
    not_usable,
    other_males,
    over,
    related,
    stands,
    too_early,
    too_young,
    unsexed,
    wrong_female,
    wrong_male,
)
from rounds.acts.parting import close
from rounds.acts.vacating import LOOKED, REST
from rounds.due.planned_pairings import OPEN_TO, plan_made
from rounds.husbandry.life_table import HERE, INTO
from rounds.records.ledger import Draft
from rounds.records.naming import animal_name, code, fresh_name
from rounds.records.parentage import males_of, paternity, weaker
from rounds.records.tables import (
    PATERNITY,
    PURPOSES,
    Brood,
    Mating,
    Pairing,
    PairingMale,
    TrialFemale,
)
from rounds.records.whereabouts import box_of
from rounds.values.spans import Span, told


@act(
    "pair",
    "put together",
    Field("female", "ref", "the female (LINE/NUMBER)", required=True, of="animal"),
    Field("males", "ref", "the male, or several with commas", required=True, of="animal", many=True),
    Field("purpose", "word", "cross, sibs (on purpose) or unplanned", words=PURPOSES, default="cross"),
    Field(
        "paternity", "word", "certain, likely or open (follows from the book unless given)", words=PATERNITY
    ),
    Field("on", "span", "since when they are together (today unless given)", default="today", past=True),
    Field("name", "text", "what the pairing is called (P-01 and so on unless given)", label=True),
    NOTE,
    on="enclosure",
    about="A female and one or more males were put together in this box.",
    stages=("holding", "pairing", "prepared", "empty"),
)
def pair(draft: Draft, given: ActInput) -> None:
    together(draft, given, given["female"], given["males"])


def together(
    draft: Draft, given: ActInput, female: int, males: list[int], more: Iterable[ActWarning] = ()
) -> None:
    """What :func:`pair` does, for whoever knows the animals already; ``more`` is asked about with the rest.

    A plan for the female and one of the males is made by it, whichever way it is recorded.
    """
    box, when, ledger = given.subject, given["on"], draft.ledger
    refuse(
        *not_usable(ledger, box, "enclosure", OPEN_TO),
        *wrong_female(ledger, female),
        *(s for m in males for s in wrong_male(ledger, m, female, box)),
        *name_taken(ledger, Pairing, given["name"]),
        *came_later(ledger, (female, *males), box, when),
    )
    named = [(female, "female"), *((m, "males") for m in males)]
    others = other_males(ledger, box, frozenset(males))
    derived, why = paternity(ledger, female, frozenset(males) | others, when)
    said = given["paternity"]
    # A trial has settled what for, and does not tell it at the rack.
    drawn = running_trials.seat(ledger, female)
    as_drawn = drawn is not None and males == [drawn.row.male]
    purpose = drawn.row.arm if drawn is not None and as_drawn else given["purpose"]
    doubts = [
        *more,
        *(d for a, f in named for d in unsexed(ledger, a, f)),
        *(d for a, f in named if box_of(ledger, a) != box for d in kept_in(ledger, a, given, f)),
        *(d for a, f in named for d in too_young(ledger, a, when, f)),
        *(related(ledger, female, males, purpose, "males") if not as_drawn else []),
        *(running_trials.other_than_drawn(ledger, drawn, males) if drawn is not None else []),
        *company(ledger, box, frozenset(males)),
    ]
    if said and weaker(said, derived) != said:
        doubts.append(("paternity", pairing_sentences.another_paternity(derived, said, why)))
    ask(given, doubts)
    for animal, _ in named:
        put(draft, animal, box, when)
    follow(draft, given, INTO, box, why=pairing_sentences.together_since(told(when)))
    made = draft.add(
        Pairing(
            name=given["name"] or fresh_name(ledger, Pairing.name, "P"),
            female=female,
            enclosure=box,
            purpose=purpose,
            paternity=said or derived,
            since=when,
            note=given["note"] or "",
        )
    )
    for male in males:
        draft.add(PairingMale(pairing=made, male=male, since=when))
    plan_made(draft, made, female, males)
    if drawn is not None and drawn.row.pairing is None:
        draft.set(TrialFemale.pairing, drawn.id, made)


@act(
    "male-in",
    "male added",
    Field("male", "ref", "the male that was added", required=True, of="animal"),
    ON,
    on="pairing",
    about="One more male is with the female of this pairing.",
    stages=("pairing", "laying"),
)
def male_in(draft: Draft, given: ActInput) -> None:
    pairing, male, when = given.subject, given["male"], given["on"]
    ledger = draft.ledger
    about, box, before = ledger.row(Pairing, pairing), stands(ledger, pairing), males_of(ledger, pairing)
    refuse(*over(ledger, pairing))
    if box is None:
        raise ActRefused.at("pairing", pairing_sentences.stands_nowhere(about.name))
    female = about.female
    if female is None:
        raise ActRefused.at("pairing", pairing_sentences.has_no_female(about.name))
    slips = wrong_male(ledger, male, female, box, "male")
    if any(
        partner.male == male and partner.until is None
        for partner in ledger.rows(PairingMale, PairingMale.pairing.is_(pairing))
    ):
        slips.append(
            FieldError.of("male", pairing_sentences.male_in_already(animal_name(ledger, male), about.name))
        )
    refuse(*slips, *too_early(about.since, when, about.name), *came_later(ledger, [male], box, when))
    ask(
        given,
        [
            *unsexed(ledger, male, "male"),
            *(kept_in(ledger, male, given, "male") if box_of(ledger, male) != box else []),
            *too_young(ledger, male, when, "male"),
            *(
                running_trials.second_male(ledger, pairing)
                or related(ledger, female, [male], about.purpose, "male")
            ),
        ],
    )
    put(draft, male, box, when)
    draft.add(PairingMale(pairing=pairing, male=male, since=when))
    derived, _ = paternity(draft.ledger, female, before | {male}, when)
    draft.set(Pairing.paternity, pairing, weaker(about.paternity, derived))
    # What was found after he came may be his, also when his coming is recorded late.
    for brood in list(draft.ledger.rows(Brood, Brood.pairing.is_(pairing))):
        if brood.found is None or brood.found.latest >= when.earliest:
            draft.set(Brood.paternity, brood.id, weaker(brood.paternity or about.paternity, derived))


@act(
    "male-out",
    "male taken out",
    Field("to", "ref", "the box he is in now", required=True, of="enclosure"),
    Field("male", "ref", "which male, when there are several", of="animal"),
    REST,
    LOOKED,
    ON,
    on="pairing",
    about="A male of this pairing was taken out; with the last one the pairing ends.",
    stages=("pairing", "laying"),
)
def male_out(draft: Draft, given: ActInput) -> None:
    pairing, to, when = given.subject, given["to"], given["on"]
    ledger = draft.ledger
    refuse(*over(ledger, pairing))
    every = ledger.rows(PairingMale, PairingMale.pairing.is_(pairing))
    there = [partner for partner in every if partner.until is None]
    chosen = [partner for partner in there if given["male"] in (None, partner.male)]
    if len(chosen) != 1:
        males = [animal_name(ledger, partner.male) for partner in there]
        named = given["male"] is not None
        refusal = pairing_sentences.not_in_this_pairing if named else pairing_sentences.which_male
        raise ActRefused.at("male", refusal(males))
    partner = chosen[0]
    slips = too_early(partner.since, when, pairing_sentences.HIS_TIME_WITH_HER)
    if to == stands(ledger, pairing):
        slips.append(FieldError.of("to", pairing_sentences.where_the_pairing_is(code(ledger, to))))
    refuse(*slips, *not_usable(ledger, to, "to", OPEN_TO), *came_later(ledger, [partner.male], to, when))
    ask(given, kept_in(ledger, partner.male, given, "male"))
    follow(draft, given, INTO, to)
    put(draft, partner.male, to, when)
    draft.set(PairingMale.until, partner.id, when)
    if len(there) == 1:
        close(draft, pairing, when)


def _began(pairing: Pairing, when: Span) -> bool:
    """Had it begun, for all that is known, by the end of ``when``?"""
    return pairing.since is None or pairing.since.earliest <= when.latest


@act(
    "mating-seen",
    "mating seen",
    Field("pairing", "ref", "of which pairing, when several are here", of="pairing"),
    Field("male", "ref", "by which male, when that was seen", of="animal"),
    ON,
    on="enclosure",
    about="A pair was seen mating here.",
    stages=("pairing", "laying", "colony"),
)
def mating_seen(draft: Draft, given: ActInput) -> None:
    ledger, box, when = draft.ledger, given.subject, given["on"]
    # A mating that is told late belongs to the pairing that was here then, over though it is now.
    here = {
        there.id: there.name
        for there in ledger.rows(Pairing, Pairing.enclosure.is_(box))
        if there.until is None or (_began(there, when) and there.until.latest >= when.earliest)
    }
    then = {id_: name for id_, name in here.items() if _began(ledger.row(Pairing, id_), when)}
    here = then or here
    pairing = given["pairing"]
    if pairing is None and not here:
        raise ActRefused.at("pairing", pairing_sentences.none_open(code(ledger, box)))
    if pairing is None and len(here) > 1:
        raise ActRefused.at("pairing", pairing_sentences.which_pairing(here.values()))
    if pairing is None:
        pairing = next(iter(here))
    if pairing not in here:
        raise ActRefused.at("pairing", pairing_sentences.not_open(code(ledger, box), list(here.values())))
    about, males = ledger.row(Pairing, pairing), males_of(ledger, pairing, when)
    slips = too_early(about.since, when, about.name)
    if given["male"] is not None and given["male"] not in males:
        names = sorted(animal_name(ledger, m) for m in males)
        slips.append(FieldError.of("male", pairing_sentences.was_not_its_male(about.name, names)))
    refuse(*slips)
    draft.add(Mating(pairing=pairing, seen=when, male=given["male"]))
    if about.mated is None or when.earliest < about.mated.earliest:
        draft.set(Pairing.mated, pairing, when)
    follow(draft, given, HERE, box, times=1)
