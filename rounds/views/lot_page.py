"""One arrival: its papers, what came, what became of it, and who comes from it."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.records.origins import Descendant, descendants
from rounds.records.tables import Animal, Brood, Content, Fewer, Line, Lot
from rounds.views import fact_sentences as labels
from rounds.views import family_queries, lots_page, page_sentences, page_words
from rounds.views import family_sentences as sentences
from rounds.views.brood_page import fewer_row
from rounds.views.page import Link, ListColumn, ListRow, Made, OpenPage, Page, PageSection
from rounds.views.pairing_page import animal_row
from rounds.views.sources import Sources


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    lot = family_queries.the(sources, Lot, id_)
    ledger = sources.ledger
    came = sorted(animal.id for animal in family_queries.of(sources, Animal, Animal.lot, id_))
    slow = sources.slow(f"descendants {id_}", "", lambda _archive, _tell: _after(descendants(ledger, id_)))
    after: list[Descendant] = slow.value if slow.value is not None else []
    parts = (
        PageSection(
            sentences.CAME_WITH_NUMBER,
            (ListColumn("who", 22, 1, named=True), ListColumn("state", 10), ListColumn("where", 20)),
            Made(came, lambda i: animal_row(sources, i)),
            sentences.NONE_HAS_NUMBER,
        ),
        PageSection(
            sentences.CAME_IN_GROUPS,
            (ListColumn("how many", 22, 1), ListColumn("enclosure", 18), ListColumn("since", 26)),
            [
                family_queries.group_row(sources, group)
                for group in family_queries.groups(sources, Content.lot, id_)
            ],
            page_sentences.NONE,
        ),
        PageSection(
            sentences.THE_OTHERS,
            (
                ListColumn("how", 16),
                ListColumn("how many", 16),
                ListColumn("when", 24),
                ListColumn("", 18, 1),
            ),
            [fewer_row(sources, some) for some in family_queries.of(sources, Fewer, Fewer.lot, id_)],
            sentences.NONE_LEFT,
        ),
        PageSection(
            sentences.LINES_FOUNDED,
            (ListColumn("line", 16, 1), ListColumn("kept since", 24)),
            [
                ListRow(
                    (line.name, page_words.span(line.opened, page_sentences.NOT_RECORDED)),
                    Link("line", line.id),
                )
                for line in family_queries.of(sources, Line, Line.lot, id_)
            ],
            page_sentences.NONE,
        ),
        PageSection(
            sentences.WHO_COMES_FROM_IT,
            (
                ListColumn("who", 24, 1, named=True),
                ListColumn("how sure", 10),
                ListColumn("generation", 11),
                ListColumn("through", 30),
            ),
            [_descendant(sources, d) for d in after],
            slow.words or sentences.NOBODY_COMES,
        ),
    )
    return Page(
        sentences.arrival(lot.name),
        tuple(_facts(sources, lot)),
        parts=parts,
        enclosure=lots_page.box(sources, id_),
        about=sentences.ABOUT_ARRIVAL,
    )


def _after(found: list[Descendant]) -> list[Descendant]:
    """Those that did not come with it themselves."""
    return [d for d in found if not d.came]


def _facts(sources: Sources, lot: Lot) -> Iterator[tuple[str, str]]:
    yield labels.SPECIES, lot.species or page_sentences.NOT_RECORDED
    yield labels.CAME, page_words.span(lot.arrived, page_sentences.NOT_RECORDED)
    yield labels.HOW_MANY, page_sentences.counted(page_words.counts(lot))
    yield labels.FROM, lot.from_whom or page_sentences.NOT_RECORDED
    yield labels.PAPERS, lot.papers or page_sentences.NONE_RECORDED
    yield labels.ORIGIN, lot.origin or page_sentences.NOT_RECORDED
    mated = {"yes": "yes", "no": "no", "unknown": page_sentences.NOT_KNOWN}
    yield labels.HAD_MATED, mated[lot.mated_before]
    if lot.quarantine_until is not None:
        over = not lots_page.waiting(lot, sources.day)
        yield labels.QUARANTINE, sentences.quarantine(page_words.day(lot.quarantine_until), over=over)
    if lot.note:
        yield labels.NOTE, lot.note


def _descendant(sources: Sources, d: Descendant) -> ListRow:
    sure = sentences.CERTAIN if d.certain else sentences.POSSIBLE
    if d.animal is not None:
        return ListRow(
            (page_words.animal(sources.ledger, d.animal), sure, str(d.generation), d.through),
            Link("animal", d.animal),
            enclosure=family_queries.box_of(sources, d.animal),
        )
    group = sources.ledger.row(Content, d.content)
    of = page_words.name(sources.ledger, Brood, group.brood) or page_words.line(sources.ledger, group.line)
    link = Link("brood", group.brood) if group.brood is not None else Link("enclosure", group.enclosure)
    return ListRow(
        (
            page_sentences.of_instar(f"{of} {page_words.counts(group)}", group.instar),
            sure,
            str(d.generation),
            d.through,
        ),
        link,
        enclosure=group.enclosure,
    )
