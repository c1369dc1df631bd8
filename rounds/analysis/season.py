"""A season by line, from the books alone: what was found, what hatched, what was lost and at which stage.

Every loss stands beside the number that entered its stage. What nobody knows is counted as
such and never shared out: broods without a date, eggs whose fate was not seen, animals that
are no longer there and nobody knows why. Totals are lower bounds where a part is one.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple, Protocol

from rounds.records.ledger import Ledger
from rounds.records.parentage import first_brood
from rounds.records.tables import Animal, Brood, Content, Fewer, Line, Pairing, Search
from rounds.values.spans import Span

STEPS = ("eggs", "L1", "L2", "L3")
"""Stages of the young in order; a group without an instar is grown."""


class Count(NamedTuple):
    """A number, or "at least" that number."""

    n: int = 0
    at_least: bool = False

    def plus(self, n: int, *, at_least: bool = False) -> Count:
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
    out = [_line(ledger, line, first, last) for line in ledger.rows(Line)]
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


def _line(ledger: Ledger, line: Line, first: int, last: int) -> LineSeason:
    broods = {b.id: b for b in ledger.rows(Brood, Brood.line.is_(line.id)) if b.parent is None}
    sure = {i: b for i, b in broods.items() if within(b.found, first, last)}
    undated = sum(within(b.found, first, last) is None for b in broods.values())
    eggs, larvae = (
        _counts(b for b in sure.values() if b.instar == "eggs"),
        _counts(b for b in sure.values() if b.instar != "eggs"),
    )
    family = {b.id for b in ledger.rows(Brood) if b.id in sure or first_brood(ledger, b.id).id in sure}
    gone = [f for f in ledger.rows(Fewer) if f.brood in family]
    groups = [
        c
        for c in ledger.rows(Content, Content.animal.is_(None), Content.until.is_(None))
        if c.brood in family and c.total
    ]
    hatched, unseen = _hatch(ledger, sure, family, gone)
    numbered = sum(f.total for f in gone if f.how == "numbered")
    here = _counts(groups)
    accounted = here.n + sum(f.total for f in gone)
    animals = [a for a in ledger.rows(Animal, Animal.line.is_(line.id)) if not a.owner]
    died = [a for a in animals if within(a.died, first, last) and a.state == "dead"]
    maybe = sum(
        within(when, first, last) is None and when is not None and not when.unknown
        for animal in animals
        for when in (animal.emerged, animal.died)
    )
    searches = [
        s for s in ledger.rows(Search) if _of_line(ledger, s, line.id) and within(s.made, first, last)
    ]
    pairings = sum(
        ledger.row(Animal, pairing.female).line == line.id and bool(within(pairing.since, first, last))
        for pairing in ledger.rows(Pairing)
        if pairing.female is not None
    )
    return LineSeason(
        line.name,
        line.species,
        pairings,
        len(searches),
        sum(s.complete for s in searches),
        len(sure),
        undated,
        eggs,
        larvae,
        hatched,
        unseen,
        _losses(sure.values(), gone),
        numbered,
        here,
        max(0, eggs.n + larvae.n - accounted),
        sum(bool(within(a.emerged, first, last)) for a in animals),
        len(died),
        sum(a.cause in ("", "unknown") for a in died),
        maybe,
    )


def _of_line(ledger: Ledger, search: Search, line: int) -> bool:
    female = ledger.row(Pairing, search.pairing).female if search.pairing is not None else None
    return female is not None and ledger.row(Animal, female).line == line


class _Group(Protocol):
    """Animals that were counted together: a brood, or what an enclosure holds."""

    @property
    def total(self) -> int: ...
    @property
    def at_least(self) -> bool: ...


def _counts(groups: Iterable[_Group]) -> Count:
    out = Count()
    for group in groups:
        out = out.plus(group.total, at_least=group.at_least)
    return out


def _hatch(
    ledger: Ledger, sure: dict[int, Brood], family: set[int], gone: list[Fewer]
) -> tuple[Count, Count]:
    """Of the eggs that were counted: those later seen as anything older, and those nobody saw again."""
    eggs = {i for i in family if first_brood(ledger, i).instar == "eggs"}
    total = _counts(b for b in sure.values() if b.instar == "eggs")
    older = sum(f.total for f in gone if f.brood in eggs and f.instar != "eggs")
    lost = sum(f.total for f in gone if f.brood in eggs and f.instar == "eggs" and f.how == "dead")
    least = False
    for c in ledger.rows(Content, Content.animal.is_(None), Content.until.is_(None)):
        if c.brood in eggs and c.instar != "eggs":
            older, least = older + c.total, least or c.at_least
    hatched = Count(min(older, total.n) if not total.at_least else older, least)
    return hatched, Count(max(0, total.n - hatched.n - lost), total.at_least)


def _losses(broods: Iterable[Brood], gone: list[Fewer]) -> tuple[Loss, ...]:
    """Losses by the stage they happened at, each beside how many had come so far."""
    first = {step: Count() for step in STEPS}
    for b in broods:
        step = b.instar if b.instar in STEPS else "L1"
        first[step] = first[step].plus(b.total, at_least=b.at_least)
    entered, out = Count(), []
    for step in (*STEPS, ""):
        more = first.get(step, Count())
        entered = entered.plus(more.n, at_least=more.at_least)
        left = [f for f in gone if f.instar == step or (step == "L3" and f.instar not in (*STEPS, ""))]
        how = {h: sum(f.total for f in left if f.how == h) for h in ("dead", "missing", "given away")}
        if step or any(how.values()):
            out.append(Loss(step or "grown", entered, how["dead"], how["missing"], how["given away"]))
        entered = Count(max(0, entered.n - sum(f.total for f in left)), entered.at_least)
    return tuple(out)
