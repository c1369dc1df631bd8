"""One pairing: who with whom and when, matings seen, searches, broods, and what is known of the father."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts import running_trials
from rounds.records import parentage
from rounds.records.tables import Animal, Brood, Mating, Pairing, PairingMale, Search
from rounds.views import fact_sentences as labels
from rounds.views import family_background, family_queries, page_sentences, page_words, pairings_page
from rounds.views import family_sentences as sentences
from rounds.views.page import Link, ListColumn, ListRow, Made, OpenPage, Page, PageSection
from rounds.views.sources import Sources


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    pairing = family_queries.the(sources, Pairing, id_)
    ledger = sources.ledger
    found = [brood for brood in family_queries.of(sources, Brood, Brood.pairing, id_) if brood.parent is None]
    parts = (
        PageSection(
            sentences.WHO,
            (ListColumn("", 8), ListColumn("who", 22, 1, named=True), ListColumn("from – to", 34)),
            [*_who(sources, pairing)],
            page_sentences.NOT_RECORDED,
        ),
        PageSection(
            sentences.MATINGS_SEEN,
            (ListColumn("day", 30, 1), ListColumn("by which male", 26, named=True)),
            [
                ListRow(
                    (
                        page_words.span(mating.seen, page_sentences.NOT_RECORDED),
                        page_words.animal(ledger, mating.male)
                        if mating.male is not None
                        else sentences.NOT_SEEN_WHICH,
                    ),
                    Link("animal", mating.male) if mating.male is not None else None,
                )
                for mating in family_queries.of(sources, Mating, Mating.pairing, id_)
            ],
            _no_mating(pairing),
        ),
        PageSection(
            sentences.SEARCHES,
            (
                ListColumn("day", 22, 1),
                ListColumn("enclosure", 16),
                ListColumn("how", 9),
                ListColumn("found", 28),
            ),
            [
                ListRow(
                    (
                        page_words.span(search.made, page_sentences.NOT_RECORDED),
                        family_queries.at(sources, search.enclosure),
                        sentences.COMPLETE if search.complete else sentences.PARTIAL,
                        searched(search),
                    ),
                    Link("enclosure", search.enclosure),
                    enclosure=search.enclosure,
                )
                for search in family_queries.of(sources, Search, Search.pairing, id_)
            ],
            sentences.NOT_SEARCHED_AS_RECORDED,
        ),
        PageSection(
            sentences.BROODS,
            (ListColumn("brood", 14, 1), ListColumn("counted then", 22), ListColumn("found", 26)),
            [_brood(sources, brood) for brood in found],
            sentences.NONE_FOUND,
        ),
        PageSection(
            sentences.YOUNG_WITH_NUMBER,
            (ListColumn("who", 22, 1, named=True), ListColumn("state", 10), ListColumn("where", 20)),
            _young(sources, [brood.id for brood in found]),
            page_sentences.NONE,
        ),
    )
    return Page(
        sentences.pairing(pairing.name),
        tuple(_facts(sources, pairing)),
        parts=parts,
        enclosure=pairings_page.box(sources, id_),
        about=sentences.ABOUT_PAIRING,
    )


def _facts(sources: Sources, pairing: Pairing) -> Iterator[tuple[str, str]]:
    id_ = pairing.id
    yield labels.TOGETHER, family_queries.between(pairing.since, pairing.until)
    where = family_queries.at(sources, pairing.enclosure) or sentences.NO_ENCLOSURE_RECORDED
    yield labels.IN if pairing.until is None else labels.WERE_IN, where
    kept_back = running_trials.hidden(sources.ledger, id_)
    yield labels.FOR, running_trials.purpose(sources.ledger, id_)
    slow = None if kept_back else family_background.of_pairing(sources, id_)
    found: family_background.Between | None = slow.value if slow is not None else None
    yield labels.FATHER, sentences.paternity(pairing.paternity, found.why if found is not None else "")
    if kept_back:
        yield labels.F_OF_YOUNG, running_trials.HIDDEN
    elif slow is not None and found is None:
        yield labels.F_OF_YOUNG, slow.words
    elif found is not None:
        yield from _kinship(sources, found)
    if pairing.mated is not None:
        yield labels.MATED_FIRST, page_words.span(pairing.mated)
    yield labels.YOUNG, family_queries.offspring(sources, id_)
    if pairing.doubt:
        yield labels.DOUBTFUL, pairing.doubt
    if pairing.note:
        yield labels.NOTE, pairing.note


def _kinship(sources: Sources, found: family_background.Between) -> Iterator[tuple[str, str]]:
    if found.cannot:
        yield labels.F_OF_YOUNG, page_sentences.cannot_tell(found.cannot)
    elif not found.kinship:
        yield labels.F_OF_YOUNG, page_sentences.cannot_tell(sentences.PARENT_NOT_RECORDED)
    for male, amount in found.kinship.items():
        by = page_words.animal(sources.ledger, male) if len(found.kinship) > 1 else None
        yield labels.F_OF_YOUNG, sentences.f_by(str(amount), by)


def _who(sources: Sources, pairing: Pairing) -> Iterator[ListRow]:
    ledger = sources.ledger
    if pairing.female is not None:
        yield ListRow(
            (
                sentences.FEMALE,
                page_words.animal(ledger, pairing.female),
                family_queries.between(pairing.since, pairing.until),
            ),
            Link("animal", pairing.female),
            enclosure=family_queries.box_of(sources, pairing.female),
        )
    else:
        yield ListRow((sentences.FEMALE, page_sentences.NOT_RECORDED, ""), style="faint")
    for his in family_queries.of(sources, PairingMale, PairingMale.pairing, pairing.id):
        yield ListRow(
            (
                sentences.MALE,
                page_words.animal(ledger, his.male),
                family_queries.between(his.since, his.until),
            ),
            Link("animal", his.male),
            enclosure=family_queries.box_of(sources, his.male),
        )


def _no_mating(pairing: Pairing) -> str:
    """A first mating may be in the books without a row of its own."""
    if pairing.mated is None:
        return sentences.NONE_SEEN
    return sentences.none_but_first(page_words.span(pairing.mated))


def searched(search: Search) -> str:
    """``at least 12 eggs, 3 L1``, with how many of them may have been counted before."""
    counts = ((search.eggs, "eggs"), (search.l1, "L1"), (search.l2, "L2"), (search.l3, "L3"))
    found = ", ".join(f"{n} {name}" for n, name in counts if n)
    nobody_said = any(n is None for n, _ in counts)
    said = found or (page_sentences.NOT_RECORDED if nobody_said else page_sentences.NOTHING)
    return sentences.searched(said, search.recount, at_least=search.at_least)


def _brood(sources: Sources, brood: Brood) -> ListRow:
    found = page_words.span(brood.found, page_sentences.NOT_RECORDED)
    return ListRow(
        (brood.name, family_queries.counted_then(brood), found),
        Link("brood", brood.id),
        enclosure=family_queries.box_of_brood(sources, brood.id),
    )


def _young(sources: Sources, roots: list[int]) -> Made:
    found = sorted(family_queries.numbered(sources, family_queries.family(sources, roots)))
    return Made(found, lambda i: animal_row(sources, i))


def animal_row(sources: Sources, id_: int) -> ListRow:
    """``UMBER 3 m | alive | TL-014 (B3-1)``."""
    box = family_queries.box_of(sources, id_)
    state = family_queries.STATES[sources.ledger.row(Animal, id_).state]
    return ListRow(
        (page_words.animal(sources.ledger, id_), state, family_queries.at(sources, box)),
        Link("animal", id_),
        enclosure=box,
    )


def parents_words(sources: Sources, known: parentage.Parents) -> str:
    """``mother UMBER 4 f; father UMBER 3 m, certain``."""
    ledger = sources.ledger
    dam = page_words.animal(ledger, known.dam) if known.dam is not None else page_sentences.NOT_RECORDED
    sires = family_queries.names(sources, sorted(known.sires))
    if not sires:
        return sentences.parents(dam, page_sentences.NOT_RECORDED)
    if known.sure:
        return sentences.parents(dam, sentences.certain(sires))
    one = len(known.sires) == 1
    return sentences.parents(dam, sentences.likely(sires) if one else sentences.one_of(sires))
