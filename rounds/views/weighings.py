"""Weighings of an animal, with those likely its own before it had a number, and of a brood's groups."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from rounds.records.column import Row as Kept
from rounds.views import family_queries, weight_plot, words
from rounds.views.page import Link, ListColumn, ListRow, PageSection
from rounds.views.sources import Sources

ITS, LIKELY, ONE_OF = "its own", "likely its", "one of several"
OF_ANIMAL = (
    ListColumn("day", 20, 1), ListColumn("weight", 8), ListColumn("head", 7), ListColumn("instar", 6), ListColumn("whose", 14),
    ListColumn("change", 16),
)  # fmt: skip
OF_BROOD = (
    ListColumn("day", 20, 1), ListColumn("weight", 8), ListColumn("head", 7), ListColumn("instar", 6), ListColumn("where", 18),
)  # fmt: skip


class Weighing(NamedTuple):
    """A row of the books and whose weight it is."""

    row: Kept
    whose: str


def of_animal(sources: Sources, animal: int) -> list[Weighing]:
    """Oldest first. A group that held nobody but it, as far as is recorded, was likely it.

    Those of a group of several are listed as such, and neither drawn nor compared.
    """
    own = [Weighing(r, ITS) for _, r in family_queries.of(sources, "weight", "animal", animal)]
    for _, r in family_queries.of(sources, "fewer", "animal", animal):
        if r["how"] == "numbered" and r["content"] is not None:
            whose = LIKELY if _single(sources, r["content"]) else ONE_OF
            own += [
                Weighing(w, whose)
                for _, w in family_queries.of(sources, "weight", "content", r["content"])
                if w["made"] is None or r["made"] is None or w["made"].earliest <= r["made"].latest
            ]
    return _by_day(own)


def _single(sources: Sources, content: int) -> bool:
    """Whether a group held only one animal, as far as is recorded."""
    row = sources.ledger.row("content", content)
    gone = sum(
        r["males"] + r["females"] + r["unsexed"]
        for _, r in family_queries.of(sources, "fewer", "content", content)
    )
    return not row["at_least"] and row["males"] + row["females"] + row["unsexed"] + gone == 1


def of_brood(sources: Sources, broods: Iterable[int]) -> list[Weighing]:
    """Every weighing of one of a brood's groups, oldest first."""
    groups = [
        i for b in broods for i, r in family_queries.of(sources, "content", "brood", b) if r["animal"] is None
    ]
    return _by_day(
        [Weighing(w, ONE_OF) for g in groups for _, w in family_queries.of(sources, "weight", "content", g)]
    )


def _by_day(found: list[Weighing]) -> list[Weighing]:
    known = [w for w in found if w.row["grams"] is not None]
    return sorted(
        known, key=lambda w: (w.row["made"].latest, w.row["made"].earliest) if w.row["made"] else (0, 0)
    )


def drawn(found: Sequence[Weighing], whose: Sequence[str] = (ITS, LIKELY)) -> tuple[str, ...]:
    """The plot of those whose weight it is."""
    return weight_plot.weights([
        weight_plot.Point(w.row["made"], w.row["grams"], w.whose != LIKELY)
        for w in found if w.whose in whose and w.row["made"] is not None
    ])  # fmt: skip


def animal_part(found: Sequence[Weighing]) -> PageSection:
    """The list, newest first, with the change since the weighing before."""
    out = []
    before: Kept | None = None
    for w in found:
        out.append(ListRow((*_cells(w.row), w.whose, _change(before, w.row) if w.whose != ONE_OF else "")))
        before = w.row if w.whose != ONE_OF else before
    return PageSection("weights", OF_ANIMAL, out[::-1], "never weighed")


def brood_part(sources: Sources, found: Sequence[Weighing]) -> PageSection:
    out = []
    for w in reversed(found):
        box = int(sources.ledger.row("content", w.row["content"])["enclosure"])
        out.append(
            ListRow((*_cells(w.row), family_queries.at(sources, box)), Link("enclosure", box), enclosure=box)
        )
    return PageSection("weights of single ones", OF_BROOD, out, "never weighed")


def _cells(row: Kept) -> tuple[str, str, str, str]:
    head = f"{row['head_mm']:g} mm" if row["head_mm"] is not None else ""
    return words.span(row["made"], family_queries.NOT_RECORDED), f"{row['grams']:g} g", head, row["instar"]


def _change(before: Kept | None, now: Kept) -> str:
    """``+3.2 g in 28 d``; the days as a range where they are not known exactly."""
    if before is None or before["made"] is None or now["made"] is None:
        return ""
    fewest, most = now["made"].days_since(before["made"])
    gain = f"{now['grams'] - before['grams']:+.4g} g"
    if fewest is None or most is None:
        return gain
    fewest = max(0, fewest)
    return f"{gain} in {fewest} d" if fewest == most else f"{gain} in {fewest}–{most} d"
