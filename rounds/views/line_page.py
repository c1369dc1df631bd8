"""One line: who of it lives and can breed, its broods, pairings and arrivals, and how it began."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rounds.analysis.pairing.breeding_candidates import candidates
from rounds.analysis.pairing.restrictions import Candidate
from rounds.records.naming import animal_name
from rounds.records.tables import Animal, Brood, Content, Line, Lot, Pairing
from rounds.views import animals_page, family_queries, lines_page, page_sentences, page_words, pairings_page
from rounds.views import fact_sentences as labels
from rounds.views import family_sentences as sentences
from rounds.views.page import Link, ListColumn, ListRow, Made, OpenPage, Page, PageSection
from rounds.views.sources import Sources


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    line = family_queries.the(sources, Line, id_)
    ledger = sources.ledger
    mine = family_queries.of(sources, Animal, Animal.line, id_)
    living = _by_number(animal for animal in mine if animal.state in ("alive", "missing"))
    gone = _by_number(animal for animal in mine if animal.state not in ("alive", "missing"))
    newest_first = reversed(family_queries.of(sources, Brood, Brood.line, id_))
    broods = [brood for brood in newest_first if brood.parent is None]
    ids = {p for animal in mine for p in family_queries.pairings(sources, animal.id)}
    newest = pairings_page.newest(sources, ids)
    make = animals_page.living_row(sources)
    parts = (
        PageSection(
            sentences.GROWN,
            (ListColumn("who", 15, named=True), ListColumn("today", 34, 1), ListColumn("awake", 21)),
            _ready(sources, living),
            page_sentences.NONE,
        ),
        PageSection(sentences.LIVING, animals_page.COLUMNS, Made(living, make), sentences.NONE_WITH_NUMBER),
        PageSection(
            sentences.IN_GROUPS,
            (ListColumn("how many", 22, 1), ListColumn("enclosure", 18), ListColumn("since", 26)),
            [
                family_queries.group_row(sources, group)
                for group in family_queries.groups(sources, Content.line, id_)
            ],
            page_sentences.NONE,
        ),
        PageSection(
            sentences.BROODS,
            (
                ListColumn("brood", 14, 1),
                ListColumn("counted then", 22),
                ListColumn("found", 24),
                ListColumn("pairing", 12),
            ),
            [
                ListRow(
                    (
                        brood.name,
                        family_queries.counted_then(brood),
                        page_words.span(brood.found, page_sentences.NOT_RECORDED),
                        page_words.name(ledger, Pairing, brood.pairing),
                    ),
                    Link("brood", brood.id),
                    enclosure=family_queries.box_of_brood(sources, brood.id),
                )
                for brood in broods
            ],
            page_sentences.NONE_RECORDED,
        ),
        PageSection(
            sentences.PAIRINGS,
            pairings_page.COLUMNS,
            Made(newest, lambda i: pairings_page.row(sources, i)),
            page_sentences.NONE_RECORDED,
        ),
        PageSection(
            sentences.ARRIVALS,
            (ListColumn("arrival", 16, 1), ListColumn("came", 24), ListColumn("from", 20)),
            [*_lots(sources, line, mine)],
            page_sentences.NONE_RECORDED,
        ),
        PageSection(
            sentences.GONE,
            animals_page.GONE,
            Made(gone, lambda i: animals_page.gone_row(sources, i)),
            page_sentences.NONE,
        ),
    )
    return Page(
        sentences.line(line.name),
        tuple(_facts(sources, line)),
        parts=parts,
        enclosure=lines_page.box(sources, id_),
        about=sentences.ABOUT_LINE,
    )


def _facts(sources: Sources, line: Line) -> Iterator[tuple[str, str]]:
    yield (
        labels.SPECIES,
        " ".join(x for x in (line.species, line.subspecies) if x) or page_sentences.NOT_RECORDED,
    )
    yield labels.LIVING, page_sentences.counted(str(lines_page.living(sources, line.id)))
    yield (
        labels.GENERATION,
        sentences.as_written(line.generation) if line.generation else sentences.NOT_WRITTEN,
    )
    yield labels.ORIGIN, line.origin or page_sentences.NOT_RECORDED
    if line.locality:
        yield labels.LOCALITY, line.locality
    found = lines_page.founders(sources, line.id)
    if found:
        some = family_queries.names(sources, found[:6])
        yield labels.FOUNDERS, sentences.founders(len(found), some, max(0, len(found) - 6))
    yield labels.KEPT_SINCE, page_words.span(line.opened, page_sentences.NOT_RECORDED)
    if line.note:
        yield labels.NOTE, line.note


def _by_number(animals: Iterable[Animal]) -> list[int]:
    return [animal.id for animal in sorted(animals, key=lambda animal: family_queries.natural(animal.number))]


def _ready(sources: Sources, living: list[int]) -> Made:
    """Grown animals: those that can breed first, then the others with what keeps them from it."""
    ledger = sources.ledger
    every = sources.once(f"candidates {sources.day}", lambda: _candidates(sources))
    mine = {i: every[name] for i in living if (name := animal_name(ledger, i)) in every}
    order = sorted(mine, key=lambda i: bool(mine[i].hindered))

    def make(i: int) -> ListRow:
        c = mine[i]
        said = c.hindered or sentences.CAN_BREED
        awake = page_words.span(c.awake, sentences.AWAKE_NOT_KNOWN)
        return ListRow(
            (page_words.animal(ledger, i), said, awake),
            Link("animal", i),
            enclosure=family_queries.box_of(sources, i),
        )

    return Made(order, make)


def _candidates(sources: Sources) -> dict[str, Candidate]:
    return {c.animal: c for c in candidates(sources.ledger, sources.species, sources.day)}


def _lots(sources: Sources, line: Line, mine: Sequence[Animal]) -> Iterator[ListRow]:
    ids = {line.lot, *(animal.lot for animal in mine)}
    for id_ in sorted(id_ for id_ in ids if id_ is not None):
        lot = sources.ledger.row(Lot, id_)
        yield ListRow(
            (
                lot.name,
                page_words.span(lot.arrived, page_sentences.NOT_RECORDED),
                lot.from_whom or page_sentences.NOT_RECORDED,
            ),
            Link("lot", id_),
        )
