"""Who may be whose parent: possible fathers of a brood, how two animals are related, totals of a pairing.

A female stores sperm, so an earlier male may father later eggs, and two males together leave
the father open. Parents that nobody recorded are unknown, never "unrelated".
"""

from __future__ import annotations

from collections.abc import Iterator

from rounds.named_tuple import NamedTuple
from rounds.records import parentage_sentences
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.tables import PATERNITY, Animal, Brood, Content, Lot, Pairing, PairingMale, Search
from rounds.values.spans import FIRST, LAST, Span

CLOSE = ("full sibs", "full or half sibs", "parent and child", "possibly parent and child")
"""Relations whose offspring may have F = 0.25, before any older inbreeding (textbook value)."""

SIBS = ("full sibs", "full or half sibs")


class Parents(NamedTuple):
    """A mother, the males that may be the father, and whether the father is certain."""

    dam: int | None
    sires: frozenset[int]
    sure: bool


class Past(NamedTuple):
    """Had a female mated before: ``unmated`` True or False, None when nobody can know; and why."""

    unmated: bool | None
    why: str


class OffspringTotal(NamedTuple):
    """Fewest and most; ``most`` is None where a count was "at least"."""

    fewest: int
    most: int | None


def weaker(one: str, other: str) -> str:
    """The less certain of two paternities ("" counts as certain)."""
    order = ("", *PATERNITY)
    return max(one, other, key=order.index)


def males_of(ledger: Ledger, pairing: int, by: Span | None = None) -> frozenset[int]:
    """The males of a pairing; with ``by``, those that were with her before that was over."""
    return frozenset(
        partner.male
        for partner in ledger.rows(PairingMale, PairingMale.pairing.is_(pairing))
        if by is None or partner.since is None or partner.since.earliest <= by.latest
    )


def of_brood(ledger: Ledger, brood: int) -> Parents:
    """The parents of a brood, as far as its pairing tells, or that of the brood it was split from."""
    known = next((origin for origin in origins(ledger, brood) if origin.pairing is not None), None)
    if known is None:
        return Parents(None, frozenset(), sure=False)
    pairing = ledger.row(Pairing, known.pairing)
    sires = males_of(ledger, pairing.id, known.found)
    sure = len(sires) == 1 and (known.paternity or pairing.paternity) == "certain"
    return Parents(pairing.female, sires, sure)


def origins(ledger: Ledger, brood: int) -> Iterator[Brood]:
    """The brood itself, the one it was split from, and so on up to the one first counted."""
    here: int | None = brood
    seen: set[int] = set()
    while here is not None and here not in seen:
        seen.add(here)
        found = ledger.row(Brood, here)
        yield found
        here = found.parent


def parents(ledger: Ledger, animal: int) -> Parents:
    """The parents of an animal: recorded for it, or those of its brood."""
    child = ledger.row(Animal, animal)
    known = Parents(None, frozenset(), sure=False) if child.brood is None else of_brood(ledger, child.brood)
    if child.dam is not None:
        known = known._replace(dam=child.dam)
    if child.sire is not None:
        known = known._replace(sires=frozenset({child.sire}), sure=True)
    return known


def relation(ledger: Ledger, one: int, other: int) -> str:
    """``full sibs``, ``half sibs``, ``parent and child`` and the like, or "" when none is recorded."""
    mine, theirs = parents(ledger, one), parents(ledger, other)
    for child, parent in ((mine, other), (theirs, one)):
        if parent == child.dam or parent in child.sires:
            sure = parent == child.dam or child.sure
            return "parent and child" if sure else "possibly parent and child"
    shared = mine.sires & theirs.sires
    sure = mine.sure and theirs.sure
    if mine.dam is not None and mine.dam == theirs.dam:
        if shared and sure:
            return "full sibs"
        return "half sibs" if sure else "full or half sibs"
    if _first_brood(ledger, one) is not None and _first_brood(ledger, one) == _first_brood(ledger, other):
        return "full or half sibs"
    if shared:
        return "half sibs" if sure else "possibly half sibs"
    return ""


def _first_brood(ledger: Ledger, animal: int) -> int | None:
    """The brood an animal was first counted in."""
    brood = ledger.row(Animal, animal).brood
    return None if brood is None else first_brood(ledger, brood).id


def first_brood(ledger: Ledger, brood: int) -> Brood:
    """The brood that was first counted, of which this one was split (itself, when it was not split)."""
    *_, first = origins(ledger, brood)
    return first


def past(ledger: Ledger, female: int, males: frozenset[int], when: Span) -> Past:
    """Had a female mated before ``when`` with anyone but ``males``?"""
    animal = ledger.row(Animal, female)
    for pairing in ledger.rows(Pairing, Pairing.female.is_(female)):
        others = males_of(ledger, pairing.id) - males
        if others and (pairing.since is None or pairing.since.earliest <= when.latest):
            return Past(unmated=False, why=parentage_sentences.was_with(_names(ledger, others), pairing.name))
    met = _met(ledger, female, males, when)
    if met:
        return Past(unmated=False, why=parentage_sentences.shared_an_enclosure(met))
    if animal.doubt:
        return Past(None, parentage_sentences.RECORD_DOUBTFUL)
    return _arrival(ledger, animal)


def _arrival(ledger: Ledger, animal: Animal) -> Past:
    if animal.lot is not None:
        lot = ledger.row(Lot, animal.lot)
        grown = animal.eclosed or animal.emerged
        if grown is not None and lot.arrived is not None and grown.earliest > lot.arrived.latest:
            return Past(unmated=True, why=parentage_sentences.grown_here(lot.name))
        unmated = {"yes": False, "no": True}.get(lot.mated_before)
        said = {
            True: parentage_sentences.had_not_mated,
            False: parentage_sentences.had_mated,
            None: parentage_sentences.may_have_mated,
        }[unmated]
        return Past(unmated, said(lot.name))
    if animal.brood is not None or animal.dam is not None:
        return Past(unmated=True, why=parentage_sentences.BRED_HERE)
    return Past(None, parentage_sentences.NOT_RECORDED)


def _met(ledger: Ledger, female: int, males: frozenset[int], when: Span) -> str:
    """Grown males that shared an enclosure with a grown female before ``when`` was over."""
    grown = ledger.row(Animal, female).eclosed
    for hers in ledger.rows(Content, Content.animal.is_(female)):
        for other in ledger.rows(Content, Content.enclosure.is_(hers.enclosure)):
            start = max(_start(hers), _start(other))
            end = min(_end(hers), _end(other), when.latest)
            if start >= end or other.instar or (grown is not None and grown.earliest > end):
                continue
            if other.animal is None:
                if other.males or other.unsexed:
                    return parentage_sentences.A_GROUP
                continue
            animal = ledger.row(Animal, other.animal)
            young = animal.eclosed is not None and animal.eclosed.earliest > end
            if other.animal != female and other.animal not in males and animal.sex != "f" and not young:
                return animal_name(ledger, other.animal)
    return ""


def _start(content: Content) -> int:
    return content.since.earliest if content.since is not None else FIRST


def _end(content: Content) -> int:
    return content.until.latest if content.until is not None else LAST


def _names(ledger: Ledger, animals: frozenset[int]) -> str:
    return ", ".join(sorted(animal_name(ledger, a) for a in animals))


def paternity(ledger: Ledger, female: int, males: frozenset[int], when: Span) -> tuple[str, str]:
    """How sure the father of her eggs is (certain, likely, open), and why."""
    if not males:
        return "open", parentage_sentences.NO_MALE
    if len(males) > 1:
        return "open", parentage_sentences.several_males(len(males))
    known = past(ledger, female, males, when)
    return {True: "certain", False: "open", None: "likely"}[known.unmated], known.why


def offspring(ledger: Ledger, pairing: int) -> OffspringTotal:
    """How many eggs and larvae of a pairing were found, as a span.

    Those that an earlier search had counted and left in place may have been counted twice,
    which lowers the fewest. Raises KeyError when there is no such pairing.
    """
    ledger.row(Pairing, pairing)
    found, searches, more = 0, set(), False
    for brood in ledger.rows(Brood, Brood.pairing.is_(pairing), Brood.parent.is_(None)):
        found += brood.total
        more = more or brood.at_least
        searches.add(brood.search)
    twice = sum(ledger.row(Search, s).recount for s in searches if s is not None)
    return OffspringTotal(max(0, found - twice), None if more else found)
