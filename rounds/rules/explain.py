"""Why a rule stands or not: every clause with its value and its verdict."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rounds.husbandry import cautions
from rounds.husbandry.locks import ActiveLock
from rounds.named_tuple import NamedTuple
from rounds.rules import explain_sentences as sentences
from rounds.rules import three_valued
from rounds.rules.context import EvaluationContext
from rounds.rules.evaluate import Finding, RuleSet, at_look, run
from rounds.rules.rule import Condition, Leaf, Rule
from rounds.rules.scene import Scene
from rounds.rules.text_templates import shown
from rounds.rules.three_valued import Verdict

WORDS = {True: sentences.YES, False: sentences.NO, None: sentences.UNKNOWN}


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
    view = EvaluationContext(scene)
    out = []
    for finding in at_look(rules, view, locks):
        rule = finding.rule
        # What a running test sees is only what was observed; show that, not what was confirmed.
        shown_view = view.strictly() if rule.runs else view
        out.append(Explained(finding, tuple(_clauses(rule.when, shown_view, 0)), _history(rule, view)))
    return out


def lines(explained: Explained) -> list[str]:
    """The explanation as lines of text."""
    finding = explained.finding
    rule = finding.rule
    out = [
        sentences.verdict(rule.id, WORDS[finding.verdict], rule.title, rule.level, rule.file, rule.line),
        *(sentences.clause(c.depth, WORDS[c.verdict], c.text, c.value) for c in explained.clauses),
    ]
    if explained.history:
        out.append(sentences.history(explained.history))
    if finding.reason:
        out.append(sentences.because(finding.reason))
    if finding.flag is not None:
        out += [sentences.do(finding.flag.todo)] if finding.flag.todo else []
        out += [sentences.withheld(finding.flag.withheld)] if finding.flag.withheld else []
        out += [sentences.mind(caution.text) for caution in cautions.of_rule(rule.id)]
    if finding.bring:
        out.append(sentences.bring(tuple(f"{shown(n)} {item}" for item, n in finding.bring.items())))
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


def _clauses(condition: Condition, view: EvaluationContext, depth: int) -> list[Clause]:
    if isinstance(condition, Leaf):
        said = condition.value
        text = " or ".join(sorted(said)) if isinstance(said, frozenset) else shown(said)
        op = condition.op.replace("_", " ")
        return [
            Clause(
                depth,
                f"{condition.name} {op} {text}",
                shown(view[condition.key]),
                three_valued.of_leaf(condition, view),
            )
        ]
    inner = [line for part in condition.parts for line in _clauses(part, view, depth + 1)]
    return [Clause(depth, condition.word, "", three_valued.of(condition, view)), *inner]


def _history(rule: Rule, view: EvaluationContext) -> str:
    if not rule.runs and rule.ends_after == 1:
        return ""
    verdict, held = run(rule, three_valued.compiled(rule.when), view)
    need = sentences.looks(rule.lasting_visits)
    if rule.lasting_days:
        need = sentences.days(rule.lasting_days)
    skipped = _passed_over(view)
    if held is None:
        return sentences.not_held(need, skipped, cannot_be_told=verdict is None)
    over = held.view.at != view.at
    said = sentences.held_before if over else sentences.held
    return said(held.looks, held.view.day - held.first_day, need, skipped)


def _passed_over(view: EvaluationContext) -> int:
    visits, first = view.scene.visits[: view.at], view.scene.stage_from
    return sum(1 for v in visits if v.day >= first and v.skipped)
