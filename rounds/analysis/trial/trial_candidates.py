"""Animals of the books that could go into a sib trial now, how they are related, and what is known of them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from rounds.acts import running_trials
from rounds.analysis.pairing.breeding_candidates import candidates
from rounds.analysis.pedigree.kinship import matrix
from rounds.analysis.pedigree.pedigree_table import Pedigree
from rounds.analysis.trial import tally_sentences as sentences
from rounds.analysis.trial.random_draw import Kin
from rounds.analysis.trial.trial_plan import Pair
from rounds.due.planned_pairings import open_plans
from rounds.husbandry.species import Species
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name, name_of
from rounds.records.parentage import SIBS, past, relation
from rounds.records.tables import Animal, Line
from rounds.values.spans import Span


class Breeders(NamedTuple):
    """Females and males of one species that are free, by id; the others by name with what hinders them."""

    females: list[int]
    males: list[int]
    hindered: list[tuple[str, str]]


def breeders(
    ledger: Ledger, presets: Mapping[str, Species], today: int, species: str, left_out: Collection[int] = ()
) -> Breeders:
    """Who can go into a trial of a species (first two words of its Latin name) today.

    A female that may carry the sperm of an earlier male is not free: her brood would drop out.
    """
    ids = {name_of(ledger, animal): animal.id for animal in ledger.rows(Animal)}
    drawn = running_trials.males(ledger)
    planned = {plan.female: plan.name for plan in open_plans(ledger)}
    on = Span(today, today)
    out = Breeders([], [], [])
    for c in candidates(ledger, presets, today, left_out):
        if c.species != " ".join(species.split()[:2]) or c.sex not in ("m", "f"):
            continue
        i, why = ids[c.animal], c.hindered
        sits = running_trials.seat(ledger, i)
        if not why and sits is not None:
            why = sentences.in_trial(sits.about.name)
        elif not why and i in drawn:
            why = sentences.drawn_for(drawn[i])
        elif not why and i in planned:
            why = sentences.open_plan(planned[i])
        elif not why and c.sex == "f" and (before := past(ledger, i, frozenset(), on)).unmated is False:
            why = sentences.earlier_male(before.why)
        if why:
            out.hindered.append((c.animal, why))
        else:
            (out.females if c.sex == "f" else out.males).append(i)
    return out


def kin(
    ledger: Ledger, p: Pedigree, females: Sequence[int], males: Sequence[int]
) -> dict[tuple[int, int], Kin]:
    """Every female with every male: F of their offspring, and whether they are full sibs or kept apart.

    Raises what :func:`rounds.analysis.pedigree.kinship.matrix` raises.
    """
    if not females or not males:
        return {}
    names = [animal_name(ledger, i) for i in (*females, *males)]
    k = matrix(p, names)
    lines = {i: ledger.row(Line, ledger.row(Animal, i).line) for i in (*females, *males)}
    out = {}
    for a, f in enumerate(females):
        for b, m in enumerate(males, len(females)):
            hers, his = lines[f], lines[m]
            apart = (hers.subspecies, hers.locality) != (his.subspecies, his.locality)
            out[f, m] = Kin(k.low[a][b], k.usual[a][b], relation(ledger, f, m) in SIBS, apart)
    return out


def pair(ledger: Ledger, arm: str, female: int, male: int, today: int, batch: str = "") -> Pair:
    """A pair as a plan takes it; ``arm`` is a word of the books."""
    return Pair(
        running_trials.ARM_NAMES[arm],
        animal_name(ledger, female),
        animal_name(ledger, male),
        age(ledger, female, today),
        age(ledger, male, today),
        batch,
    )


def age(ledger: Ledger, animal: int, day: int) -> float | None:
    """Days from first feed (or leaving the cell) to a day, the middle of what is known; None when it is not."""
    grown = ledger.row(Animal, animal)
    start = grown.first_feed or grown.emerged
    if start is None:
        return None
    fewest, most = Span(day, day).days_since(start)
    return None if fewest is None or most is None or most < 0 else max(0.0, (fewest + most) / 2)
