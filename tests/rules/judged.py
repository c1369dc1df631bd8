"""A history judged the plain way, every rule at every look with its words: what a replay must agree with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from rounds.records.observations import EnclosureState, Visit
from rounds.rules.evaluate import Finding, RuleSet, evaluate
from rounds.rules.replay import FAR, KEPT, Count, Stay
from rounds.rules.scene import Scene


class Judged(NamedTuple):
    """One look with what was found at it; ``fresh`` are rules that had not stood the look before."""

    enclosure: EnclosureState
    seen: Visit
    findings: Sequence[Finding]
    fresh: frozenset[str]


def judged(rules: RuleSet, stays: Iterable[Stay], back: int | None = None) -> Iterator[Judged]:
    """Every look as it would have been judged then; the arguments are those of a replay."""
    standing: dict[int, dict[str, int]] = {}
    for stay in stays:
        for i, seen in enumerate(stay.visits):
            if not (stay.first <= seen.day <= stay.last and seen.looked):
                continue
            before = standing.setdefault(stay.enclosure.id, {})
            known = stay.visits[0 if back is None else max(0, i - back) : i + 1]
            scene = Scene(stay.enclosure, known, seen.day, seen.at_ms, shelf=stay.shelf, presets=stay.presets)
            findings = evaluate(rules, scene)
            now = {f.rule.id for f in findings if f.verdict}
            yield Judged(stay.enclosure, seen, findings, frozenset(now - before.keys()))
            unknown = {f.rule.id for f in findings if f.verdict is None}
            kept = {id_ for id_ in unknown if seen.day - before.get(id_, FAR) <= KEPT}
            standing[stay.enclosure.id] = {id_: before[id_] for id_ in kept} | dict.fromkeys(now, seen.day)


def counted(rules: RuleSet, looks: Iterable[Judged]) -> tuple[Count, ...]:
    """What a replay must count."""
    looks = list(looks)
    out = []
    for rule in rules.order:
        verdicts = [f.verdict for x in looks for f in x.findings if f.rule.id == rule.id]
        raised = [x.enclosure.id for x in looks if rule.id in x.fresh]
        stood, unknown = sum(v is True for v in verdicts), sum(v is None for v in verdicts)
        out.append(Count(rule.id, rule.level, len(verdicts), stood, len(raised), unknown, len(set(raised))))
    return tuple(out)
