"""A season by line, from the books alone: what was found, what hatched, what was lost and at which stage.

Every loss stands beside the number that came to its stage. What nobody knows is counted as
such and never shared out: broods without a date, eggs whose fate was not seen, animals that
are no longer there and nobody knows why. Shares that were lost have a lower and an upper bound
(:mod:`rounds.analysis.young_fates`). Totals are lower bounds where a part is one.
"""

from __future__ import annotations

from collections.abc import Iterable

from rounds.analysis import young_fates
from rounds.analysis.young_fates import EGGS, Count, Loss
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Brood, Line, Pairing, Search
from rounds.values.spans import Span


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
    unexplained: Count  # found, and in no group, in no loss and under no number
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
    young = young_fates.families(ledger, sure.values())
    hatched, unseen = young_fates.hatch(young)
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
        _counts(b for b in sure.values() if b.instar == EGGS),
        _counts(b for b in sure.values() if b.instar != EGGS),
        hatched,
        unseen,
        young_fates.losses(young),
        sum(fate.n for family in young for fate in family.fates if fate.numbered),
        young_fates.in_groups(young),
        young_fates.unexplained(young),
        sum(bool(within(a.emerged, first, last)) for a in animals),
        len(died),
        sum(a.cause in ("", "unknown") for a in died),
        maybe,
    )


def _of_line(ledger: Ledger, search: Search, line: int) -> bool:
    female = ledger.row(Pairing, search.pairing).female if search.pairing is not None else None
    return female is not None and ledger.row(Animal, female).line == line


def _counts(broods: Iterable[Brood]) -> Count:
    out = Count()
    for brood in broods:
        out = out.plus(brood.total, at_least=brood.at_least)
    return out
