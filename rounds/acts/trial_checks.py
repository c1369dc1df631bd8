"""What has to be right, or is asked about, before a sib trial is opened."""

from __future__ import annotations

from rounds.acts import running_trials
from rounds.acts.act import ActInput
from rounds.acts.act_checks import ActWarning
from rounds.acts.fields import FieldError
from rounds.acts.pairing_checks import alive, wrong_female
from rounds.due.planned_pairings import open_plans
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name, iso
from rounds.records.parentage import CLOSE, SIBS, past, relation
from rounds.records.tables import Animal, Line, PlannedPairing
from rounds.values.spans import Span


def lengths(given: ActInput) -> list[FieldError]:
    """As many males as females in each arm, and a place for each or for none."""
    slips = []
    for females, males in (("sibs", "sib_males"), ("cross", "cross_males")):
        if len(given[females]) != len(given[males]):
            slips.append(
                FieldError(
                    males,
                    f"{len(given[males])} males for {len(given[females])} females.",
                    "One male for each female, in the same order.",
                )
            )
    n, places = len(given["sibs"]) + len(given["cross"]), len(given["places"])
    if places and places != n:
        slips.append(
            FieldError("places", f"{places} places for {n} females.", "One for each, or none at all.")
        )
    return slips


def to_come(stops: int, today: int) -> list[FieldError]:
    """A last day that lies ahead."""
    if stops > today:
        return []
    return [FieldError("stops", f"{iso(stops)} is not to come.", "A trial is judged on a day after today.")]


def not_usable(ledger: Ledger, arm: str, female: int, male: int) -> list[FieldError]:
    """A female or male that cannot be in a trial now, for the field it was typed in."""
    field = {"sibs": "sibs", "cross": "cross"}[arm]
    his = "sib_males" if arm == "sibs" else "cross_males"
    slips = [FieldError(field, s.message, s.hint) for s in wrong_female(ledger, female)]
    slips += alive(ledger, male, his)
    if ledger.row(Animal, male).sex == "f":
        slips.append(
            FieldError(
                his, f"{animal_name(ledger, male)} is a female.", "Correct the sex first if that is wrong."
            )
        )
    if female == male:
        slips.append(
            FieldError(his, f"{animal_name(ledger, male)} is the female.", "Expected another animal.")
        )
    for planned in open_plans(ledger, PlannedPairing.female.is_(female)):
        if running_trials.seat(ledger, female) is None:
            slips.append(
                FieldError(
                    field,
                    f"{animal_name(ledger, female)} has an open plan, {planned.name}.",
                    f"Record `plan-drop {planned.name}` first.",
                )
            )
    sits = running_trials.seat(ledger, female)
    if sits is not None:
        slips.append(
            FieldError(
                field,
                f"{animal_name(ledger, female)} is in the trial {sits.about.name}.",
                "Name another, or record `trial-out` first.",
            )
        )
    taken = running_trials.males(ledger).get(male)
    if taken is not None:
        slips.append(
            FieldError(his, f"{animal_name(ledger, male)} is drawn for the trial {taken}.", "Name another.")
        )
    return slips


def in_both_arms(ledger: Ledger, given: ActInput) -> list[FieldError]:
    """Shared over arms nobody could be told apart; a male shared within one is refused by its own field."""
    slips = []
    for one, other in (("sibs", "cross"), ("sib_males", "cross_males")):
        for animal in given[other]:
            if animal in given[one]:
                slips.append(
                    FieldError(
                        other,
                        f"{animal_name(ledger, animal)} is in both arms.",
                        "All its broods would drop out: name another.",
                    )
                )
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
    said = ", ".join(f"{animal_name(ledger, a)} {latin or 'not known'}" for latin, a in found.items())
    return [
        FieldError(
            "sibs", f"they are not of one species: {said}.", "A trial compares animals of one species."
        )
    ]


def doubts(ledger: Ledger, arm: str, female: int, male: int, on: Span) -> list[ActWarning]:
    """What may make a pair stand for its arm badly: not sexed, not kin (or kin), mated before."""
    hers, his = animal_name(ledger, female), animal_name(ledger, male)
    out: list[ActWarning] = []
    for animal, name in ((female, hers), (male, his)):
        if ledger.row(Animal, animal).sex == "unknown":
            out.append((arm, f"{name} has not been sexed."))
    how = relation(ledger, female, male)
    if arm == "sibs" and how not in SIBS:
        out.append((arm, f"The books do not show that {hers} and {his} are full sibs."))
    if arm == "cross" and how:
        closer = "as close as the other arm" if how in CLOSE else "which lessens what the trial compares"
        out.append((arm, f"{hers} and {his} are {how}, {closer}."))
    before = past(ledger, female, frozenset({male}), on)
    if before.unmated is False:
        out.append((arm, f"{hers} may lay eggs of an earlier male ({before.why}): her brood would drop out."))
    return out
