"""What locks, due work, candidates, questions and pages may never say against the record.

Written from what a keeper would hold against the program, without a look at the table that makes
it so: nothing here imports it. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from rounds.analysis.pairing import hindrance_sentences
from rounds.analysis.pairing.breeding_candidates import candidates
from rounds.due.kinds import DueWork
from rounds.due.work import works
from rounds.husbandry import locks
from rounds.husbandry.readings_file import vocabulary
from rounds.husbandry.stages import Depth
from rounds.records import enclosure_view
from rounds.records.ledger import Ledger
from rounds.records.naming import name_of
from rounds.records.tables import (
    Animal,
    Content,
    Due,
    Enclosure,
    Lock,
    Pairing,
    PlannedPairing,
    Protein,
    Search,
)
from rounds.settings import yamlfile
from rounds.values.spans import FIRST, LAST
from rounds.walk.machine.questions import asks
from tests.acts.books import TODAY
from tests.husbandry.test_species import shipped
from tests.views.on_books import OnBooks, text

SPECIES = shipped()
VOCABULARY = vocabulary([yamlfile.read(Path(__file__).parents[2] / "config" / "readings.yaml")])
CELL_STAGES = ("wandering", "cell", "resting")
VACANT = ("empty", "prepared")
OF_YOUNG = ("wandering", "weigh-in", "substrate", "hatch")
FOOD = ("jelly_gone", "jelly_in", "fruit_in", "fruit_gone")


def out(animal: Animal) -> bool:
    """It left its cell, ate or was ready to breed: it is no longer in a cell."""
    return any(day is not None for day in (animal.emerged, animal.first_feed, animal.mature))


def here(ledger: Ledger, box: int) -> list[Content]:
    return [c for c in ledger.rows(Content) if c.enclosure == box and c.until is None]


def somebody_in_a_cell(ledger: Ledger, box: int) -> bool:
    """A group may have some in cells; a single one until it is known to be out."""
    return any(c.animal is None or not out(ledger.row(Animal, c.animal)) for c in here(ledger, box))


def everybody_left(ledger: Ledger, box: int) -> bool:
    """They were there, and it is known when they left."""
    past = [c.until for c in ledger.rows(Content) if c.enclosure == box and c.until is not None]
    known = [u for u in past if u.latest < LAST or u.earliest > FIRST]
    return bool(known) and not here(ledger, box)


def contradictions(ledger: Ledger) -> list[str]:
    """Everything shown that the record says otherwise."""
    return [
        said
        for check in (_locks, _own_locks, _work, _work_of_animals, _stages, _pairs, _questions, _pages)
        for said in check(ledger)
    ]


def _locks(ledger: Ledger) -> Iterator[str]:
    for box in ledger.rows(Enclosure):
        state = enclosure_view.enclosure(ledger, box.id)
        held = locks.in_force(
            box.stage, enclosure_view.locks(ledger, box.id, TODAY), TODAY, vacated=state.vacated
        )
        for lock in held:
            if "cell" in lock.reason and not somebody_in_a_cell(ledger, box.id) and here(ledger, box.id):
                yield f"{box.code} ({box.stage}): locked for a cell, and nobody is in one: {lock.reason}"
            if everybody_left(ledger, box.id) and _of_its_animals(lock.reason):
                yield f"{box.code} ({box.stage}): locked, and nobody is in it: {lock.reason}"
            if lock.reason == "quarantine" and box.stage != "quarantine":
                yield f"{box.code} ({box.stage}): locked for a quarantine that is over"
            if "first search" in lock.reason and box.stage != "laying":
                yield f"{box.code} ({box.stage}): locked until a first search, and nobody lays"


def _of_its_animals(reason: str) -> bool:
    """Eggs may lie where nobody lives any more, and a keeper has reasons of their own."""
    return any(word in reason for word in ("cell", "quarantine"))


def _own_locks(ledger: Ledger) -> Iterator[str]:
    for lock in ledger.rows(Lock):
        if lock.lifted is not None or lock.animal is None:
            continue
        animal = ledger.row(Animal, lock.animal)
        name = name_of(ledger, animal)
        if animal.state in ("dead", "gone"):
            yield f"{name} is {animal.state} and still locked: {lock.reason}"
        at = [c.enclosure for c in ledger.rows(Content) if c.animal == animal.id and c.until is None]
        if at and lock.enclosure not in (None, at[0]):
            yield f"{name}'s lock is on a box it is not in"


def _work(ledger: Ledger) -> Iterator[str]:
    for work in works(ledger, SPECIES, TODAY):
        if work.done is None and work.enclosure is not None:
            yield from _one_work(ledger, work, ledger.row(Enclosure, work.enclosure))


def _one_work(ledger: Ledger, work: DueWork, box: Enclosure) -> Iterator[str]:
    there = here(ledger, box.id)
    animals = [ledger.row(Animal, c.animal) for c in there if c.animal is not None]
    named = ledger.row(Animal, work.animal) if work.animal is not None else None
    at = f"{box.code} ({box.stage}): due {work.kind} ({work.why})"
    searched = any(s.enclosure == box.id for s in ledger.rows(Search))
    wrong = {
        "emergence": not somebody_in_a_cell(ledger, box.id) or (named is not None and out(named)),
        "wandering": named is not None and (named.wandering or named.cell or named.eclosed or out(named)),
        "first-search": box.stage != "laying",
        "next-search": box.stage in ("larvae", "quarantine", *CELL_STAGES, *VACANT),
        "quarantine-end": box.stage != "quarantine" or everybody_left(ledger, box.id),
        "pairing-over": not any(
            p.until is None and (p.enclosure == box.id or p.female in {a.id for a in animals})
            for p in ledger.rows(Pairing)
        ),
        "left-over-eggs": box.stage in VACANT,
        "leftovers": not any(p.enclosure == box.id and p.taken_out is None for p in ledger.rows(Protein)),
        "mature": named is not None and named.mature is not None,
        "vacant": bool(there) or box.stage in VACANT,
        "prepared": box.stage != "prepared" or bool(there),
    }
    if wrong.get(work.kind):
        yield at
    if work.kind in OF_YOUNG and everybody_left(ledger, box.id):
        yield f"{at}, and nobody is in it"
    if box.stage in VACANT and work.kind in (*OF_YOUNG, "emergence", "next-search", "quarantine-end"):
        yield at
    if work.kind == "first-search" and work.row is not None and searched and _since_laying(ledger, box):
        yield f"{at}, and it was searched"


def _since_laying(ledger: Ledger, box: Enclosure) -> bool:
    since = box.stage_since
    return any(
        s.enclosure == box.id and s.made is not None and since is not None and s.made.earliest > since.latest
        for s in ledger.rows(Search)
    )


def _work_of_animals(ledger: Ledger) -> Iterator[str]:
    for due in ledger.rows(Due):
        if due.animal is None or due.done is not None or due.off_until == LAST:
            continue
        animal = ledger.row(Animal, due.animal)
        if animal.state in ("dead", "gone") and due.what != "loan back":
            yield f"{name_of(ledger, animal)} is {animal.state}: due {due.what}"


def _stages(ledger: Ledger) -> Iterator[str]:
    for box in ledger.rows(Enclosure):
        there = here(ledger, box.id)
        animals = [ledger.row(Animal, c.animal) for c in there if c.animal is not None]
        if there and box.stage in VACANT:
            yield f"{box.code} is {box.stage}, and somebody is in it"
        if there and len(animals) == len(there) and all(map(out, animals)) and box.stage in CELL_STAGES:
            yield f"{box.code} is {box.stage}, and all in it have left their cells"
        if box.stage == "eggs" and any(c.instar in ("L1", "L2", "L3") for c in there):
            yield f"{box.code} is eggs, and larvae are in it"


def _pairs(ledger: Ledger) -> Iterator[str]:
    """Whom to pair: fed adults are not said to rest, and nobody else is offered as if they had fed."""
    names = {name_of(ledger, a): a for a in ledger.rows(Animal)}
    running = [p for p in ledger.rows(Pairing) if p.until is None]
    for candidate in candidates(ledger, SPECIES, TODAY):
        animal = names[candidate.animal]
        fed = animal.first_feed is not None or animal.mature is not None
        if fed and candidate.hindered == hindrance_sentences.RESTING:
            yield f"{candidate.animal} has fed, and is said to rest"
        if not fed and not candidate.hindered:
            yield f"{candidate.animal} has not fed, and is offered"
        if any(p.female == animal.id for p in running) and not candidate.hindered:
            yield f"{candidate.animal} is paired, and is offered"
    for pairing in running:
        box = pairing.enclosure
        if pairing.female is None or box is None:
            continue
        stage = ledger.row(Enclosure, box).stage
        if stage in ("holding", *CELL_STAGES, *VACANT, "eggs", "larvae"):
            yield f"{pairing.name} stands in {ledger.row(Enclosure, box).code}, which is {stage}"


def _questions(ledger: Ledger) -> Iterator[str]:
    for box in ledger.rows(Enclosure):
        state = enclosure_view.enclosure(ledger, box.id)
        there = here(ledger, box.id)
        asked = asks(
            VOCABULARY,
            box.stage,
            "",
            Depth.DUG,
            (),
            TODAY,
            vacated=state.vacated,
            young_only=state.young_only,
        )
        food = [a.kind.id for a in asked if a.kind.id in FOOD]
        if food and everybody_left(ledger, box.id):
            yield f"{box.code} ({box.stage}): food is asked, and nobody is in it"
        if "jelly_gone" in food and there and all(c.instar for c in there):
            yield f"{box.code} ({box.stage}): jelly is asked, and only eggs and larvae are in it"


def _pages(ledger: Ledger) -> Iterator[str]:
    """A beetle's own page does not say that it is in a cell once it has left it."""
    sources = OnBooks(ledger, works=works(ledger, SPECIES, TODAY))
    # A plan says what keeps the other one of the two.
    planned = {a for plan in ledger.rows(PlannedPairing) for a in (plan.female, plan.male)}
    for animal in ledger.rows(Animal):
        at = [c.enclosure for c in ledger.rows(Content) if c.animal == animal.id and c.until is None]
        if not at or not out(animal) or somebody_in_a_cell(ledger, at[0]) or animal.id in planned:
            continue
        said = text(sources.page("animal", animal.id))
        for words in ("a cell is built", "a broken cell", "leaves its cell", "expect it to come up"):
            if words in said:
                yield f"the page of {name_of(ledger, animal)} says: {words}"
