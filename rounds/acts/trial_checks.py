"""What has to be right, or is asked about, before a sib trial is opened."""

from __future__ import annotations

from rounds.acts import pairing_sentences, running_trials, trial_sentences
from rounds.acts.act import ActInput
from rounds.acts.act_checks import ActWarning
from rounds.acts.fields import FieldError
from rounds.acts.pairing_checks import alive, wrong_female
from rounds.due.planned_pairings import open_plans
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.parentage import CLOSE, SIBS, past, relation
from rounds.records.tables import Animal, Line, PlannedPairing
from rounds.text.cleaning import day_and_year
from rounds.values.spans import Span


def lengths(given: ActInput) -> list[FieldError]:
    """As many males as females in each arm, and a place for each or for none."""
    slips = []
    for females, males in (("sibs", "sib_males"), ("cross", "cross_males")):
        if len(given[females]) != len(given[males]):
            slips.append(
                FieldError.of(
                    males, trial_sentences.one_male_for_each(len(given[males]), len(given[females]))
                )
            )
    n, places = len(given["sibs"]) + len(given["cross"]), len(given["places"])
    if places and places != n:
        slips.append(FieldError.of("places", trial_sentences.one_place_for_each(places, n)))
    return slips


def to_come(stops: int, today: int) -> list[FieldError]:
    """A last day that lies ahead."""
    if stops > today:
        return []
    return [FieldError.of("stops", trial_sentences.last_day_not_to_come(day_and_year(stops)))]


def not_usable(ledger: Ledger, arm: str, female: int, male: int) -> list[FieldError]:
    """A female or male that cannot be in a trial now, for the field it was typed in."""
    field = {"sibs": "sibs", "cross": "cross"}[arm]
    his = "sib_males" if arm == "sibs" else "cross_males"
    slips = [FieldError(field, s.message, s.hint) for s in wrong_female(ledger, female)]
    slips += alive(ledger, male, his)
    if ledger.row(Animal, male).sex == "f":
        slips.append(FieldError.of(his, pairing_sentences.is_a_female(animal_name(ledger, male))))
    if female == male:
        slips.append(FieldError.of(his, pairing_sentences.is_the_female(animal_name(ledger, male))))
    for planned in open_plans(ledger, PlannedPairing.female.is_(female)):
        if running_trials.seat(ledger, female) is None:
            slips.append(
                FieldError.of(
                    field, trial_sentences.has_an_open_plan(animal_name(ledger, female), planned.name)
                )
            )
    sits = running_trials.seat(ledger, female)
    if sits is not None:
        slips.append(
            FieldError.of(
                field, trial_sentences.is_in_the_trial(animal_name(ledger, female), sits.about.name)
            )
        )
    taken = running_trials.males(ledger).get(male)
    if taken is not None:
        slips.append(
            FieldError.of(his, trial_sentences.drawn_for_the_trial(animal_name(ledger, male), taken))
        )
    return slips


def in_both_arms(ledger: Ledger, given: ActInput) -> list[FieldError]:
    """Shared over arms nobody could be told apart; a male shared within one is refused by its own field."""
    slips = []
    for one, other in (("sibs", "cross"), ("sib_males", "cross_males")):
        for animal in given[other]:
            if animal in given[one]:
                slips.append(FieldError.of(other, trial_sentences.in_both_arms(animal_name(ledger, animal))))
    return slips


def latin(ledger: Ledger, animal: int) -> str:
    return str(ledger.row(Line, ledger.row(Animal, animal).line).species)


def one_species(ledger: Ledger, animals: list[int]) -> list[FieldError]:
    """Animals of two species are no trial."""
    found: dict[str, int] = {}
    for animal in animals:
        found.setdefault(" ".join(latin(ledger, animal).split()[:2]), animal)
    if len(found) < 2:
        return []
    kinds = [(animal_name(ledger, animal), species) for species, animal in found.items()]
    return [FieldError.of("sibs", trial_sentences.several_species(kinds))]


def doubts(ledger: Ledger, arm: str, female: int, male: int, on: Span) -> list[ActWarning]:
    """What may make a pair stand for its arm badly: not sexed, not kin (or kin), mated before."""
    hers, his = animal_name(ledger, female), animal_name(ledger, male)
    out: list[ActWarning] = []
    for animal, name in ((female, hers), (male, his)):
        if ledger.row(Animal, animal).sex == "unknown":
            out.append((arm, pairing_sentences.not_sexed(name)))
    how = relation(ledger, female, male)
    if arm == "sibs" and how not in SIBS:
        out.append((arm, pairing_sentences.not_known_as_sibs(hers, his)))
    if arm == "cross" and how:
        out.append((arm, trial_sentences.are_kin(hers, his, how, close=how in CLOSE)))
    before = past(ledger, female, frozenset({male}), on)
    if before.unmated is False:
        out.append((arm, trial_sentences.may_lay_of_another(hers, before.why)))
    return out
