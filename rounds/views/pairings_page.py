"""Pairings: those that run, those that are planned, those that are over; the newest first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rounds.acts import running_trials
from rounds.husbandry.spans import FIRST, span_words
from rounds.views import family_queries, words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources

COLUMNS = (
    ListColumn("name", 6), ListColumn("female", 11, 1), ListColumn("males", 11, 1), ListColumn("from – to", 20),
    ListColumn("matings", 7), ListColumn("young", 17),
)  # fmt: skip
PLANNED = (
    ListColumn("plan", 7), ListColumn("female", 13, 1), ListColumn("male", 13, 1), ListColumn("when", 16), ListColumn("for", 16, 1),
)  # fmt: skip
NONE = (
    "No pairing is recorded yet. Go to the enclosure the animals are put together in; the record key there"
    " offers it."
)


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    running, over = sources.once("pairings", lambda: _ordered(sources))
    planned = [*_planned(sources)]

    def make(id_: int) -> ListRow:
        return row(sources, id_)

    parts = [PageSection("together now", COLUMNS, family_queries.Made(running, make), "none")]
    if planned:
        parts.append(PageSection("planned, not yet made", PLANNED, planned))
    parts.append(PageSection("over", COLUMNS, family_queries.Made(over, make), "none"))
    hint = "" if running or over or planned else words.first_of_all(sources.ledger, NONE)
    return Page(
        "pairings", parts=tuple(parts) if not hint else (), hint=hint,
        about="Which males were with which female. What was found of each stands last; at least stays at least.",
    )  # fmt: skip


def _ordered(sources: Sources) -> tuple[list[int], list[int]]:
    ledger = sources.ledger
    ids = newest(sources, [i for i, _ in ledger.rows("pairing")])
    running = [i for i in ids if ledger.row("pairing", i)["until"] is None]
    return running, [i for i in ids if ledger.row("pairing", i)["until"] is not None]


def newest(sources: Sources, ids: Iterable[int]) -> list[int]:
    """Pairings by the day they began, the newest first."""

    def began(id_: int) -> tuple[int, int]:
        since = sources.ledger.row("pairing", id_)["since"]
        return (FIRST if since is None else since.earliest), id_

    return sorted(ids, key=began, reverse=True)


def row(sources: Sources, id_: int) -> ListRow:
    """One pairing in the columns of :data:`COLUMNS`."""
    ledger = sources.ledger
    r = ledger.row("pairing", id_)
    female = words.animal(ledger, r["female"]) if r["female"] is not None else family_queries.NOT_RECORDED
    when = family_queries.stretch(r["since"], r["until"], sources.day)
    return ListRow(
        (r["name"], female, family_queries.names(sources, family_queries.males(sources, id_)) or family_queries.NOT_RECORDED, when,
         family_queries.matings(sources, id_).removesuffix(" seen"), family_queries.offspring(sources, id_)),
        Link("pairing", id_), enclosure=box(sources, id_),
    )  # fmt: skip


def box(sources: Sources, pairing: int) -> int | None:
    """The enclosure a pairing concerns: where they are together, or else where the female is now."""
    r = sources.ledger.row("pairing", pairing)
    if r["until"] is None and r["enclosure"] is not None:
        return int(r["enclosure"])
    return None if r["female"] is None else family_queries.box_of(sources, r["female"])


def _planned(sources: Sources) -> Iterator[ListRow]:
    ledger = sources.ledger
    for _, r in ledger.rows("plan", pairing=None, dropped=None):
        kept_back = running_trials.hidden_pair(ledger, r["female"], r["male"])
        when = (
            span_words(r["earliest"], r["latest"])
            if None not in (r["earliest"], r["latest"])
            else family_queries.NOT_RECORDED
        )
        pair = [
            words.animal(ledger, a) if a is not None else family_queries.NOT_RECORDED
            for a in (r["female"], r["male"])
        ]
        at = r["enclosure"] if r["enclosure"] is not None else family_queries.box_of(sources, r["female"])
        yield ListRow(
            (r["name"], *pair, when, "in a trial" if kept_back else r["purpose"]),
            Link("animal", r["female"]) if r["female"] is not None else None, enclosure=at,
        )  # fmt: skip
