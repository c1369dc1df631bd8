"""How often each rule would have fired over a history."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from rounds.husbandry.records import Enclosure, Seen
from rounds.rules.evaluate import RuleSet, at_look
from rounds.rules.look import Look
from rounds.rules.model import CARRY
from rounds.rules.scene import Scene


class Count(NamedTuple):
    """One rule over a history.

    ``visits`` are the looks it applied to; it ``stood`` at some, was ``raised`` at those
    where it had not stood the look before, and was ``unknown`` at others. ``enclosures``
    is how many of them it was raised in.
    """

    rule: str
    level: str
    visits: int = 0
    stood: int = 0
    raised: int = 0
    unknown: int = 0
    enclosures: int = 0

    @property
    def per_100(self) -> float:
        """Times raised per 100 visits that it applied to."""
        return 100 * self.raised / self.visits if self.visits else 0.0


class Replayed(NamedTuple):
    """``visits`` looks in all, and what each rule made of them, in the order of harm."""

    visits: int
    counts: tuple[Count, ...]

    @property
    def flags_per_100(self) -> float:
        """Flags raised per 100 visits, all rules together; carry-list items are none."""
        raised = sum(c.raised for c in self.counts if c.level != CARRY)
        return 100 * raised / self.visits if self.visits else 0.0


class Stay(NamedTuple):
    """An enclosure as it was while it stayed in one stage, with all its visits till then.

    ``visits`` and ``shelf`` are oldest first; only looks from ``first`` to ``last`` (days,
    both included) are replayed, those before serve as history.
    """

    enclosure: Enclosure
    visits: Sequence[Seen]
    first: int
    last: int
    shelf: Sequence[Seen] = ()


def replay(rules: RuleSet, stays: Iterable[Stay]) -> Replayed:
    """Judge every look as it would have been judged then. Locks hold no flag back here."""
    counts = {r.id: Count(r.id, r.level) for r in rules.order}
    raised_in: dict[str, set[int]] = {id_: set() for id_ in counts}
    total = 0
    for stay in stays:
        standing: set[str] = set()
        for look in _looks(stay):
            total += 1
            now: set[str] = set()
            for finding in at_look(rules, look):
                id_ = finding.rule.id
                c = counts[id_]
                fresh = bool(finding.verdict) and id_ not in standing
                counts[id_] = c._replace(
                    visits=c.visits + 1, stood=c.stood + bool(finding.verdict), raised=c.raised + fresh,
                    unknown=c.unknown + (finding.verdict is None),
                )  # fmt: skip
                if fresh:
                    raised_in[id_].add(stay.enclosure.id)
                if finding.verdict or (finding.verdict is None and id_ in standing):
                    now.add(id_)
            standing = now
    return Replayed(total, tuple(c._replace(enclosures=len(raised_in[id_])) for id_, c in counts.items()))


def _looks(stay: Stay) -> Iterator[Look]:
    scene = Scene(stay.enclosure, stay.visits, stay.last, 0, stay.shelf)
    for i, seen in enumerate(stay.visits):
        if stay.first <= seen.day <= stay.last and seen.looked:
            yield Look(scene, i)


def lines(replayed: Replayed) -> list[str]:
    """A table: how often each rule was raised, stood and could not be told."""
    out = [f"{'rule':28} {'level':6} {'visits':>7} {'raised':>7} {'/100':>6} {'stood':>7} {'unknown':>8} {'boxes':>6}"]
    for c in replayed.counts:
        out.append(
            f"{c.rule:28} {c.level:6} {c.visits:7} {c.raised:7} {c.per_100:6.1f} "
            f"{c.stood:7} {c.unknown:8} {c.enclosures:6}"
        )
    out.append(f"{replayed.visits} visits, {replayed.flags_per_100:.1f} flags raised per 100 visits")
    return out
