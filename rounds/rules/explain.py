"""Why a rule stands or not: every clause with its value and its verdict."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from rounds.husbandry.locks import ActiveLock
from rounds.rules import three_valued
from rounds.rules.context import EvaluationContext
from rounds.rules.evaluate import Finding, RuleSet, at_look, run
from rounds.rules.rule import Condition, Leaf, Rule
from rounds.rules.scene import Scene
from rounds.rules.text_templates import shown
from rounds.rules.three_valued import Verdict

WORDS = {True: "yes", False: "no", None: "unknown"}


class Clause(NamedTuple):
    """One line of an explanation; ``depth`` is how far it is nested, ``value`` in words."""

    depth: int
    text: str
    value: str
    verdict: Verdict


class Explained(NamedTuple):
    """A finding, the clauses behind it, and what earlier visits had to do with it."""

    finding: Finding
    clauses: tuple[Clause, ...]
    history: str


def explain(rules: RuleSet, scene: Scene, locks: Sequence[ActiveLock] = ()) -> list[Explained]:
    """Every rule that applies to the enclosure, in the order of harm."""
    look = EvaluationContext(scene)
    out = []
    for finding in at_look(rules, look, locks):
        rule = finding.rule
        # What a running test sees is only what was observed; show that, not what was confirmed.
        shown_look = look.strictly() if rule.runs else look
        out.append(Explained(finding, tuple(_clauses(rule.when, shown_look, 0)), _history(rule, look)))
    return out


def lines(explained: Explained) -> list[str]:
    """The explanation as lines of text."""
    finding = explained.finding
    rule = finding.rule
    out = [
        f"{rule.id}: {WORDS[finding.verdict]}  ({rule.title}; level {rule.level}; {rule.file}:{rule.line})"
    ]
    for clause in explained.clauses:
        value = f"  [{clause.value}]" if clause.value else ""
        out.append(f"  {'  ' * clause.depth}{WORDS[clause.verdict]:7}  {clause.text}{value}")
    if explained.history:
        out.append(f"  {explained.history}")
    if finding.reason:
        out.append(f"  because: {finding.reason}")
    if finding.flag is not None:
        out += [f"  do: {finding.flag.todo}"] if finding.flag.todo else []
        out += [f"  withheld: {finding.flag.withheld}"] if finding.flag.withheld else []
    if finding.bring:
        out.append("  bring: " + ", ".join(f"{shown(n)} {item}" for item, n in finding.bring.items()))
    return out


def as_data(explained: Explained) -> dict[str, Any]:
    """The explanation as plain data ready for JSON."""
    finding = explained.finding
    flag = finding.flag
    return {
        "rule": finding.rule.id,
        "level": finding.rule.level,
        "verdict": WORDS[finding.verdict],
        "because": finding.reason,
        "do": flag.todo if flag else "",
        "withheld": flag.withheld if flag else "",
        "bring": dict(finding.bring),
        "history": explained.history,
        "clauses": [{**c._asdict(), "verdict": WORDS[c.verdict]} for c in explained.clauses],
        "file": finding.rule.file,
        "line": finding.rule.line,
    }


def _clauses(condition: Condition, look: EvaluationContext, depth: int) -> list[Clause]:
    if isinstance(condition, Leaf):
        said = condition.value
        text = " or ".join(sorted(said)) if isinstance(said, frozenset) else shown(said)
        op = condition.op.replace("_", " ")
        return [
            Clause(
                depth,
                f"{condition.name} {op} {text}",
                shown(look[condition.key]),
                three_valued.of_leaf(condition, look),
            )
        ]
    inner = [line for part in condition.parts for line in _clauses(part, look, depth + 1)]
    return [Clause(depth, condition.word, "", three_valued.of(condition, look)), *inner]


def _history(rule: Rule, look: EvaluationContext) -> str:
    if not rule.runs and rule.ends_after == 1:
        return ""
    verdict, held = run(rule, three_valued.compiled(rule.when), look)
    need = f"{rule.lasting_days} days" if rule.lasting_days else f"{rule.lasting_visits} looks"
    skipped = _passed_over(look)
    tail = f" {skipped} skipped visit{'s do' if skipped > 1 else ' does'} not count." if skipped else ""
    if held is None:
        said = "cannot be told at this look" if verdict is None else "does not hold"
        return f"It {said}; it must hold for {need}. Only observed values count.{tail}"
    days = held.look.day - held.first_day
    return f"It has held for {held.looks} looks over {days} days; it must hold for {need}.{tail}"


def _passed_over(look: EvaluationContext) -> int:
    visits, first = look.scene.visits[: look.at], look.scene.stage_from
    return sum(1 for v in visits if v.day >= first and v.skipped)
