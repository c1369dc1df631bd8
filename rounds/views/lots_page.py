"""Arrivals with their papers: those in quarantine first, then the newest."""

from __future__ import annotations

from rounds.husbandry.spans import FIRST
from rounds.records.column import Row as Kept
from rounds.views import family_queries, words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources

COLUMNS = (
    ListColumn("arrival", 14, 1), ListColumn("came", 16), ListColumn("how many", 12), ListColumn("from", 14, 1), ListColumn("papers", 14, 1),
)  # fmt: skip
NONE = "No arrival is recorded yet. Go to the enclosure the animals were put into; the record key there offers it."


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    rows = sorted(
        sources.ledger.rows("lot"),
        key=lambda r: (r[1]["arrived"].earliest if r[1]["arrived"] is not None else FIRST, r[0]), reverse=True,
    )  # fmt: skip
    apart = [ListRow((*_row(i, r).cells[:4], words.day(r["quarantine_until"])), Link("lot", i), enclosure=box(sources, i))
             for i, r in rows if waiting(r, sources.day)]  # fmt: skip
    others = [_row(i, r)._replace(enclosure=box(sources, i)) for i, r in rows if not waiting(r, sources.day)]
    until = (*COLUMNS[:4], ListColumn("apart until", 14))
    hint = "" if rows else words.first_of_all(sources.ledger, NONE)
    parts = (
        PageSection("in quarantine", until, apart, "none"),
        PageSection("arrivals", COLUMNS, others, "none"),
    )
    return Page(
        "arrivals", parts=parts if rows else (), hint=hint,
        about="What came into the house together, and its papers. Counts are males.females.unsexed as they came.",
    )  # fmt: skip


def waiting(row: Kept, day: int) -> bool:
    """Its quarantine is not over by the day that was set."""
    return row["quarantine_until"] is not None and row["quarantine_until"] >= day


def _row(id_: int, row: Kept) -> ListRow:
    return ListRow(
        (row["name"], words.span(row["arrived"], family_queries.NOT_RECORDED), words.counts(row), row["from_whom"] or family_queries.NOT_RECORDED,
         row["papers"] or "none recorded"),
        Link("lot", id_),
    )  # fmt: skip


def box(sources: Sources, lot: int) -> int | None:
    """The first enclosure in which animals or groups of an arrival are."""
    boxes = [int(r["enclosure"]) for r in family_queries.groups(sources, "lot", lot)]
    boxes += [
        b
        for i, _ in family_queries.of(sources, "animal", "lot", lot)
        if (b := family_queries.box_of(sources, i)) is not None
    ]
    return min(boxes, default=None)
