"""Acts of pairing: put together, a male more or fewer, a mating seen, parted."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.acts import pairing_sentences, running_trials
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ActWarning, ask, kept_in, refuse
from rounds.acts.common import NOTE, ON, last_day, living, put, set_stage
from rounds.acts.effects import LOOKED, REST, pairing_left
from rounds.acts.fields import Field, FieldError
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
from rounds.acts.work_windows import close_due, due_after, window
from rounds.due.planned_pairings import OPEN_TO, plan_made
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name, code, fresh_name, words
from rounds.records.parentage import males_of, paternity, weaker
from rounds.records.tables import (
    PATERNITY,
    PURPOSES,
    Brood,
    Enclosure,
    Mating,
    Pairing,
    PairingMale,
    TrialFemale,
)
from rounds.records.whereabouts import box_of, species_of
from rounds.values.spans import Span

TOGETHER = "pairing period over"


@act(
    "pair",
    "put together",
    Field("female", "ref", "the female (LINE/NUMBER)", required=True, of="animal"),
    Field("males", "ref", "the male, or several with commas", required=True, of="animal", many=True),
    Field("purpose", "word", "cross, sibs (on purpose) or unplanned", words=PURPOSES, default="cross"),
    Field(
        "paternity", "word", "certain, likely or open (follows from the books unless given)", words=PATERNITY
    ),
    Field("on", "span", "since when they are together (today unless given)", default="today", past=True),
    Field("name", "text", "what the pairing is called (P-01 and so on unless given)", label=True),
    NOTE,
    on="enclosure",
    about="A female and one or more males were put together in this enclosure.",
    stages=("holding", "pairing", "prepared", "empty"),
    caution="Plan numbers before you pair. Large males pinch and may hurt each other: watch them on the first day.",
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
    if ledger.row(Enclosure, box).stage not in ("laying", "colony"):
        set_stage(draft, box, "pairing", when)
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
    days = window(given, species_of(draft.ledger, box), "together_days", (14, 21))
    due_after(draft, box, TOGETHER, when, days, pairing_sentences.together_since(words(when)))


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
            FieldError("male", *pairing_sentences.male_in_already(animal_name(ledger, male), about.name))
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
    Field("to", "ref", "the enclosure he is in now", required=True, of="enclosure"),
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
        slips.append(FieldError("to", *pairing_sentences.where_the_pairing_is(code(ledger, to))))
    refuse(*slips, *not_usable(ledger, to, "to", OPEN_TO), *came_later(ledger, [partner.male], to, when))
    ask(given, kept_in(ledger, partner.male, given, "male"))
    put(draft, partner.male, to, when)
    draft.set(PairingMale.until, partner.id, when)
    used(draft, to, when)
    if len(there) == 1:
        close(draft, pairing, when, given.today)
    if (box := stands(ledger, pairing)) is not None:
        pairing_left(draft, box, given)


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
    here = {
        open_.id: open_.name
        for open_ in ledger.rows(Pairing, Pairing.until.is_(None), Pairing.enclosure.is_(box))
    }
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
        slips.append(FieldError("male", *pairing_sentences.was_not_its_male(about.name, names)))
    refuse(*slips)
    draft.add(Mating(pairing=pairing, seen=when, male=given["male"]))
    if about.mated is None or when.earliest < about.mated.earliest:
        draft.set(Pairing.mated, pairing, when)


@act(
    "parted",
    "parted",
    Field("female_to", "ref", "the enclosure the female is in now, when she was moved", of="enclosure"),
    Field("males_to", "ref", "the enclosure the males are in now, when they were moved", of="enclosure"),
    Field(
        "who",
        "word",
        "who left: she, he (or the males) or both (follows from the enclosures)",
        words=("she", "he", "both"),
    ),
    REST,
    LOOKED,
    ON,
    Field("note", "text", "why, and anything else"),
    on="pairing",
    about="The pairing is over; female and males are apart.",
    stages=("pairing", "laying"),
)
def parted(draft: Draft, given: ActInput) -> None:
    pairing, when = given.subject, given["on"]
    ledger = draft.ledger
    about = ledger.row(Pairing, pairing)
    female = about.female
    if female is None and given["female_to"] is not None:
        raise ActRefused.at("female_to", pairing_sentences.no_female_to_move(about.name))
    males = [
        partner.male
        for partner in ledger.rows(PairingMale, PairingMale.pairing.is_(pairing))
        if partner.until is None
    ]
    moves: list[tuple[int, int | None, str]] = [(male, given["males_to"], "males_to") for male in males]
    if female is not None:
        moves.insert(0, (female, given["female_to"], "female_to"))
    moved = [(a, to, f) for a, to, f in moves if to is not None]
    refuse(
        *over(ledger, pairing),
        *_who_left(given),
        *too_early(about.since, when, about.name),
        *(s for f in ("female_to", "males_to") if given[f] for s in not_usable(ledger, given[f], f, OPEN_TO)),
        *(s for a, to, _ in moved for s in came_later(ledger, [a], to, when)),
    )
    ask(given, [d for a, to, f in moved if to != box_of(ledger, a) for d in kept_in(ledger, a, given, f)])
    for animal, to, field in moved:
        living(draft.ledger, animal, field)
        put(draft, animal, to, when)
        used(draft, to, when)
    hers = box_of(draft.ledger, female) if female is not None else None
    if hers is not None and hers in [box_of(draft.ledger, male) for male in males]:
        raise ActRefused.at(
            "female_to" if moved else "who", pairing_sentences.still_together(code(draft.ledger, hers))
        )
    if given["note"]:
        draft.set(Pairing.note, pairing, "; ".join(filter(None, (about.note, given["note"]))))
    close(draft, pairing, when, given.today)
    if (box := stands(ledger, pairing)) is not None:
        pairing_left(draft, box, given)


def _who_left(given: ActInput) -> list[FieldError]:
    """What ``who`` wants told of the enclosures, and what it contradicts."""
    who, out = given["who"], []
    for field, left, missing, stayed in (
        ("female_to", "she", pairing_sentences.where_is_she, pairing_sentences.she_stayed),
        ("males_to", "he", pairing_sentences.where_is_he, pairing_sentences.he_stayed),
    ):
        if who in (left, "both") and given[field] is None:
            out.append(FieldError(field, *missing()))
        elif who not in (None, left, "both") and given[field] is not None:
            out.append(FieldError(field, *stayed(who)))
    return out


def close(draft: Draft, pairing: int, when: Span, today: int) -> None:
    """A pairing and all that is open of it end; work that waited for its end is done."""
    draft.set(Pairing.until, pairing, when)
    for partner in list(
        draft.ledger.rows(PairingMale, PairingMale.pairing.is_(pairing), PairingMale.until.is_(None))
    ):
        draft.set(PairingMale.until, partner.id, when)
    box = stands(draft.ledger, pairing)
    if box is not None and not open_in(draft.ledger, box):
        close_due(draft, box, (TOGETHER,), last_day(when, today))


def open_in(ledger: Ledger, box: int) -> list[int]:
    """Pairings that are open in this enclosure, by rising id."""
    return [
        pairing.id for pairing in ledger.rows(Pairing, Pairing.until.is_(None), Pairing.enclosure.is_(box))
    ]


def used(draft: Draft, box: int, when: Span) -> None:
    """An enclosure that waited for use holds adults now."""
    if draft.ledger.row(Enclosure, box).stage in ("prepared", "empty"):
        set_stage(draft, box, "holding", when)
