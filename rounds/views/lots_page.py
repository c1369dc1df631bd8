"""Arrivals with their papers: those in quarantine first, then the newest."""

from __future__ import annotations

from rounds.records.tables import Animal, Content, Lot
from rounds.values.spans import FIRST
from rounds.views import family_queries, page_sentences, page_words
from rounds.views import family_sentences as sentences
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources

COLUMNS = (
    ListColumn("arrival", 14, 1),
    ListColumn("came", 16),
    ListColumn("how many", 12),
    ListColumn("from", 14, 1),
    ListColumn("papers", 14, 1),
)


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    lots = sorted(
        sources.ledger.rows(Lot),
        key=lambda lot: (lot.arrived.earliest if lot.arrived is not None else FIRST, lot.id),
        reverse=True,
    )
    apart = [
        ListRow(
            (*_row(lot).cells[:4], page_words.day(lot.quarantine_until)),
            Link("lot", lot.id),
            enclosure=box(sources, lot.id),
        )
        for lot in lots
        if lot.quarantine_until is not None and waiting(lot, sources.day)
    ]
    others = [
        _row(lot)._replace(enclosure=box(sources, lot.id)) for lot in lots if not waiting(lot, sources.day)
    ]
    until = (*COLUMNS[:4], ListColumn("apart until", 14))
    hint = "" if lots else page_words.first_of_all(sources.ledger, sentences.NO_ARRIVAL_YET)
    parts = (
        PageSection(sentences.IN_QUARANTINE, until, apart, page_sentences.NONE),
        PageSection(sentences.ARRIVALS, COLUMNS, others, page_sentences.NONE),
    )
    return Page(
        sentences.ARRIVALS,
        parts=parts if lots else (),
        hint=hint,
        about=sentences.ABOUT_ARRIVALS,
    )


def waiting(lot: Lot, day: int) -> bool:
    """Its quarantine is not over by the day that was set."""
    return lot.quarantine_until is not None and lot.quarantine_until >= day


def _row(lot: Lot) -> ListRow:
    return ListRow(
        (
            lot.name,
            page_words.span(lot.arrived, page_sentences.NOT_RECORDED),
            page_words.counts(lot),
            lot.from_whom or page_sentences.NOT_RECORDED,
            lot.papers or page_sentences.NONE_RECORDED,
        ),
        Link("lot", lot.id),
    )


def box(sources: Sources, lot: int) -> int | None:
    """The first enclosure in which animals or groups of an arrival are."""
    boxes = [group.enclosure for group in family_queries.groups(sources, Content.lot, lot)]
    boxes += [
        b
        for animal in family_queries.of(sources, Animal, Animal.lot, lot)
        if (b := family_queries.box_of(sources, animal.id)) is not None
    ]
    return min(boxes, default=None)
