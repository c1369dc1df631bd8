"""What must be true of any books: who is where, who descends from whom, counts that add up.

Acts keep this by their preconditions; taking an act back is checked against it, and so are
the tests that record acts at random.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name, name_of
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
            yield f"{name_of(ledger, animal)} is in {places} places at once"
        if not places and animal.state == "alive":
            yield f"{name_of(ledger, animal)} is alive and in no enclosure"
        if places and animal.state != "alive":
            yield f"{name_of(ledger, animal)} is {animal.state} and still in an enclosure"


def _ancestry(ledger: Ledger) -> Iterator[str]:
    for animal in ledger.rows(Animal):
        if (animal.sire or animal.dam or animal.brood) and animal.id in ancestors(ledger, animal.id):
            yield f"{name_of(ledger, animal)} would be its own ancestor"


def sexes(ledger: Ledger) -> Iterator[str]:
    """A father or male of a pairing is not female, a mother or female of a pairing not male."""

    def wrong(animal: int, sex: str) -> bool:
        return ledger.row(Animal, animal).sex not in (sex, "unknown")

    for animal in ledger.rows(Animal):
        for parent, sex, word in ((animal.sire, "m", "father"), (animal.dam, "f", "mother")):
            if parent is not None and wrong(parent, sex):
                yield f"the {word} of {name_of(ledger, animal)}, {animal_name(ledger, parent)}, would not be {sex}"
    for pairing in ledger.rows(Pairing):
        if pairing.female is not None and wrong(pairing.female, "f"):
            yield f"{animal_name(ledger, pairing.female)}, the female of {pairing.name}, would be male"
    for partner in ledger.rows(PairingMale):
        if wrong(partner.male, "m"):
            yield f"{animal_name(ledger, partner.male)}, a male of a pairing, would be female"


def _totals(ledger: Ledger) -> Iterator[str]:
    """What was found of a brood or an arrival is what is there now and what became of the rest."""
    there: dict[tuple[type[Brood] | type[Lot], int], list[int]] = {}
    for content in ledger.rows(Content, Content.animal.is_(None)):
        if content.total < 0 or min(content.males, content.females, content.unsexed) < 0:
            yield "a group would hold fewer than none"
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
            yield f"{source.table} {found.name} would have {sum_} where {found.total} were found"
        if sum_ < found.total and not more:
            yield f"{source.table} {found.name} would have {sum_} left where {found.total} were found"


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
                    yield f"{table.table} {record.id} would refer to a {column.of} that was taken back"


def _days(ledger: Ledger) -> Iterator[str]:
    """No span runs backwards, and nobody leaves certainly before they came."""
    for table in TABLES.values():
        spans: list[Column[Span | None]] = [column for column in table.columns if column.type == "span"]
        for record in ledger.rows(table):
            for column in spans:
                value = record.value(column)
                if value is not None and value.earliest > value.latest:
                    yield f"{column.name} of {table.table} {record.id} would run backwards"
    for content in ledger.rows(Content):
        if (
            content.since is not None
            and content.until is not None
            and content.until.latest < content.since.earliest
        ):
            yield f"content {content.id} would end before it began"


def _plans(ledger: Ledger) -> Iterator[str]:
    """A plan is open, made or given up, never two of them; what was made of it is its two animals' pairing."""
    open_: dict[int, str] = {}
    for planned in ledger.rows(PlannedPairing):
        name = planned.name
        if planned.female == planned.male:
            yield f"{name} would pair {animal_name(ledger, planned.female)} with itself"
        if planned.earliest is not None and planned.latest is not None and planned.latest < planned.earliest:
            yield f"the days of {name} would run backwards"
        if planned.pairing is not None and planned.dropped is not None:
            yield f"{name} would be both made and given up"
        elif planned.pairing is None and planned.dropped is None:
            if planned.female in open_:
                yield f"{animal_name(ledger, planned.female)} would have two open plans, {open_[planned.female]} and {name}"
            open_[planned.female] = name
        if planned.pairing is not None and not _made_of(ledger, planned, planned.pairing):
            yield f"{name} would be made as a pairing of others"


def _made_of(ledger: Ledger, planned: PlannedPairing, pairing: int) -> bool:
    males = {partner.male for partner in ledger.rows(PairingMale, PairingMale.pairing.is_(pairing))}
    return ledger.row(Pairing, pairing).female == planned.female and planned.male in males


def _trials(ledger: Ledger) -> Iterator[str]:
    """A trial ends after it began; the pairing of a female in it is hers."""
    for trial in ledger.rows(Trial):
        for day, word in ((trial.stops, "end"), (trial.closed, "be closed")):
            if trial.opened is not None and day is not None and day < trial.opened:
                yield f"the trial {trial.name} would {word} before it began"
    for seat in ledger.rows(TrialFemale):
        if seat.pairing is not None and ledger.row(Pairing, seat.pairing).female != seat.female:
            yield f"{animal_name(ledger, seat.female)} would be in a trial with the pairing of another"


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
