"""Three-valued judgement of a condition in a look: True, False, or None for unknown.

Kleene's strong logic: ``all`` is no as soon as one part is no, ``any`` yes as soon as one
is yes, and what is not known decides nothing.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.rules.context import EvaluationContext
from rounds.rules.rule import Condition, Leaf
from rounds.rules.scene import UsualRange

Verdict = bool | None

TESTS: Mapping[str, Callable[[Any, Any], bool]] = {
    "is": operator.eq,
    "is_not": operator.ne,
    "any_of": operator.contains,
    "none_of": lambda among, x: x not in among,
    "over": operator.lt,
    "under": operator.gt,
    "at_least": operator.le,
    "at_most": operator.ge,
}
"""Each takes what the rule says first and the value second: ``over: 5`` is ``5 < value``."""


def in_range(op: str, bound: float, value: UsualRange) -> Verdict:
    """A comparison with a number known only within a range."""
    low, high = value
    if op in ("is", "is_not"):
        if not low <= bound <= high:
            return op == "is_not"
        return (op == "is") if low == high else None
    at_low, at_high = TESTS[op](bound, low), TESTS[op](bound, high)
    return at_low if at_low == at_high else None


def of_leaf(leaf: Leaf, view: EvaluationContext) -> Verdict:
    """One comparison, judged."""
    value = view[leaf.key]
    if leaf.op == "known":
        return (value is not None and not isinstance(value, UsualRange)) is leaf.value
    if value is None:
        return None
    if isinstance(value, UsualRange):
        return in_range(leaf.op, leaf.value, value)
    return TESTS[leaf.op](leaf.value, value)


def of(condition: Condition, view: EvaluationContext) -> Verdict:
    """A whole condition, judged part by part."""
    if isinstance(condition, Leaf):
        return of_leaf(condition, view)
    if condition.word == "not":
        inner = of(condition.parts[0], view)
        return None if inner is None else not inner
    decisive = condition.word == "any"
    verdict: Verdict = not decisive
    for part in condition.parts:
        found = of(part, view)
        if found is decisive:
            return decisive
        if found is None:
            verdict = None
    return verdict


class Clause(NamedTuple):
    """One part of a condition: a value's key with its test, or (key None) a test of the look."""

    key: str | None
    test: Callable[[Any], Any]
    leaf: Condition


def compiled(condition: Condition) -> tuple[Clause, ...]:
    """The parts of a condition that must all hold, made ready for :func:`quick`."""
    if isinstance(condition, Leaf):
        if condition.op == "known":
            return (Clause(None, partial(of_leaf, condition), condition),)
        return (Clause(condition.key, partial(TESTS[condition.op], condition.value), condition),)
    if condition.word == "all":
        parts = [clause for part in condition.parts for clause in compiled(part)]
        # Readings first: a "no" among them saves working out a measure.
        return tuple(sorted(parts, key=lambda c: c.key is None or c.key[0] == "="))
    inner = tuple(compiled(part) for part in condition.parts)
    return (Clause(None, partial(_quick_any if condition.word == "any" else _quick_not, inner), condition),)


def _quick_any(parts: tuple[tuple[Clause, ...], ...], view: EvaluationContext) -> Verdict:
    verdict: Verdict = False
    for part in parts:
        found = quick(part, view)
        if found:
            return True
        if found is None:
            verdict = None
    return verdict


def _quick_not(parts: tuple[tuple[Clause, ...], ...], view: EvaluationContext) -> Verdict:
    found = quick(parts[0], view)
    return None if found is None else not found


def quick(clauses: tuple[Clause, ...], view: EvaluationContext) -> Verdict:
    """The same verdict as :func:`of`, by the shortest way: this runs for every key pressed."""
    verdict: Verdict = True
    for key, test, leaf in clauses:
        if key is None:
            found = test(view)
        else:
            value = view[key]
            if value is None:
                verdict = None
                continue
            found = test(value) if value.__class__ is not UsualRange else of(leaf, view)
        if not found:
            if found is not None:
                return False
            verdict = None
    return verdict
