"""One arrival: its papers, what came, what became of it, and who comes from it."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.records.column import Row as Kept
from rounds.records.origins import Descendant, descendants
from rounds.views import family_queries, lots_page, words
from rounds.views.brood_page import fewer_row
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.pairing_page import animal_row
from rounds.views.sources import Sources


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    row = family_queries.the(sources, "lot", id_)
    ledger = sources.ledger
    came = sorted(i for i, _ in family_queries.of(sources, "animal", "lot", id_))
    slow = sources.slow(f"descendants {id_}", "", lambda _archive, _tell: _after(descendants(ledger, id_)))
    after: list[Descendant] = slow.value if slow.value is not None else []
    parts = (
        PageSection("came with it, with a number", (ListColumn("who", 22, 1), ListColumn("state", 10), ListColumn("where", 20)),
             family_queries.Made(came, lambda i: animal_row(sources, i)), "none has a number"),
        PageSection("came with it, in groups", (ListColumn("how many", 22, 1), ListColumn("enclosure", 18), ListColumn("since", 26)),
             [family_queries.group_row(sources, r) for r in family_queries.groups(sources, "lot", id_)], "none"),
        PageSection("what became of the others", (ListColumn("how", 16), ListColumn("how many", 16), ListColumn("when", 24), ListColumn("", 18, 1)),
             [fewer_row(sources, r) for _, r in family_queries.of(sources, "fewer", "lot", id_)], "none has left the groups"),
        PageSection("lines founded from it", (ListColumn("line", 16, 1), ListColumn("kept since", 24)), [
            ListRow((r["name"], words.span(r["opened"], family_queries.NOT_RECORDED)), Link("line", i))
            for i, r in family_queries.of(sources, "line", "lot", id_)
        ], "none"),
        PageSection("who comes from it", (ListColumn("who", 24, 1), ListColumn("how sure", 10), ListColumn("generation", 11), ListColumn("through", 30)),
             [_descendant(sources, d) for d in after], slow.words or "nobody, as far as is recorded"),
    )  # fmt: skip
    return Page(
        f"arrival {row['name']}", tuple(_facts(sources, row)), parts=parts, enclosure=lots_page.box(sources, id_),
        about="One arrival with its papers and all that certainly or possibly comes from it.",
    )  # fmt: skip


def _after(found: list[Descendant]) -> list[Descendant]:
    """Those that did not come with it themselves."""
    return [d for d in found if d.through != "came with it"]


def _facts(sources: Sources, row: Kept) -> Iterator[tuple[str, str]]:
    yield "species", row["species"] or family_queries.NOT_RECORDED
    yield "came", words.span(row["arrived"], family_queries.NOT_RECORDED)
    yield "how many", f"{words.counts(row)} (males.females.unsexed)"
    yield "from", row["from_whom"] or family_queries.NOT_RECORDED
    yield "papers", row["papers"] or "none recorded"
    yield "origin", row["origin"] or family_queries.NOT_RECORDED
    mated = {"yes": "yes", "no": "no", "unknown": "not known"}
    yield "had mated", mated[row["mated_before"]]
    if row["quarantine_until"] is not None:
        over = "until" if lots_page.waiting(row, sources.day) else "was until"
        yield "quarantine", f"{over} {words.day(row['quarantine_until'])}"
    if row["note"]:
        yield "note", row["note"]


def _descendant(sources: Sources, d: Descendant) -> ListRow:
    sure = "certain" if d.certain else "possible"
    if d.animal is not None:
        return ListRow((words.animal(sources.ledger, d.animal), sure, str(d.generation), d.through), Link("animal", d.animal),
                   enclosure=family_queries.box_of(sources, d.animal))  # fmt: skip
    r = sources.ledger.row("content", d.content or 0)
    of = words.name(sources.ledger, "brood", r["brood"]) or words.line(sources.ledger, r["line"])
    link = Link("brood", r["brood"]) if r["brood"] is not None else Link("enclosure", r["enclosure"])
    return ListRow((f"{of} {words.counts(r)} {r['instar'] or 'adults'}", sure, str(d.generation), d.through), link,
               enclosure=int(r["enclosure"]))  # fmt: skip
