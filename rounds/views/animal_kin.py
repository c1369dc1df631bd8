"""Kin of one animal as rows of its page: parents, pairings, young and sibs, each as sure as it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rounds.records import parentage
from rounds.records.tables import Animal, Brood, Line, Lot, Pairing
from rounds.views import animal_sentences as sentences
from rounds.views import fact_sentences as labels
from rounds.views import family_queries, page_sentences, page_words, pairings_page
from rounds.views.page import Link, ListRow, Made
from rounds.views.sources import Sources


def parents(sources: Sources, animal: Animal) -> Iterator[ListRow]:
    ledger = sources.ledger
    known = parentage.parents(ledger, animal.id)
    pairing = family_queries.pairing_of(sources, animal.brood)
    through = sentences.FROM_BROOD
    if pairing is not None:
        through = sentences.through_pairing(page_words.name(ledger, Pairing, pairing))
    if known.dam is not None:
        how = sentences.RECORDED if animal.dam is not None else through
        yield ListRow(
            (sentences.MOTHER, page_words.animal(ledger, known.dam), how), Link("animal", known.dam)
        )
    else:
        yield ListRow((sentences.MOTHER, page_sentences.NOT_RECORDED, ""), style="faint")
    for sire in sorted(known.sires):
        if animal.sire is not None:
            what, how = sentences.FATHER, sentences.RECORDED
        elif known.sure:
            what, how = sentences.FATHER, sentences.how_through(sentences.CERTAIN, through)
        else:
            n = len(known.sires)
            one = sentences.one_of_males(n) if n > 1 else sentences.LIKELY
            what = sentences.MAY_BE if n > 1 else sentences.FATHER
            how = sentences.how_through(one, through)
        yield ListRow((what, page_words.animal(ledger, sire), how), Link("animal", sire))
    if not known.sires:
        yield ListRow((sentences.FATHER, page_sentences.NOT_RECORDED, ""), style="faint")
    if pairing is not None:
        yield ListRow(
            (labels.PAIRING, page_words.name(ledger, Pairing, pairing), ""), Link("pairing", pairing)
        )
    if animal.brood is not None:
        brood = ledger.row(Brood, animal.brood)
        yield ListRow(
            (
                labels.BROOD,
                brood.name,
                sentences.found(page_words.span(brood.found, page_sentences.NOT_RECORDED)),
            ),
            Link("brood", brood.id),
        )
    if animal.lot is not None:
        lot = ledger.row(Lot, animal.lot)
        yield ListRow(
            (labels.CAME_WITH, lot.name, page_words.span(lot.arrived, page_sentences.NOT_RECORDED)),
            Link("lot", lot.id),
        )
    line = ledger.row(Line, animal.line)
    yield ListRow((labels.LINE, line.name, line.generation), Link("line", line.id))


def pairings(sources: Sources, id_: int) -> Iterator[ListRow]:
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


def young(sources: Sources, id_: int) -> Iterator[ListRow]:
    ledger = sources.ledger
    for brood_id in family_queries.broods_of(sources, id_):
        brood = ledger.row(Brood, brood_id)
        known = parentage.of_brood(ledger, brood_id)
        if brood.parent is None and (id_ == known.dam or id_ in known.sires):
            counted = family_queries.total(family_queries.counted([brood]))
            found = page_words.span(brood.found, page_sentences.NOT_RECORDED)
            yield ListRow(
                (
                    brood.name,
                    sentences.young_of_brood(counted, brood.instar, found, _maybe(known, id_)),
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
                page_words.animal(ledger, child),
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
        or page_sentences.NOT_RECORDED
    )


def _maybe(known: parentage.Parents, parent: int) -> str:
    """Whether it is certainly a parent."""
    if parent == known.dam or known.sure:
        return ""
    return sentences.possibly_its(len(known.sires)) if len(known.sires) > 1 else sentences.LIKELY_ITS


def sibs(sources: Sources, related: Mapping[int, str]) -> Made:
    numbers = {i: sources.ledger.row(Animal, i).number for i in related}
    order = sorted(related, key=lambda i: (related[i], family_queries.natural(numbers[i]), i))
    return Made(
        order,
        lambda i: ListRow(
            (
                page_words.animal(sources.ledger, i),
                related[i],
                family_queries.STATES[sources.ledger.row(Animal, i).state],
            ),
            Link("animal", i),
            enclosure=family_queries.box_of(sources, i),
        ),
    )
