"""One arrival: its papers, what came, what became of it, and who comes from it."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.records.origins import Descendant, descendants
from rounds.records.tables import Animal, Brood, Content, Fewer, Line, Lot
from rounds.views import family_queries, lots_page, words
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
            "came with it, with a number",
            (ListColumn("who", 22, 1), ListColumn("state", 10), ListColumn("where", 20)),
            Made(came, lambda i: animal_row(sources, i)),
            "none has a number",
        ),
        PageSection(
            "came with it, in groups",
            (ListColumn("how many", 22, 1), ListColumn("enclosure", 18), ListColumn("since", 26)),
            [
                family_queries.group_row(sources, group)
                for group in family_queries.groups(sources, Content.lot, id_)
            ],
            "none",
        ),
        PageSection(
            "what became of the others",
            (
                ListColumn("how", 16),
                ListColumn("how many", 16),
                ListColumn("when", 24),
                ListColumn("", 18, 1),
            ),
            [fewer_row(sources, some) for some in family_queries.of(sources, Fewer, Fewer.lot, id_)],
            "none has left the groups",
        ),
        PageSection(
            "lines founded from it",
            (ListColumn("line", 16, 1), ListColumn("kept since", 24)),
            [
                ListRow(
                    (line.name, words.span(line.opened, family_queries.NOT_RECORDED)), Link("line", line.id)
                )
                for line in family_queries.of(sources, Line, Line.lot, id_)
            ],
            "none",
        ),
        PageSection(
            "who comes from it",
            (
                ListColumn("who", 24, 1),
                ListColumn("how sure", 10),
                ListColumn("generation", 11),
                ListColumn("through", 30),
            ),
            [_descendant(sources, d) for d in after],
            slow.words or "nobody, as far as is recorded",
        ),
    )
    return Page(
        f"arrival {lot.name}",
        tuple(_facts(sources, lot)),
        parts=parts,
        enclosure=lots_page.box(sources, id_),
        about="One arrival with its papers and all that certainly or possibly comes from it.",
    )


def _after(found: list[Descendant]) -> list[Descendant]:
    """Those that did not come with it themselves."""
    return [d for d in found if d.through != "came with it"]


def _facts(sources: Sources, lot: Lot) -> Iterator[tuple[str, str]]:
    yield "species", lot.species or family_queries.NOT_RECORDED
    yield "came", words.span(lot.arrived, family_queries.NOT_RECORDED)
    yield "how many", f"{words.counts(lot)} (males.females.unsexed)"
    yield "from", lot.from_whom or family_queries.NOT_RECORDED
    yield "papers", lot.papers or "none recorded"
    yield "origin", lot.origin or family_queries.NOT_RECORDED
    mated = {"yes": "yes", "no": "no", "unknown": "not known"}
    yield "had mated", mated[lot.mated_before]
    if lot.quarantine_until is not None:
        over = "until" if lots_page.waiting(lot, sources.day) else "was until"
        yield "quarantine", f"{over} {words.day(lot.quarantine_until)}"
    if lot.note:
        yield "note", lot.note


def _descendant(sources: Sources, d: Descendant) -> ListRow:
    sure = "certain" if d.certain else "possible"
    if d.animal is not None:
        return ListRow(
            (words.animal(sources.ledger, d.animal), sure, str(d.generation), d.through),
            Link("animal", d.animal),
            enclosure=family_queries.box_of(sources, d.animal),
        )
    group = sources.ledger.row(Content, d.content)
    of = words.name(sources.ledger, Brood, group.brood) or words.line(sources.ledger, group.line)
    link = Link("brood", group.brood) if group.brood is not None else Link("enclosure", group.enclosure)
    return ListRow(
        (f"{of} {words.counts(group)} {group.instar or 'adults'}", sure, str(d.generation), d.through),
        link,
        enclosure=group.enclosure,
    )
