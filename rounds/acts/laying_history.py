"""What a search is read against: who may have laid there, since when, and what had been left in place."""

from __future__ import annotations

from typing import NamedTuple

from rounds.acts.groups import AnimalGroup
from rounds.husbandry.hatching import FOUND
from rounds.husbandry.spans import FIRST, LAST, Span
from rounds.records.column import Row
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.parentage import males_of


class Site(NamedTuple):
    """An enclosure as it stood when it was searched.

    ``mothers`` are the females that may have laid what was found, ``colonies`` groups of adults
    that may have; ``since`` is when the first of them came in, or the last complete search if
    that is later (None: nobody knows). ``pairing`` is whose eggs these are, as far as that
    can be told. ``left`` are groups of eggs and larvae counted there before.
    """

    mothers: tuple[int, ...]
    colonies: tuple[AnimalGroup, ...]
    since: Span | None
    pairing: int | None
    left: tuple[AnimalGroup, ...]
    left_hatch: Span | None

    @property
    def left_total(self) -> tuple[int, bool]:
        """How many had been left in place, and whether that was "at least"."""
        rows = [g.row for g in self.left]
        return sum(total(r) for r in rows), any(r["at_least"] for r in rows)


def total(row: Row) -> int:
    return int(row["males"] + row["females"] + row["unsexed"])


def site(ledger: Ledger, box: int, made: Span, pairing: int | None = None) -> Site:
    """What the books know of an enclosure for a search ``made`` then; ``pairing`` when it was said whose."""
    last = _last_complete(ledger, box, made)
    after = last.earliest if last is not None else FIRST
    starts, mothers, colonies, left = [], [], [], []
    for i, row in ledger.rows("content", enclosure=box):
        start = row["since"].earliest if row["since"] is not None else FIRST
        end = row["until"].latest if row["until"] is not None else LAST
        if start > made.latest:
            continue
        if row["instar"] in FOUND and row["animal"] is None:
            if row["until"] is None:
                left.append(AnimalGroup(i, row))
            continue
        if end < after or not _may_lay(ledger, row):
            continue
        starts.append(max(start, after))
        if row["animal"] is None:
            colonies.append(AnimalGroup(i, row))
        elif row["animal"] not in mothers:
            mothers.append(row["animal"])
    since = Span(min(starts), made.latest) if starts else last
    if pairing is None and len(mothers) == 1 and not colonies:
        pairing = _newest(ledger, mothers[0], made)
    hatches = [ledger.row("brood", g.row["brood"])["hatch"] if g.row["brood"] else None for g in left]
    left_hatch = Span(min(h.earliest if h else FIRST for h in hatches), made.latest) if left else None
    return Site(tuple(mothers), tuple(colonies), since, pairing, tuple(left), left_hatch)


def _last_complete(ledger: Ledger, box: int, made: Span) -> Span | None:
    """The latest complete search that was certainly not after ``made``."""
    before: list[Span] = [
        r["made"] for _, r in ledger.rows("search", enclosure=box, complete=True)
        if r["made"].latest <= made.earliest
    ]  # fmt: skip
    return max(before, key=lambda s: (s.earliest, s.latest), default=None)


def _may_lay(ledger: Ledger, row: Row) -> bool:
    if row["animal"] is None:
        return not row["instar"] and bool(row["females"] or row["unsexed"])
    animal = ledger.row("animal", row["animal"])
    grown = any(animal[c] is not None for c in ("eclosed", "emerged", "first_feed", "mature"))
    return animal["sex"] == "f" or (animal["sex"] == "unknown" and grown)


def _newest(ledger: Ledger, female: int, made: Span) -> int | None:
    """Her latest pairing that began before the search was over."""
    hers = [
        (r["since"].earliest if r["since"] is not None else FIRST, i)
        for i, r in ledger.rows("pairing", female=female)
        if r["since"] is None or r["since"].earliest <= made.latest
    ]
    return max(hers)[1] if hers else None


def line_of(ledger: Ledger, where: Site, made: Span) -> int | None:
    """The line of what was found: that of all its possible parents, or None for a cross or nobody known."""
    parents = list(where.mothers)
    if where.pairing is not None:
        parents = [ledger.row("pairing", where.pairing)["female"], *males_of(ledger, where.pairing, made)]
    lines = {ledger.row("animal", a)["line"] for a in parents if a is not None}
    lines |= {g.row["line"] for g in where.colonies}
    if not lines:
        lines = {g.row["line"] for g in where.left}
    return lines.pop() if len(lines) == 1 else None


def doubt_of(ledger: Ledger, where: Site) -> str:
    """Why nobody can tell the mother ("" when it can be told, or there is none to name)."""
    if where.pairing is not None or len(where.mothers) + len(where.colonies) < 2:
        return ""
    names = [animal_name(ledger, m) for m in where.mothers] + (["a group"] if where.colonies else [])
    return f"the mother is one of {', '.join(names)}"


def sole_mother(where: Site) -> int | None:
    """The one female that can have laid it, or None."""
    return where.mothers[0] if len(where.mothers) == 1 and not where.colonies else None
