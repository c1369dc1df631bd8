"""One animal: who it is, where it is, its kin, its young, where it has been, its life and its weights."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from rounds.acts import running_trials
from rounds.husbandry import locks
from rounds.records.tables import Animal, Content, Enclosure, Line, Loan, Lock
from rounds.views import (
    animal_kin,
    due_page,
    family_background,
    family_queries,
    page_sentences,
    page_words,
    weighings,
)
from rounds.views import animal_sentences as sentences
from rounds.views import fact_sentences as labels
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources

STATES = {
    "alive": sentences.STILL_ALIVE,
    "missing": sentences.WHEREABOUTS_UNKNOWN,
    "gone": sentences.LEFT_HOUSE,
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
            sentences.NOW,
            (ListColumn("", 14), ListColumn("what", 30, 1), ListColumn("when", 24)),
            [*_now(sources, id_)],
            sentences.NO_ENCLOSURE,
            counted=False,
        ),
        PageSection(
            sentences.PARENTS,
            (ListColumn("", 10), ListColumn("who", 22, 1, named=True), ListColumn("how sure", 38)),
            [*animal_kin.parents(sources, animal)],
            page_sentences.NOT_RECORDED,
            counted=False,
        ),
        PageSection(
            sentences.PAIRINGS,
            (
                ListColumn("pairing", 10),
                ListColumn("with", 20, 1, named=True),
                ListColumn("from – to", 24),
                ListColumn("matings", 8, right=True),
            ),
            [*animal_kin.pairings(sources, id_)],
            page_sentences.NONE_RECORDED,
        ),
        PageSection(
            sentences.YOUNG,
            (
                ListColumn("brood or animal", 22, 1),
                ListColumn("how many, or how sure", 26),
                ListColumn("other parent", 20, named=True),
            ),
            [*animal_kin.young(sources, id_)],
            page_sentences.NONE_RECORDED,
        ),
        PageSection(
            sentences.SIBS,
            (ListColumn("who", 22, 1, named=True), ListColumn("how", 20), ListColumn("state", 12)),
            animal_kin.sibs(sources, related),
            page_sentences.NONE_RECORDED,
        ),
        PageSection(
            sentences.PLACES,
            (ListColumn("enclosure", 22, 1), ListColumn("from – to", 40)),
            [*_places(sources, id_)],
            page_sentences.NOT_RECORDED,
        ),
        PageSection(
            sentences.LIFE,
            (ListColumn("", 18), ListColumn("when", 30, 1), ListColumn("as typed", 24)),
            [*_life(animal)],
            page_sentences.NOT_RECORDED,
            counted=False,
        ),
        weighings.animal_part(weighed),
        PageSection(
            sentences.LOOKS,
            (ListColumn("day", 12), ListColumn("note", 40, 1), ListColumn("where", 10)),
            notes.rows,
            notes.empty,
        ),
    )
    return Page(
        sentences.title(page_words.animal(sources.ledger, id_)),
        tuple(_facts(sources, animal, related)),
        weighings.drawn(weighed),
        parts,
        enclosure=family_queries.box_of(sources, id_),
        about=sentences.ABOUT_ONE,
    )


def _facts(sources: Sources, animal: Animal, related: Mapping[int, str]) -> Iterator[tuple[str, str]]:
    ledger, id_ = sources.ledger, animal.id
    line = ledger.row(Line, animal.line)
    yield labels.LINE, sentences.line_and_species(line.name, line.species)
    yield labels.SEX, family_queries.sex(animal)
    box = family_queries.box_of(sources, id_)
    state = _state(animal)
    if box is not None:
        state = sentences.state_in(state, family_queries.at(sources, box), ledger.row(Enclosure, box).stage)
    yield labels.STATE, state
    seat = running_trials.seat(ledger, id_)
    drawn = running_trials.males(ledger).get(id_)
    if seat is not None or drawn is not None:
        name = seat.about.name if seat is not None else drawn or ""
        yield labels.TRIAL, sentences.in_trial(name, running_trials.HIDDEN)
    yield labels.F, family_background.inbreeding(sources, id_)
    how = Counter(related.values())
    if how:
        yield (
            labels.SIBS,
            ", ".join(
                page_sentences.many(n, said.removesuffix("s"), said) for said, n in sorted(how.items())
            ),
        )
    for label, said in (
        (labels.MARK, animal.mark),
        (labels.BELONGS_TO, animal.owner),
        (labels.PROMISED, animal.promised),
        (labels.DOUBTFUL, animal.doubt),
        (labels.NOTE, animal.note),
    ):
        if said:
            yield label, said


def _state(animal: Animal) -> str:
    if animal.state == "dead":
        return sentences.dead(page_words.span(animal.died, sentences.WHEN_NOT_RECORDED), animal.cause)
    said = STATES[animal.state]
    if animal.state != "alive" and animal.last_seen is not None:
        return sentences.last_seen(said, page_words.day(animal.last_seen))
    return said


def _now(sources: Sources, id_: int) -> Iterator[ListRow]:
    ledger, box = sources.ledger, family_queries.box_of(sources, id_)
    own = None
    if box is not None:
        own = locks.BY_STAGE.get(ledger.row(Enclosure, box).stage)
        stay = family_queries.here(sources, id_)
        where = f"{family_queries.at(sources, box)}, {ledger.row(Enclosure, box).stage}"
        when = page_words.span(stay.since, page_sentences.NOT_RECORDED) if stay else ""
        yield ListRow((sentences.IS_IN, where, when), Link("enclosure", box), enclosure=box)
        yield from due_page.at(sources, box, id_)
    held = [*family_queries.of(sources, Lock, Lock.animal, id_)]
    held += family_queries.of(sources, Lock, Lock.enclosure, box) if box is not None else ()
    for lock in held:
        if locks.holds(sources.day, lock.until, lock.from_day, lock.lifted):
            end = page_sentences.UNTIL_LIFTED
            if lock.until is not None:
                end = page_sentences.through(page_words.day(lock.until.latest))
            forbids = sentences.do_not(tuple(lock.forbids.split()))
            yield ListRow((forbids, lock.reason, end), enclosure=box)
    if own is not None:
        forbids = sentences.do_not(tuple(own.forbids))
        yield ListRow((forbids, own.reason, sentences.WHILE_IN_STAGE), enclosure=box)
    for loan in reversed(family_queries.of(sources, Loan, Loan.animal, id_)):
        out = loan.way == "out"
        back_by = page_words.span(loan.due_back, sentences.DAY_NOT_AGREED) if loan.back is None else None
        said = sentences.loan(loan.owner, loan.terms, back_by, out=out)
        label = sentences.LENT if out else sentences.ON_LOAN_HERE
        label = label if loan.back is None else sentences.over(label)
        yield ListRow((label, said, family_queries.between(loan.since, loan.back)), enclosure=box)


def _places(sources: Sources, id_: int) -> Iterator[ListRow]:
    for stay in reversed(family_queries.of(sources, Content, Content.animal, id_)):
        yield ListRow(
            (
                sentences.doubtful_place(family_queries.at(sources, stay.enclosure), stay.doubt),
                family_queries.between(stay.since, stay.until),
            ),
            Link("enclosure", stay.enclosure),
            enclosure=stay.enclosure,
        )


def _life(animal: Animal) -> Iterator[ListRow]:
    for step, said in STEPS.items():
        when = animal.value(step)
        if when is not None:
            yield ListRow((said, page_words.span(when), when.words))
    wanting = [
        said
        for step, said in STEPS.items()
        if animal.value(step) is None and step not in (Animal.mark_lost, Animal.died)
    ]
    if wanting:
        yield ListRow((page_sentences.NOT_RECORDED, ", ".join(wanting), ""), style="faint")
