"""One line: who of it lives and can breed, its broods, pairings and arrivals, and how it began."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.analysis.pairing.breeding_candidates import candidates
from rounds.analysis.pairing.restrictions import Candidate
from rounds.records.column import Row as Kept
from rounds.records.naming import animal_name
from rounds.views import animals_page, family_queries, lines_page, pairings_page, words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    row = family_queries.the(sources, "line", id_)
    ledger = sources.ledger
    mine = dict(family_queries.of(sources, "animal", "line", id_))
    living = _by_number({i: r for i, r in mine.items() if r["state"] in ("alive", "missing")})
    gone = _by_number({i: r for i, r in mine.items() if i not in set(living)})
    broods = [
        (i, r) for i, r in reversed(family_queries.of(sources, "brood", "line", id_)) if r["parent"] is None
    ]
    ids = {p for i in mine for p in family_queries.pairings(sources, i)}
    newest = pairings_page.newest(sources, ids)
    make = animals_page.living_row(sources)
    parts = (
        PageSection("grown, and can it breed", (ListColumn("who", 15), ListColumn("today", 34, 1), ListColumn("awake", 21)), _ready(sources, living), "none"),
        PageSection("living", animals_page.COLUMNS, family_queries.Made(living, make), "none with a number"),
        PageSection("in groups", (ListColumn("how many", 22, 1), ListColumn("enclosure", 18), ListColumn("since", 26)),
             [family_queries.group_row(sources, r) for r in family_queries.groups(sources, "line", id_)], "none"),
        PageSection("broods", (ListColumn("brood", 14, 1), ListColumn("counted then", 22), ListColumn("found", 24), ListColumn("pairing", 12)), [
            ListRow((r["name"], f"{family_queries.total(family_queries.counted([r]))} {r['instar']}".strip(), words.span(r["found"], family_queries.NOT_RECORDED),
                 words.name(ledger, "pairing", r["pairing"])), Link("brood", i), enclosure=_where(sources, i))
            for i, r in broods
        ], "none recorded"),
        PageSection("pairings", pairings_page.COLUMNS, family_queries.Made(newest, lambda i: pairings_page.row(sources, i)), "none recorded"),
        PageSection("arrivals", (ListColumn("arrival", 16, 1), ListColumn("came", 24), ListColumn("from", 20)), [*_lots(sources, row, mine)], "none recorded"),
        PageSection("no longer here", animals_page.GONE, family_queries.Made(gone, lambda i: animals_page.gone_row(sources, i)), "none"),
    )  # fmt: skip
    return Page(
        f"line {row['name']}", tuple(_facts(sources, id_, row)), parts=parts, enclosure=lines_page.box(sources, id_),
        about="One line. Who can breed follows from what is recorded; what keeps the others from it is said.",
    )  # fmt: skip


def _facts(sources: Sources, id_: int, row: Kept) -> Iterator[tuple[str, str]]:
    yield (
        "species",
        " ".join(x for x in (row["species"], row["subspecies"]) if x) or family_queries.NOT_RECORDED,
    )
    yield "living", f"{lines_page.living(sources, id_)} (males.females.unsexed)"
    yield "generation", f"{row['generation']}, as it was written" if row["generation"] else "not written"
    yield "origin", row["origin"] or family_queries.NOT_RECORDED
    if row["locality"]:
        yield "locality", row["locality"]
    found = lines_page.founders(sources, id_)
    if found:
        some = family_queries.names(sources, found[:6])
        more = f" and {len(found) - 6} more" if len(found) > 6 else ""
        yield (
            "founders",
            f"{family_queries.many(len(found), 'animal')} without recorded parents: {some}{more}",
        )
    yield "kept since", words.span(row["opened"], family_queries.NOT_RECORDED)
    if row["note"]:
        yield "note", row["note"]


def _by_number(rows: dict[int, Kept]) -> list[int]:
    return sorted(rows, key=lambda i: family_queries.natural(str(rows[i]["number"])))


def _ready(sources: Sources, living: list[int]) -> family_queries.Made:
    """Grown animals: those that can breed first, then the others with what keeps them from it."""
    ledger = sources.ledger
    every = sources.once(f"candidates {sources.day}", lambda: _candidates(sources))
    mine = {i: every[name] for i in living if (name := animal_name(ledger, i)) in every}
    order = sorted(mine, key=lambda i: bool(mine[i].hindered))

    def make(i: int) -> ListRow:
        c = mine[i]
        said = c.hindered or "can breed now, as far as is recorded"
        awake = words.span(c.awake, "not known how long")
        return ListRow(
            (words.animal(ledger, i), said, awake),
            Link("animal", i),
            enclosure=family_queries.box_of(sources, i),
        )

    return family_queries.Made(order, make)


def _candidates(sources: Sources) -> dict[str, Candidate]:
    return {c.animal: c for c in candidates(sources.ledger, sources.species, sources.day)}


def _where(sources: Sources, brood: int) -> int | None:
    boxes = (
        int(r["enclosure"])
        for b in family_queries.family(sources, [brood])
        for r in family_queries.groups(sources, "brood", b)
    )
    return next(boxes, None)


def _lots(sources: Sources, row: Kept, mine: dict[int, Kept]) -> Iterator[ListRow]:
    for lot in sorted({row["lot"], *(r["lot"] for r in mine.values())} - {None}):
        r = sources.ledger.row("lot", lot)
        yield ListRow(
            (
                r["name"],
                words.span(r["arrived"], family_queries.NOT_RECORDED),
                r["from_whom"] or family_queries.NOT_RECORDED,
            ),
            Link("lot", lot),
        )
