"""What must hold, and what is asked about, before animals are paired."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.acts import pairing_sentences
from rounds.acts.act import ActRefused
from rounds.acts.act_checks import ActWarning
from rounds.acts.fields import FieldError
from rounds.acts.moving_and_locks import living
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name, code, table_word
from rounds.records.parentage import CLOSE, SIBS, relation
from rounds.records.record import Record
from rounds.records.tables import Animal, Content, Enclosure, Pairing, PairingMale
from rounds.records.whereabouts import inside, where_is
from rounds.values.spans import Span, told


def stands(ledger: Ledger, pairing: int) -> int | None:
    """The enclosure a pairing is in."""
    return ledger.row(Pairing, pairing).enclosure


def over(ledger: Ledger, pairing: int) -> list[FieldError]:
    row = ledger.row(Pairing, pairing)
    if row.until is None:
        return []
    return [FieldError.of("pairing", pairing_sentences.is_over(row.name, told(row.until)))]


def too_early(since: Span | None, when: Span, name: str) -> list[FieldError]:
    if since is None or when.latest >= since.earliest:
        return []
    return [FieldError.of("on", pairing_sentences.before_it_began(name, told(since)))]


def came_later(ledger: Ledger, animals: Iterable[int], to: int | None, when: Span) -> list[FieldError]:
    """Animals that cannot have been moved to ``to`` then, since they came to where they are later."""
    out = []
    for animal in animals:
        here = where_is(ledger, animal)
        there = ledger.row(Content, here) if here is not None else None
        if there is None or there.enclosure == to or there.since is None:
            continue
        if when.latest < there.since.earliest:
            at = code(ledger, there.enclosure)
            out.append(
                FieldError.of(
                    "on",
                    pairing_sentences.before_it_came(animal_name(ledger, animal), at, told(there.since)),
                )
            )
    return out


def not_usable(ledger: Ledger, box: int, field: str, stages: tuple[str, ...]) -> list[FieldError]:
    stage = str(ledger.row(Enclosure, box).stage)
    if stage in stages:
        return []
    return [FieldError.of(field, pairing_sentences.stage_does_not_fit(code(ledger, box), stage, stages))]


def alive(ledger: Ledger, animal: int, field: str) -> list[FieldError]:
    try:
        living(ledger, animal, field)
    except ActRefused as e:
        return list(e.slips)
    return []


def wrong_female(ledger: Ledger, female: int) -> list[FieldError]:
    name = animal_name(ledger, female)
    slips = alive(ledger, female, "female")
    if ledger.row(Animal, female).sex == "m":
        slips.append(FieldError.of("female", pairing_sentences.is_a_male(name)))
    for pairing in ledger.rows(Pairing, Pairing.female.is_(female), Pairing.until.is_(None)):
        slips.append(FieldError.of("female", pairing_sentences.paired_already(name, pairing.name)))
    return slips


def wrong_male(
    ledger: Ledger, male: int, female: int | None, box: int | None, field: str = "males"
) -> list[FieldError]:
    name = animal_name(ledger, male)
    slips = alive(ledger, male, field)
    if male == female:
        slips.append(FieldError.of(field, pairing_sentences.is_the_female(name)))
    if ledger.row(Animal, male).sex == "f":
        slips.append(FieldError.of(field, pairing_sentences.is_a_female(name)))
    for partner in ledger.rows(PairingMale, PairingMale.male.is_(male), PairingMale.until.is_(None)):
        # One male may serve two females that stand in one enclosure.
        other = ledger.row(Pairing, partner.pairing)
        if other.until is None and stands(ledger, partner.pairing) != box:
            slips.append(FieldError.of(field, pairing_sentences.in_another_pairing(name, other.name)))
    return slips


def name_taken(ledger: Ledger, of: type[Record], name: str | None) -> list[FieldError]:
    if not name or ledger.find(of, name) is None:
        return []
    return [FieldError.of("name", pairing_sentences.name_taken(table_word(of.table), name))]


def unsexed(ledger: Ledger, animal: int, field: str) -> list[ActWarning]:
    if ledger.row(Animal, animal).sex != "unknown":
        return []
    return [(field, pairing_sentences.not_sexed(animal_name(ledger, animal)))]


def too_young(ledger: Ledger, animal: int, when: Span, field: str) -> list[ActWarning]:
    """Only what was recorded counts: nothing is known of an animal without dates."""
    known = ledger.row(Animal, animal)
    for day, doubt in (
        (known.mature, pairing_sentences.not_ready_before),
        (known.first_feed, pairing_sentences.did_not_feed_before),
    ):
        if day is not None and day.earliest > when.latest:
            return [(field, doubt(animal_name(ledger, animal), told(day)))]
    return []


def related(ledger: Ledger, female: int, males: list[int], purpose: str, field: str) -> list[ActWarning]:
    """Close kin are named, unless sibs are the purpose; then it is asked about when they are none."""
    found = {m: relation(ledger, female, m) for m in males}
    hers = animal_name(ledger, female)
    if purpose != "sibs":
        return [
            (field, pairing_sentences.are_kin(hers, animal_name(ledger, m), how))
            for m, how in found.items()
            if how in CLOSE
        ]
    return [
        (field, pairing_sentences.not_known_as_sibs(hers, animal_name(ledger, m)))
        for m, how in found.items()
        if how not in SIBS
    ]


def other_males(ledger: Ledger, box: int, males: frozenset[int]) -> frozenset[int]:
    """Males in an enclosure that are not among ``males``."""
    return frozenset(
        content.animal
        for content in inside(ledger, box)
        if content.animal is not None
        and content.animal not in males
        and ledger.row(Animal, content.animal).sex == "m"
    )


def company(ledger: Ledger, box: int, males: frozenset[int]) -> list[ActWarning]:
    return [
        ("males", pairing_sentences.another_male_there(animal_name(ledger, m), code(ledger, box)))
        for m in sorted(other_males(ledger, box, males))
    ]
