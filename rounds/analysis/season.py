"""A season by line, from the books alone: what was found, what hatched, what was lost and at which stage.

Every loss stands beside the number that entered its stage. What nobody knows is counted as
such and never shared out: broods without a date, eggs whose fate was not seen, animals that
are no longer there and nobody knows why. Totals are lower bounds where a part is one.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from rounds.husbandry.spans import Span
from rounds.records.column import Row
from rounds.records.ledger import Ledger

STEPS = ("eggs", "L1", "L2", "L3")
"""Stages of the young in order; a group without an instar is grown."""


class Count(NamedTuple):
    """A number, or "at least" that number."""

    n: int = 0
    at_least: bool = False

    def plus(self, n: int, at_least: bool = False) -> Count:
        return Count(self.n + n, self.at_least or at_least)

    def __str__(self) -> str:
        return f"at least {self.n}" if self.at_least else str(self.n)


class Loss(NamedTuple):
    """What became of those at one stage. ``of`` is how many entered it, as far as counted.

    ``dead`` were found dead, ``missing`` never found again, ``given`` left the house.
    """

    stage: str
    of: Count
    dead: int
    missing: int
    given: int


class LineSeason(NamedTuple):
    """One line in one season. ``undated`` broods may belong to it or not; they are not counted."""

    line: str
    species: str
    pairings: int
    searches: int
    complete: int
    broods: int
    undated: int
    eggs: Count  # first counted as eggs
    larvae: Count  # first counted as larvae
    hatched: Count  # of those eggs
    hatch_unknown: Count  # of those eggs: nobody saw
    losses: tuple[Loss, ...]
    numbered: int  # got a number of their own
    here: Count  # young still in a group
    unexplained: int  # found, and in no group and in no loss
    emerged: int
    died: int
    died_unknown: int  # of those, the cause is not known
    maybe: int  # animals whose day of emerging or dying may lie in the season or not


def season(ledger: Ledger, first: int, last: int) -> list[LineSeason]:
    """Every line with anything in the season from ``first`` to ``last`` (day ordinals, both included)."""
    out = [_line(ledger, i, row, first, last) for i, row in ledger.rows("line")]
    return [
        s for s in out if s.pairings or s.searches or s.broods or s.undated or s.emerged or s.died or s.maybe
    ]


def within(span: Span | None, first: int, last: int) -> bool | None:
    """Does a span lie in the season? None: it may."""
    if span is None:
        return None
    if span.latest < first or span.earliest > last:
        return False
    return True if first <= span.earliest and span.latest <= last else None


def _line(ledger: Ledger, line: int, row: Row, first: int, last: int) -> LineSeason:
    broods = {i: b for i, b in ledger.rows("brood", line=line) if b["parent"] is None}
    sure = {i: b for i, b in broods.items() if within(b["found"], first, last)}
    undated = sum(within(b["found"], first, last) is None for b in broods.values())
    eggs, larvae = (
        _counts(b for b in sure.values() if b["instar"] == "eggs"),
        _counts(b for b in sure.values() if b["instar"] != "eggs"),
    )
    family = {i for i, b in ledger.rows("brood") if i in sure or _root(ledger, i) in sure}
    gone = [f for _, f in ledger.rows("fewer") if f["brood"] in family]
    groups = [
        c for _, c in ledger.rows("content", animal=None, until=None) if c["brood"] in family and _total(c)
    ]
    hatched, unseen = _hatch(ledger, sure, family, gone)
    numbered = sum(_total(f) for f in gone if f["how"] == "numbered")
    here = _counts(groups)
    accounted = here.n + sum(_total(f) for f in gone)
    animals = [a for _, a in ledger.rows("animal", line=line) if not a["owner"]]
    died = [a for a in animals if within(a["died"], first, last) and a["state"] == "dead"]
    maybe = sum(
        within(a[c], first, last) is None and a[c] is not None and not a[c].unknown
        for a in animals
        for c in ("emerged", "died")
    )
    searches = [
        s for _, s in ledger.rows("search") if _of_line(ledger, s, line) and within(s["made"], first, last)
    ]
    return LineSeason(
        str(row["name"]), str(row["species"]),
        sum(ledger.row("animal", p["female"])["line"] == line and bool(within(p["since"], first, last))
            for _, p in ledger.rows("pairing") if p["female"] is not None),
        len(searches), sum(bool(s["complete"]) for s in searches), len(sure), undated, eggs, larvae, hatched, unseen,
        _losses(sure.values(), gone), numbered, here, max(0, eggs.n + larvae.n - accounted),
        sum(bool(within(a["emerged"], first, last)) for a in animals), len(died),
        sum(a["cause"] in ("", "unknown") for a in died), maybe,
    )  # fmt: skip


def _root(ledger: Ledger, brood: int) -> int:
    """The brood that was found, of one that was split from it."""
    seen = {brood}
    while (parent := ledger.row("brood", brood)["parent"]) is not None and parent not in seen:
        seen.add(parent)
        brood = parent
    return brood


def _of_line(ledger: Ledger, search: Row, line: int) -> bool:
    pairing = search["pairing"]
    if pairing is None or ledger.row("pairing", pairing)["female"] is None:
        return False
    return bool(ledger.row("animal", ledger.row("pairing", pairing)["female"])["line"] == line)


def _total(row: Row) -> int:
    return int(row["males"] + row["females"] + row["unsexed"])


def _counts(rows: Iterable[Row]) -> Count:
    out = Count()
    for row in rows:
        out = out.plus(_total(row), bool(row["at_least"]))
    return out


def _hatch(ledger: Ledger, sure: dict[int, Row], family: set[int], gone: list[Row]) -> tuple[Count, Count]:
    """Of the eggs that were counted: those later seen as anything older, and those nobody saw again."""
    eggs = {i for i in family if ledger.row("brood", _root(ledger, i))["instar"] == "eggs"}
    total = _counts(b for i, b in sure.items() if b["instar"] == "eggs")
    older = sum(_total(f) for f in gone if f["brood"] in eggs and f["instar"] != "eggs")
    lost = sum(_total(f) for f in gone if f["brood"] in eggs and f["instar"] == "eggs" and f["how"] == "dead")
    least = False
    for _, c in ledger.rows("content", animal=None, until=None):
        if c["brood"] in eggs and c["instar"] != "eggs":
            older, least = older + _total(c), least or bool(c["at_least"])
    hatched = Count(min(older, total.n) if not total.at_least else older, least)
    return hatched, Count(max(0, total.n - hatched.n - lost), total.at_least)


def _losses(broods: Iterable[Row], gone: list[Row]) -> tuple[Loss, ...]:
    """Losses by the stage they happened at, each beside how many had come so far."""
    first = {step: Count() for step in STEPS}
    for b in broods:
        step = b["instar"] if b["instar"] in STEPS else "L1"
        first[step] = first[step].plus(_total(b), bool(b["at_least"]))
    entered, out = Count(), []
    for step in (*STEPS, ""):
        more = first.get(step, Count())
        entered = entered.plus(more.n, more.at_least)
        left = [f for f in gone if f["instar"] == step or (step == "L3" and f["instar"] not in (*STEPS, ""))]
        how = {h: sum(_total(f) for f in left if f["how"] == h) for h in ("dead", "missing", "given away")}
        if step or any(how.values()):
            out.append(Loss(step or "grown", entered, how["dead"], how["missing"], how["given away"]))
        entered = Count(max(0, entered.n - sum(_total(f) for f in left)), entered.at_least)
    return tuple(out)
