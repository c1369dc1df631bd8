"""Lines: how many live, how many founded them, and the generation as it was written."""

from __future__ import annotations

from rounds.named_tuple import NamedTuple
from rounds.records import parentage
from rounds.records.parentage import OffspringTotal
from rounds.records.tables import Animal, Content, Line, Lot
from rounds.views import family_queries, page_sentences, page_words
from rounds.views import family_sentences as sentences
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources

COLUMNS = (
    ListColumn("line", 9),
    ListColumn("species", 20, 1),
    ListColumn("living", 22, 1),
    ListColumn("generation", 10),
    ListColumn("origin", 12, 1),
)


class Living(NamedTuple):
    """Living animals of a line by sex, and those in counted groups."""

    males: int
    females: int
    unsexed: int
    missing: int
    grouped: OffspringTotal

    @property
    def none(self) -> bool:
        return not (
            self.males or self.females or self.unsexed or self.missing
        ) and self.grouped == OffspringTotal(0, 0)

    def __str__(self) -> str:
        numbered = page_sentences.counts(self.males, self.females, self.unsexed, at_least=False)
        said = [] if numbered == "0.0.0" and self.grouped != OffspringTotal(0, 0) else [numbered]
        if self.grouped != OffspringTotal(0, 0):
            said.append(sentences.in_groups(family_queries.total(self.grouped)))
        if self.missing:
            said.append(sentences.missing(self.missing))
        return " + ".join(said)


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    lines = sorted(sources.ledger.rows(Line), key=lambda line: family_queries.natural(line.name))
    known = [(line, living(sources, line.id)) for line in lines]
    here = [_row(sources, line, n) for line, n in known if not n.none]
    gone = [_row(sources, line, n) for line, n in known if n.none]
    hint = "" if known else page_words.first_of_all(sources.ledger, sentences.NO_LINE_YET)
    parts = (
        PageSection(sentences.LIVING_LINES, COLUMNS, here, page_sentences.NONE),
        PageSection(sentences.NONE_LIVING, COLUMNS, gone, page_sentences.NONE),
    )
    return Page(
        sentences.LINES,
        parts=parts if known else (),
        hint=hint,
        about=sentences.ABOUT_LINES,
    )


def living(sources: Sources, line: int) -> Living:
    """How many of a line live, as far as they are counted."""
    animals = family_queries.of(sources, Animal, Animal.line, line)
    alive = [animal.sex for animal in animals if animal.state == "alive"]
    missing = sum(animal.state == "missing" for animal in animals)
    grouped = family_queries.counted(family_queries.groups(sources, Content.line, line))
    return Living(alive.count("m"), alive.count("f"), alive.count("unknown"), missing, grouped)


def founders(sources: Sources, line: int) -> list[int]:
    """Animals of a line of which no parent is recorded, so that the line's past begins with them."""
    ids = [animal.id for animal in family_queries.of(sources, Animal, Animal.line, line)]
    books = family_queries.narrow(sources, ids)
    out = []
    for i in ids:
        known = parentage.parents(books, i)
        if known.dam is None and not known.sires:
            out.append(i)
    return out


def _row(sources: Sources, line: Line, n: Living) -> ListRow:
    lot = sources.ledger.row(Lot, line.lot).name if line.lot is not None else ""
    origin = line.origin or (sentences.from_arrival(lot) if lot else page_sentences.NOT_RECORDED)
    return ListRow(
        (
            line.name,
            line.species or page_sentences.NOT_RECORDED,
            str(n),
            line.generation or sentences.NOT_WRITTEN,
            origin,
        ),
        Link("line", line.id),
        enclosure=box(sources, line.id),
    )


def box(sources: Sources, line: int) -> int | None:
    """The first enclosure in which animals of a line live."""
    stays = family_queries.of(sources, Content, Content.line, line)
    return min((stay.enclosure for stay in stays if stay.until is None), default=None)
