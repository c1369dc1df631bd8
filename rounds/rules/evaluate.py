"""Judge all rules for one enclosure: which stand, which do not, which cannot be told."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from rounds.husbandry.locks import ActiveLock, words
from rounds.named_tuple import NamedTuple
from rounds.records.observations import EnclosureState, Flag
from rounds.rules import three_valued
from rounds.rules.context import EvaluationContext
from rounds.rules.explain_sentences import done_with, lingers
from rounds.rules.rule import CARRY, ORDER, PER_ADULT, PerLitre, Rule, leaves
from rounds.rules.scene import Scene
from rounds.rules.text_templates import fill
from rounds.rules.three_valued import Clause, Verdict


class Finding(NamedTuple):
    """One rule's verdict: True (it stands), False, or None when it cannot be told.

    A standing rule has a ``flag``; one of level carry has none but says what to ``bring``
    (amounts by item) with its ``reason``.
    """

    rule: Rule
    verdict: Verdict
    flag: Flag | None = None
    bring: Mapping[str, float] = {}
    reason: str = ""


class Held(NamedTuple):
    """An unbroken run of looks at which a condition held, up to and including ``at``."""

    looks: int
    first_day: int
    view: EvaluationContext


class ReadyRule(NamedTuple):
    """A rule made ready to be judged, with the answers that need no words made beforehand."""

    rule: Rule
    clauses: tuple[Clause, ...]
    plain: bool  # its verdict is this visit's alone
    no: Finding
    unknown: Finding


class RulesHere(NamedTuple):
    """The rules of one stage and species, and the readings they ask for."""

    rules: tuple[ReadyRule, ...]
    blank: Mapping[str, None]


class RuleSet:
    """Rules in force, indexed by stage and species. Immutable once made."""

    def __init__(self, rules: Iterable[Rule]) -> None:
        self.rules = tuple(rules)
        self._ready = [
            ReadyRule(
                r,
                three_valued.compiled(r.when),
                not r.runs and r.ends_after == 1,
                Finding(r, verdict=False),
                Finding(r, verdict=None),
            )
            for r in sorted(self.rules, key=lambda r: (ORDER[r.level], r.order))
        ]
        self._index: dict[tuple[str, str], RulesHere] = {}

    @property
    def order(self) -> tuple[Rule, ...]:
        """All rules, in the order of harm."""
        return tuple(r.rule for r in self._ready)

    def at(self, stage: str, species: str) -> RulesHere:
        """The prepared rules that apply, in the order of harm."""
        found = self._index.get((stage, species))
        if found is None:
            ready = tuple(r for r in self._ready if applies(r.rule, stage, species))
            keys = {leaf.key for r in ready for leaf in leaves(r.rule.when)}
            found = self._index[stage, species] = RulesHere(
                ready, {k: None for k in sorted(keys) if k[0] != "="}
            )
        return found


def applies(rule: Rule, stage: str, species: str) -> bool:
    return (
        (not rule.stages or stage in rule.stages)
        and (not rule.species or species in rule.species)
        and species not in rule.not_species
    )


def evaluate(
    rules: RuleSet | Sequence[Rule], scene: Scene, locks: Sequence[ActiveLock] = ()
) -> list[Finding]:
    """Every rule that applies here, judged, in the order of harm.

    ``locks`` are those in force on the day. Whether an action is open already is not
    asked: a rule stands or not whatever has been done about it. Who judges often makes a
    :class:`RuleSet` once and passes that.
    """
    if not isinstance(rules, RuleSet):
        rules = RuleSet(rules)
    here = rules.at(scene.enclosure.stage, scene.enclosure.species)
    return _judged(here, EvaluationContext(scene, blank=here.blank), locks)


def at_look(rules: RuleSet, view: EvaluationContext, locks: Sequence[ActiveLock] = ()) -> list[Finding]:
    """The same for any visit of a scene; see :class:`~rounds.rules.context.EvaluationContext`."""
    enclosure = view.scene.enclosure
    return _judged(rules.at(enclosure.stage, enclosure.species), view, locks)


def verdict(ready: ReadyRule, view: EvaluationContext) -> tuple[Verdict, Held | None]:
    """A rule's verdict at a look, and the run it rests on where it must last or lingers."""
    if ready.plain:
        return three_valued.quick(ready.clauses, view), None
    return run(ready.rule, ready.clauses, view)


def _judged(here: RulesHere, view: EvaluationContext, locks: Sequence[ActiveLock]) -> list[Finding]:
    out = []
    for ready in here.rules:
        found, held = verdict(ready, view)
        if found is None:
            out.append(ready.unknown)
        elif not found:
            out.append(ready.no)
        else:
            out.append(_stands(ready.rule, view, held or Held(1, view.day, view), locks))
    return _told_once(out, view.scene.enclosure.stage)


def _told_once(findings: list[Finding], stage: str) -> list[Finding]:
    """Of several flags at one box, one whose work another's instruction does as well says so instead.

    They stand in the order of harm, and within one level in the order of their rules; together
    their instructions are one, in the order in which it is done.
    """
    standing = [f.rule for f in findings if f.flag is not None]
    if len(standing) < 2:
        return findings
    done_by: dict[str, Rule] = {}
    for rule in standing:
        if rule.id not in done_by:
            for id_, stages in rule.covers.items():
                if not stages or stage in stages:
                    done_by.setdefault(id_, rule)
    return [
        f
        if f.flag is None or f.rule.id not in done_by
        else f._replace(flag=f.flag._replace(todo=done_with(done_by[f.rule.id].title)))
        for f in findings
    ]


def run(rule: Rule, clauses: tuple[Clause, ...], view: EvaluationContext) -> tuple[Verdict, Held | None]:
    """The verdict of a rule that must last, or lingers, and the run it rests on.

    Only observed values count here. A look at which the condition was unknown is passed
    over: it neither lengthens nor ends the run.
    """
    strict = view.strictly()
    verdict = three_valued.quick(clauses, strict)
    if verdict is None:
        return None, None
    held = _held(clauses, strict) if verdict else None
    if held is not None and _long_enough(rule, held):
        return True, held
    if rule.ends_after == 1:
        return False, held
    # It may still linger from an earlier run: until `ends_after` looks in a row without it.
    gone = 0 if verdict else 1
    for before in _strict_back(view):
        verdict = three_valued.quick(clauses, before)
        if verdict:
            gone, earlier = 0, _held(clauses, before)
            if _long_enough(rule, earlier):
                return True, earlier
        elif verdict is False:
            gone += 1
            if gone >= rule.ends_after:
                break
    return False, held


def _strict_back(view: EvaluationContext) -> Iterable[EvaluationContext]:
    scene, first = view.scene, view.scene.stage_from
    for i in range(view.at - 1, -1, -1):
        seen = scene.visits[i]
        if seen.day < first:
            return
        if seen.looked:
            yield EvaluationContext(scene, i, strict=True)


def _held(clauses: tuple[Clause, ...], last: EvaluationContext) -> Held:
    looks, first = 1, last.day
    for before in _strict_back(last):
        verdict = three_valued.quick(clauses, before)
        if verdict is False:
            break
        if verdict:
            looks, first = looks + 1, before.day
    return Held(looks, first, last)


def _long_enough(rule: Rule, held: Held) -> bool:
    return held.looks >= rule.lasting_visits and held.view.day - held.first_day >= rule.lasting_days


def _stands(rule: Rule, view: EvaluationContext, held: Held, locks: Sequence[ActiveLock]) -> Finding:
    values = held.view
    values["+held_visits"], values["+held_days"] = held.looks, held.view.day - held.first_day
    reason = fill(rule.because, values, held.view.day)
    if held.view.day != view.day or held.view.at != view.at:
        reason += lingers(rule.ends_after)
    if rule.level == CARRY:
        bring = {item: _amount(n, view.scene.enclosure) for item, n in rule.bring.items()}
        return Finding(rule, verdict=True, bring=bring, reason=reason)
    todo = rule.todo(view.scene.enclosure.stage)
    text = fill(todo.text, values, held.view.day) if todo else ""
    withheld = "" if rule.over_locks or todo is None else withholding(todo.needs, locks)
    flag = Flag(rule.id, rule.level, reason, text, withheld)
    return Finding(rule, verdict=True, flag=flag, reason=reason)


def _amount(given: float | str | PerLitre, box: EnclosureState) -> float:
    """How much of it to bring for this box."""
    if isinstance(given, PerLitre):
        return round(given.per_litre * box.litres, 2) if box.litres else given.unknown_size
    return float(box.adults if given == PER_ADULT else given)


def withholding(needs: Sequence[str], locks: Sequence[ActiveLock]) -> str:
    """The locks that keep an action back, in words; empty when none does."""
    return "; ".join(words(lock) for lock in locks if any(n in lock.forbids for n in needs))
