"""Pairings: those that run, those that are planned, those that are over; the newest first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rounds.acts import running_trials
from rounds.records.tables import Pairing, PlannedPairing
from rounds.values.spans import FIRST, span_words
from rounds.views import family_queries, page_sentences, page_words
from rounds.views import family_sentences as sentences
from rounds.views.page import Link, ListColumn, ListRow, Made, OpenPage, Page, PageSection
from rounds.views.sources import Sources

COLUMNS = (
    ListColumn("name", 6),
    ListColumn("female", 11, 1, named=True),
    ListColumn("males", 11, 1, named=True),
    ListColumn("from – to", 20),
    ListColumn("matings", 7, right=True),
    ListColumn("young", 17),
)
PLANNED = (
    ListColumn("plan", 7),
    ListColumn("female", 13, 1, named=True),
    ListColumn("male", 13, 1, named=True),
    ListColumn("when", 16),
    ListColumn("for", 16, 1),
)


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    running, over = sources.once("pairings", lambda: _ordered(sources))
    planned = [*_planned(sources)]

    def make(id_: int) -> ListRow:
        return row(sources, id_)

    parts = [PageSection(sentences.TOGETHER_NOW, COLUMNS, Made(running, make), page_sentences.NONE)]
    if planned:
        parts.append(PageSection(sentences.PLANNED, PLANNED, planned))
    parts.append(PageSection(sentences.OVER, COLUMNS, Made(over, make), page_sentences.NONE))
    hint = (
        ""
        if running or over or planned
        else page_words.first_of_all(sources.ledger, sentences.NO_PAIRING_YET)
    )
    return Page(
        sentences.PAIRINGS,
        parts=tuple(parts) if not hint else (),
        hint=hint,
        about=sentences.ABOUT_PAIRINGS,
    )


def _ordered(sources: Sources) -> tuple[list[int], list[int]]:
    ledger = sources.ledger
    ids = newest(sources, [pairing.id for pairing in ledger.rows(Pairing)])
    running = [i for i in ids if ledger.row(Pairing, i).until is None]
    return running, [i for i in ids if ledger.row(Pairing, i).until is not None]


def newest(sources: Sources, ids: Iterable[int]) -> list[int]:
    """Pairings by the day they began, the newest first."""

    def began(id_: int) -> tuple[int, int]:
        since = sources.ledger.row(Pairing, id_).since
        return (FIRST if since is None else since.earliest), id_

    return sorted(ids, key=began, reverse=True)


def row(sources: Sources, id_: int) -> ListRow:
    """One pairing in the columns of :data:`COLUMNS`."""
    ledger = sources.ledger
    pairing = ledger.row(Pairing, id_)
    female = (
        page_words.animal(ledger, pairing.female)
        if pairing.female is not None
        else page_sentences.NOT_RECORDED
    )
    when = family_queries.stretch(pairing.since, pairing.until, sources.day)
    return ListRow(
        (
            pairing.name,
            female,
            family_queries.names(sources, family_queries.males(sources, id_)) or page_sentences.NOT_RECORDED,
            when,
            family_queries.matings(sources, id_).removesuffix(" seen"),
            family_queries.offspring(sources, id_),
        ),
        Link("pairing", id_),
        enclosure=box(sources, id_),
    )


def box(sources: Sources, id_: int) -> int | None:
    """The enclosure a pairing concerns: where they are together, or else where the female is now."""
    pairing = sources.ledger.row(Pairing, id_)
    if pairing.until is None and pairing.enclosure is not None:
        return pairing.enclosure
    return None if pairing.female is None else family_queries.box_of(sources, pairing.female)


def _planned(sources: Sources) -> Iterator[ListRow]:
    """Open plans; below each that is withheld, why, as soon as that is worked out."""
    ledger = sources.ledger
    withheld = {work.plan: work.withheld for work in sources.works().value or () if work.plan is not None}
    for plan in ledger.rows(
        PlannedPairing, PlannedPairing.pairing.is_(None), PlannedPairing.dropped.is_(None)
    ):
        kept_back = running_trials.hidden_pair(ledger, plan.female, plan.male)
        when = page_sentences.NOT_RECORDED
        if plan.earliest is not None and plan.latest is not None:
            when = span_words(plan.earliest, plan.latest)
        pair = page_words.animal(ledger, plan.female), page_words.animal(ledger, plan.male)
        at = plan.enclosure if plan.enclosure is not None else family_queries.box_of(sources, plan.female)
        yield ListRow(
            (plan.name, *pair, when, sentences.IN_TRIAL if kept_back else plan.purpose),
            Link("animal", plan.female),
            enclosure=at,
        )
        if withheld.get(plan.id) and not kept_back:
            why = sentences.withheld(withheld[plan.id])
            yield ListRow(("", why, "", "", ""), Link("animal", plan.female), enclosure=at, style="today")
