"""How often each rule would have fired over a history."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from rounds.husbandry.species import Species
from rounds.named_tuple import NamedTuple
from rounds.records.observations import EnclosureState, Visit
from rounds.rules.context import EvaluationContext
from rounds.rules.evaluate import Finding, RuleSet, at_look
from rounds.rules.rule import CARRY
from rounds.rules.scene import Scene, no_presets

KEPT = 7
"""Days for which a rule that stood is taken to stand while nobody reads what it asks about."""
FAR = -1_000_000


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
    """An enclosure as it was for some days, in one stage and with the same inmates, with its visits.

    ``visits`` and ``shelf`` are oldest first; only looks from ``first`` to ``last`` (days,
    both included) are replayed, those before serve as history.
    """

    enclosure: EnclosureState
    visits: Sequence[Visit]
    first: int
    last: int
    shelf: Sequence[Visit] = ()
    presets: Callable[[], Mapping[str, Species]] = no_presets


class Judged(NamedTuple):
    """One look with what was found at it; ``fresh`` are rules that had not stood the look before."""

    enclosure: EnclosureState
    seen: Visit
    findings: Sequence[Finding]
    fresh: frozenset[str]


def judged(rules: RuleSet, stays: Iterable[Stay], back: int | None = None) -> Iterator[Judged]:
    """Every look as it would have been judged then. Locks hold no flag back here.

    ``back`` is how many earlier visits a look may know of (None: all that its stay has).
    Stays of one enclosure must come in the order of their days: what stood at the last look
    of one is not raised again at the first look of the next.
    """
    standing: dict[
        int, dict[str, int]
    ] = {}  # by enclosure: the rules, and the last day each was seen to stand
    for stay in stays:
        before = standing.setdefault(stay.enclosure.id, {})
        for seen, look in _looks(stay, back):
            findings = at_look(rules, look)
            now = {f.rule.id for f in findings if f.verdict}
            yield Judged(stay.enclosure, seen, findings, frozenset(now - before.keys()))
            # Not read today is not over. But a second body found months later is another one.
            kept = {
                f.rule.id
                for f in findings
                if f.verdict is None and seen.day - before.get(f.rule.id, FAR) <= KEPT
            }
            before = standing[stay.enclosure.id] = {id_: before[id_] for id_ in kept} | dict.fromkeys(
                now, seen.day
            )


def replay(rules: RuleSet, stays: Iterable[Stay], back: int | None = None) -> Replayed:
    """How often each rule was raised, stood and could not be told; see :func:`judged`."""
    counts = {r.id: Count(r.id, r.level) for r in rules.order}
    raised_in: dict[str, set[int]] = {id_: set() for id_ in counts}
    total = 0
    for look in judged(rules, stays, back):
        total += 1
        for finding in look.findings:
            id_ = finding.rule.id
            c, fresh = counts[id_], id_ in look.fresh
            counts[id_] = c._replace(
                visits=c.visits + 1,
                stood=c.stood + bool(finding.verdict),
                raised=c.raised + fresh,
                unknown=c.unknown + (finding.verdict is None),
            )
            if fresh:
                raised_in[id_].add(look.enclosure.id)
    return Replayed(total, tuple(c._replace(enclosures=len(raised_in[id_])) for id_, c in counts.items()))


def _looks(stay: Stay, back: int | None) -> Iterator[tuple[Visit, EvaluationContext]]:
    for i, seen in enumerate(stay.visits):
        if stay.first <= seen.day <= stay.last and seen.looked:
            known = stay.visits[0 if back is None else max(0, i - back) : i + 1]
            yield (
                seen,
                EvaluationContext(
                    Scene(stay.enclosure, known, seen.day, seen.at_ms, stay.shelf, presets=stay.presets)
                ),
            )
