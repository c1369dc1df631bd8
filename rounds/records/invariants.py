"""What must be true of any books: who is where, who descends from whom, counts that add up.

Acts keep this by their preconditions; taking an act back is checked against it, and so are
the tests that record acts at random.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rounds.records import fault_sentences
from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name, name_of, table_word
from rounds.records.tables import (
    TABLES,
    Animal,
    Brood,
    Content,
    Fewer,
    Lot,
    Pairing,
    PairingMale,
    PlannedPairing,
    Trial,
    TrialFemale,
)
from rounds.values.spans import Span


def parents(ledger: Ledger, animal: int) -> set[int]:
    """Father and mother as far as they are certain: recorded for it, or its brood's mother.

    The males of a pairing are only possible fathers and are not among them.
    """
    child = ledger.row(Animal, animal)
    known = {child.sire, child.dam}
    if child.brood is not None:
        pairing = ledger.row(Brood, child.brood).pairing
        if pairing is not None:
            known.add(ledger.row(Pairing, pairing).female)
    return {p for p in known if p is not None}


def ancestors(ledger: Ledger, animal: int) -> set[int]:
    """Everyone an animal certainly descends from (itself only if the books are wrong)."""
    found: set[int] = set()
    ask = [animal]
    while ask:
        new = parents(ledger, ask.pop()) - found
        found |= new
        ask.extend(new)
    return found


def faults(ledger: Ledger) -> list[str]:
    """Every way in which these books cannot be right, as sentences without a full stop."""
    return [fault for check in CHECKS for fault in check(ledger)]


def _places(ledger: Ledger) -> Iterator[str]:
    """Alive: in exactly one place. Missing, gone or dead: in none."""
    here: dict[int, int] = {}
    for content in ledger.rows(Content, Content.until.is_(None)):
        if content.animal is not None:
            here[content.animal] = here.get(content.animal, 0) + 1
    for animal in ledger.rows(Animal):
        places = here.get(animal.id, 0)
        if places > 1:
            yield fault_sentences.in_several_places(name_of(ledger, animal), places)
        if not places and animal.state == "alive":
            yield fault_sentences.in_no_enclosure(name_of(ledger, animal))
        if places and animal.state != "alive":
            yield fault_sentences.still_in_an_enclosure(name_of(ledger, animal), animal.state)


def _ancestry(ledger: Ledger) -> Iterator[str]:
    for animal in ledger.rows(Animal):
        if (animal.sire or animal.dam or animal.brood) and animal.id in ancestors(ledger, animal.id):
            yield fault_sentences.own_ancestor(name_of(ledger, animal))


def sexes(ledger: Ledger) -> Iterator[str]:
    """A father or male of a pairing is not female, a mother or female of a pairing not male."""

    def wrong(animal: int, sex: str) -> bool:
        return ledger.row(Animal, animal).sex not in (sex, "unknown")

    for animal in ledger.rows(Animal):
        for parent, sex, fault in (
            (animal.sire, "m", fault_sentences.father_would_not_be),
            (animal.dam, "f", fault_sentences.mother_would_not_be),
        ):
            if parent is not None and wrong(parent, sex):
                yield fault(name_of(ledger, animal), animal_name(ledger, parent), sex)
    for pairing in ledger.rows(Pairing):
        if pairing.female is not None and wrong(pairing.female, "f"):
            yield fault_sentences.female_would_be_male(animal_name(ledger, pairing.female), pairing.name)
    for partner in ledger.rows(PairingMale):
        if wrong(partner.male, "m"):
            yield fault_sentences.male_would_be_female(animal_name(ledger, partner.male))


def _totals(ledger: Ledger) -> Iterator[str]:
    """What was found of a brood or an arrival is what is there now and what became of the rest."""
    there: dict[tuple[type[Brood] | type[Lot], int], list[int]] = {}
    for content in ledger.rows(Content, Content.animal.is_(None)):
        if content.total < 0 or min(content.males, content.females, content.unsexed) < 0:
            yield fault_sentences.FEWER_THAN_NONE
        for source, i in _sources(content):
            if content.until is None:
                sums = there.setdefault((source, i), [0, 0])
                sums[0] += content.total
                sums[1] |= content.at_least
    for fewer in ledger.rows(Fewer):
        for source, i in _sources(fewer):
            there.setdefault((source, i), [0, 0])[0] += fewer.total
    for (source, i), (sum_, more) in there.items():
        found = ledger.row(source, i)
        if sum_ > found.total and not found.at_least:
            yield fault_sentences.more_than_found(table_word(source.table), found.name, sum_, found.total)
        if sum_ < found.total and not more:
            yield fault_sentences.fewer_than_found(source.table, found.name, sum_, found.total)


def _sources(some: Content | Fewer) -> Iterator[tuple[type[Brood] | type[Lot], int]]:
    """The brood and the arrival in whose counts these were once included."""
    if some.brood is not None:
        yield Brood, some.brood
    if some.lot is not None:
        yield Lot, some.lot


def _references(ledger: Ledger) -> Iterator[str]:
    """No row that counts refers to one that does not."""
    counts = {name: {record.id for record in ledger.rows(table)} for name, table in TABLES.items()}
    for table in TABLES.values():
        refs = [column for column in table.columns if column.type == "ref"]
        for record in ledger.rows(table):
            for column in refs:
                referred = record.value(column)
                if referred is not None and referred not in counts[column.of]:
                    yield fault_sentences.refers_to_what_was_taken_back(
                        table_word(table.table), record.id, table_word(column.of)
                    )


def _days(ledger: Ledger) -> Iterator[str]:
    """No span runs backwards, and nobody leaves certainly before they came."""
    for table in TABLES.values():
        spans: list[Column[Span | None]] = [column for column in table.columns if column.type == "span"]
        for record in ledger.rows(table):
            for column in spans:
                value = record.value(column)
                if value is not None and value.earliest > value.latest:
                    yield fault_sentences.runs_backwards(column.name, table.table, record.id)
    for content in ledger.rows(Content):
        if (
            content.since is not None
            and content.until is not None
            and content.until.latest < content.since.earliest
        ):
            yield fault_sentences.ends_before_it_began(content.id)


def _plans(ledger: Ledger) -> Iterator[str]:
    """A plan is open, made or given up, never two of them; what was made of it is its two animals' pairing."""
    open_: dict[int, str] = {}
    for planned in ledger.rows(PlannedPairing):
        name = planned.name
        if planned.female == planned.male:
            yield fault_sentences.paired_with_itself(name, animal_name(ledger, planned.female))
        if planned.earliest is not None and planned.latest is not None and planned.latest < planned.earliest:
            yield fault_sentences.plan_runs_backwards(name)
        if planned.pairing is not None and planned.dropped is not None:
            yield fault_sentences.made_and_given_up(name)
        elif planned.pairing is None and planned.dropped is None:
            if planned.female in open_:
                yield fault_sentences.two_open_plans(
                    animal_name(ledger, planned.female), open_[planned.female], name
                )
            open_[planned.female] = name
        if planned.pairing is not None and not _made_of(ledger, planned, planned.pairing):
            yield fault_sentences.made_of_others(name)


def _made_of(ledger: Ledger, planned: PlannedPairing, pairing: int) -> bool:
    males = {partner.male for partner in ledger.rows(PairingMale, PairingMale.pairing.is_(pairing))}
    return ledger.row(Pairing, pairing).female == planned.female and planned.male in males


def _trials(ledger: Ledger) -> Iterator[str]:
    """A trial ends after it began; the pairing of a female in it is hers."""
    for trial in ledger.rows(Trial):
        for day, fault in (
            (trial.stops, fault_sentences.trial_would_end),
            (trial.closed, fault_sentences.trial_would_be_closed),
        ):
            if trial.opened is not None and day is not None and day < trial.opened:
                yield fault(trial.name)
    for seat in ledger.rows(TrialFemale):
        if seat.pairing is not None and ledger.row(Pairing, seat.pairing).female != seat.female:
            yield fault_sentences.pairing_of_another(animal_name(ledger, seat.female))


CHECKS: tuple[Callable[[Ledger], Iterator[str]], ...] = (
    _places,
    _ancestry,
    sexes,
    _totals,
    _references,
    _days,
    _plans,
    _trials,
)
"""Every check of :func:`faults`; a new one is added here."""
