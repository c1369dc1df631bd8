"""One animal: who it is, where it is, its kin, its young, where it has been, its life and its weights."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from rounds.acts import running_trials
from rounds.husbandry import locks
from rounds.records import parentage
from rounds.records.tables import Animal, Brood, Content, Enclosure, Line, Loan, Lock, Lot, Pairing
from rounds.views import due_page, family_background, family_queries, pairings_page, weighings, words
from rounds.views.page import Link, ListColumn, ListRow, Made, OpenPage, Page, PageSection
from rounds.views.sources import Sources

STATES = {
    "alive": "alive",
    "missing": "whereabouts unknown",
    "gone": "left the house",
}
STEPS = {
    Animal.born: "hatched",
    Animal.wandering: "wandering seen",
    Animal.cell: "in its cell",
    Animal.eclosed: "eclosed",
    Animal.emerged: "emerged",
    Animal.first_feed: "first feed",
    Animal.mature: "ready to breed",
    Animal.mark_lost: "mark lost",
    Animal.died: "died",
}


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    animal = family_queries.the(sources, Animal, id_)
    notes = family_background.notes(sources, id_)
    weighed = weighings.of_animal(sources, id_)
    related = family_queries.sibs(sources, id_)
    parts = (
        PageSection(
            "now",
            (ListColumn("", 14), ListColumn("what", 30, 1), ListColumn("when", 24)),
            [*_now(sources, id_)],
            "in no enclosure",
            counted=False,
        ),
        PageSection(
            "parents",
            (ListColumn("", 10), ListColumn("who", 22, 1), ListColumn("how sure", 38)),
            [*_parents(sources, animal)],
            family_queries.NOT_RECORDED,
            counted=False,
        ),
        PageSection(
            "pairings",
            (
                ListColumn("pairing", 10),
                ListColumn("with", 20, 1),
                ListColumn("from – to", 24),
                ListColumn("matings", 8),
            ),
            [*_pairings(sources, id_)],
            "none recorded",
        ),
        PageSection(
            "young",
            (
                ListColumn("brood or animal", 22, 1),
                ListColumn("how many, or how sure", 26),
                ListColumn("other parent", 20),
            ),
            [*_young(sources, id_)],
            "none recorded",
        ),
        PageSection(
            "sibs",
            (ListColumn("who", 22, 1), ListColumn("how", 20), ListColumn("state", 12)),
            _sibs(sources, related),
            "none recorded",
        ),
        PageSection(
            "places",
            (ListColumn("enclosure", 22, 1), ListColumn("from – to", 40)),
            [*_places(sources, id_)],
            family_queries.NOT_RECORDED,
        ),
        PageSection(
            "life",
            (ListColumn("", 18), ListColumn("when", 30, 1), ListColumn("as typed", 24)),
            [*_life(animal)],
            family_queries.NOT_RECORDED,
            counted=False,
        ),
        weighings.animal_part(weighed),
        PageSection(
            "looks that name it",
            (ListColumn("day", 12), ListColumn("note", 40, 1), ListColumn("where", 10)),
            notes.rows,
            notes.empty,
        ),
    )
    return Page(
        f"animal {words.animal(sources.ledger, id_)}",
        tuple(_facts(sources, animal, related)),
        weighings.drawn(weighed),
        parts,
        enclosure=family_queries.box_of(sources, id_),
        about="One animal with its kin and its past. Parents and sibs are as sure as is said beside them.",
    )


def _facts(sources: Sources, animal: Animal, related: Mapping[int, str]) -> Iterator[tuple[str, str]]:
    ledger, id_ = sources.ledger, animal.id
    line = ledger.row(Line, animal.line)
    yield "line", f"{line.name}, {line.species or 'species not recorded'}"
    yield "sex", family_queries.sex(animal)
    box = family_queries.box_of(sources, id_)
    there = (
        "" if box is None else f", in {family_queries.at(sources, box)}, {ledger.row(Enclosure, box).stage}"
    )
    yield "state", _state(animal) + there
    seat = running_trials.seat(ledger, id_)
    drawn = running_trials.males(ledger).get(id_)
    if seat is not None or drawn is not None:
        name = seat.about.name if seat is not None else drawn
        yield "trial", f"in trial {name}; its arm is {running_trials.HIDDEN}"
    yield "F", family_background.inbreeding(sources, id_)
    how = Counter(related.values())
    if how:
        yield (
            "sibs",
            ", ".join(
                family_queries.many(n, said.removesuffix("s"), said) for said, n in sorted(how.items())
            ),
        )
    for label, said in (
        ("mark", animal.mark),
        ("belongs to", animal.owner),
        ("promised", animal.promised),
        ("doubtful", animal.doubt),
        ("note", animal.note),
    ):
        if said:
            yield label, said


def _state(animal: Animal) -> str:
    if animal.state == "dead":
        cause = f"; suspected cause: {animal.cause}" if animal.cause else "; cause not recorded"
        return f"dead, {words.span(animal.died, 'when is not recorded')}{cause}"
    said = STATES[animal.state]
    if animal.state != "alive" and animal.last_seen is not None:
        said += f"; last seen {words.day(animal.last_seen)}"
    return said


def _now(sources: Sources, id_: int) -> Iterator[ListRow]:
    ledger, box = sources.ledger, family_queries.box_of(sources, id_)
    own = None
    if box is not None:
        own = locks.BY_STAGE.get(ledger.row(Enclosure, box).stage)
        stay = family_queries.here(sources, id_)
        where = f"{family_queries.at(sources, box)}, {ledger.row(Enclosure, box).stage}"
        when = words.span(stay.since, family_queries.NOT_RECORDED) if stay else ""
        yield ListRow(("is in", where, when), Link("enclosure", box), enclosure=box)
        yield from due_page.at(sources, box, id_)
    held = [*family_queries.of(sources, Lock, Lock.animal, id_)]
    held += family_queries.of(sources, Lock, Lock.enclosure, box) if box is not None else ()
    for lock in held:
        if locks.holds(sources.day, lock.until, lock.from_day, lock.lifted):
            end = "until it is lifted" if lock.until is None else f"until {words.day(lock.until.latest)}"
            forbids = ", ".join(lock.forbids.split())
            yield ListRow((f"do not {forbids}", lock.reason, end), enclosure=box)
    if own is not None:
        yield ListRow((f"do not {', '.join(own.forbids)}", own.reason, "while in this stage"), enclosure=box)
    for loan in reversed(family_queries.of(sources, Loan, Loan.animal, id_)):
        said = f"to {loan.owner}" if loan.way == "out" else f"from {loan.owner}"
        if loan.terms:
            said += f": {loan.terms}"
        if loan.back is None:
            said += f"; back by {words.span(loan.due_back, 'a day not agreed')}"
        label = {"out": "lent", "in": "on loan here"}[loan.way]
        label += "" if loan.back is None else ", over"
        yield ListRow((label, said, family_queries.between(loan.since, loan.back)), enclosure=box)


def _parents(sources: Sources, animal: Animal) -> Iterator[ListRow]:
    ledger = sources.ledger
    known = parentage.parents(ledger, animal.id)
    pairing = family_queries.pairing_of(sources, animal.brood)
    through = f"from {words.name(ledger, Pairing, pairing)}" if pairing is not None else "from its brood"
    if known.dam is not None:
        how = "recorded" if animal.dam is not None else through
        yield ListRow(("mother", words.animal(ledger, known.dam), how), Link("animal", known.dam))
    else:
        yield ListRow(("mother", family_queries.NOT_RECORDED, ""), look="faint")
    for sire in sorted(known.sires):
        if animal.sire is not None:
            what, how = "father", "recorded"
        elif known.sure:
            what, how = "father", f"certain, {through}"
        else:
            n = len(known.sires)
            one = f"one of {n} males" if n > 1 else "likely; an earlier male cannot be ruled out"
            what, how = "may be" if n > 1 else "father", f"{one}, {through}"
        yield ListRow((what, words.animal(ledger, sire), how), Link("animal", sire))
    if not known.sires:
        yield ListRow(("father", family_queries.NOT_RECORDED, ""), look="faint")
    if pairing is not None:
        yield ListRow(("pairing", words.name(ledger, Pairing, pairing), ""), Link("pairing", pairing))
    if animal.brood is not None:
        brood = ledger.row(Brood, animal.brood)
        yield ListRow(
            ("brood", brood.name, f"found {words.span(brood.found, family_queries.NOT_RECORDED)}"),
            Link("brood", brood.id),
        )
    if animal.lot is not None:
        lot = ledger.row(Lot, animal.lot)
        yield ListRow(
            ("came with", lot.name, words.span(lot.arrived, family_queries.NOT_RECORDED)),
            Link("lot", lot.id),
        )
    line = ledger.row(Line, animal.line)
    yield ListRow(("line", line.name, line.generation), Link("line", line.id))


def _pairings(sources: Sources, id_: int) -> Iterator[ListRow]:
    ledger = sources.ledger
    for p in pairings_page.newest(sources, family_queries.pairings(sources, id_)):
        pairing = ledger.row(Pairing, p)
        others = family_queries.males(sources, p) if pairing.female == id_ else [pairing.female]
        box = pairing.enclosure if pairing.until is None else None
        yield ListRow(
            (
                pairing.name,
                family_queries.names(sources, [o for o in others if o is not None]),
                family_queries.stretch(pairing.since, pairing.until, sources.day),
                family_queries.matings(sources, p),
            ),
            Link("pairing", p),
            enclosure=box,
        )


def _young(sources: Sources, id_: int) -> Iterator[ListRow]:
    ledger = sources.ledger
    for brood_id in family_queries.broods_of(sources, id_):
        brood = ledger.row(Brood, brood_id)
        known = parentage.of_brood(ledger, brood_id)
        if brood.parent is None and (id_ == known.dam or id_ in known.sires):
            counted = family_queries.total(family_queries.counted([brood]))
            found = words.span(brood.found, family_queries.NOT_RECORDED)
            yield ListRow(
                (
                    brood.name,
                    f"{counted} {brood.instar}, {found}{_maybe(known, id_)}",
                    _other(sources, known, id_),
                ),
                Link("brood", brood_id),
            )
    young = family_queries.young(sources, id_)
    books = family_queries.narrow(sources, young)
    for child in young:
        known = parentage.parents(books, child)
        yield ListRow(
            (
                words.animal(ledger, child),
                family_queries.STATES[ledger.row(Animal, child).state] + _maybe(known, id_),
                _other(sources, known, id_),
            ),
            Link("animal", child),
            enclosure=family_queries.box_of(sources, child),
        )


def _other(sources: Sources, known: parentage.Parents, parent: int) -> str:
    """Who the other parent is, or may be."""
    others = known.sires if parent == known.dam else {known.dam}
    return (
        family_queries.names(sources, sorted(o for o in others if o is not None))
        or family_queries.NOT_RECORDED
    )


def _maybe(known: parentage.Parents, parent: int) -> str:
    """Whether it is certainly a parent."""
    if parent == known.dam or known.sure:
        return ""
    return f"; possibly its: {len(known.sires)} males" if len(known.sires) > 1 else "; likely its"


def _sibs(sources: Sources, related: Mapping[int, str]) -> Made:
    numbers = {i: sources.ledger.row(Animal, i).number for i in related}
    order = sorted(related, key=lambda i: (related[i], family_queries.natural(numbers[i]), i))
    return Made(
        order,
        lambda i: ListRow(
            (
                words.animal(sources.ledger, i),
                related[i],
                family_queries.STATES[sources.ledger.row(Animal, i).state],
            ),
            Link("animal", i),
            enclosure=family_queries.box_of(sources, i),
        ),
    )


def _places(sources: Sources, id_: int) -> Iterator[ListRow]:
    for stay in reversed(family_queries.of(sources, Content, Content.animal, id_)):
        doubt = f"; doubtful: {stay.doubt}" if stay.doubt else ""
        yield ListRow(
            (
                family_queries.at(sources, stay.enclosure) + doubt,
                family_queries.between(stay.since, stay.until),
            ),
            Link("enclosure", stay.enclosure),
            enclosure=stay.enclosure,
        )


def _life(animal: Animal) -> Iterator[ListRow]:
    for step, said in STEPS.items():
        when = animal.value(step)
        if when is not None:
            yield ListRow((said, words.span(when), when.words))
    wanting = [
        said
        for step, said in STEPS.items()
        if animal.value(step) is None and step not in (Animal.mark_lost, Animal.died)
    ]
    if wanting:
        yield ListRow((family_queries.NOT_RECORDED, ", ".join(wanting), ""), look="faint")
