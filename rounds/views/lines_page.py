"""Lines: how many live, how many founded them, and the generation as it was written."""

from __future__ import annotations

from typing import NamedTuple

from rounds.records import parentage
from rounds.records.column import Row as Kept
from rounds.records.parentage import OffspringTotal
from rounds.views import family_queries, words
from rounds.views.page import Link, ListColumn, ListRow, OpenPage, Page, PageSection
from rounds.views.sources import Sources

COLUMNS = (
    ListColumn("line", 9), ListColumn("species", 20, 1), ListColumn("living", 22, 1), ListColumn("generation", 10),
    ListColumn("origin", 12, 1),
)  # fmt: skip
NONE = (
    "No line is open yet. Record the arrival of the animals first, then open a line from it:"
    " the record key at an enclosure offers both."
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
        numbered = f"{self.males}.{self.females}.{self.unsexed}"
        said = [] if numbered == "0.0.0" and self.grouped != OffspringTotal(0, 0) else [numbered]
        if self.grouped != OffspringTotal(0, 0):
            said.append(f"{family_queries.total(self.grouped)} in groups")
        if self.missing:
            said.append(f"{self.missing} missing")
        return " + ".join(said)


def build(opened: OpenPage, sources: Sources) -> Page:  # noqa: ARG001
    rows = sorted(sources.ledger.rows("line"), key=lambda r: family_queries.natural(str(r[1]["name"])))
    known = [(i, r, living(sources, i)) for i, r in rows]
    here = [_row(sources, i, r, n) for i, r, n in known if not n.none]
    gone = [_row(sources, i, r, n) for i, r, n in known if n.none]
    hint = "" if known else words.first_of_all(sources.ledger, NONE)
    parts = (
        PageSection("living lines", COLUMNS, here, "none"),
        PageSection("none living", COLUMNS, gone, "none"),
    )
    return Page(
        "lines", parts=parts if known else (), hint=hint,
        about="Lines with how many live: males.females.unsexed with numbers, and those in counted groups.",
    )  # fmt: skip


def living(sources: Sources, line: int) -> Living:
    """How many of a line live, as far as they are counted."""
    rows = [r for _, r in family_queries.of(sources, "animal", "line", line)]
    alive = [r["sex"] for r in rows if r["state"] == "alive"]
    grouped = family_queries.counted(family_queries.groups(sources, "line", line))
    return Living(
        alive.count("m"), alive.count("f"), alive.count("unknown"), sum(r["state"] == "missing" for r in rows), grouped
    )  # fmt: skip


def founders(sources: Sources, line: int) -> list[int]:
    """Animals of a line of which no parent is recorded, so that the line's past begins with them."""
    rows = family_queries.of(sources, "animal", "line", line)
    books = family_queries.narrow(sources, [i for i, _ in rows])
    out = []
    for i, _ in rows:
        known = parentage.parents(books, i)
        if known.dam is None and not known.sires:
            out.append(i)
    return out


def _row(sources: Sources, id_: int, row: Kept, n: Living) -> ListRow:
    lot = sources.ledger.row("lot", row["lot"])["name"] if row["lot"] is not None else ""
    origin = row["origin"] or (f"arrival {lot}" if lot else family_queries.NOT_RECORDED)
    return ListRow(
        (row["name"], row["species"] or family_queries.NOT_RECORDED, str(n), row["generation"] or "not written", origin),
        Link("line", id_), enclosure=box(sources, id_),
    )  # fmt: skip


def box(sources: Sources, line: int) -> int | None:
    """The first enclosure in which animals of a line live."""
    boxes = [
        int(r["enclosure"])
        for _, r in family_queries.of(sources, "content", "line", line)
        if r["until"] is None
    ]
    return min(boxes, default=None)
