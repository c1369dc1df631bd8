"""Worked cases kept beside the rules: visits in, and what the rule must say after each.

A case names one rule, how things stand, a list of visits a day apart, and for each visit
what is expected: yes, no, unknown, or withheld (yes, and a lock keeps the action back).
``_`` or null stands for a day on which nobody came.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any

from rounds.husbandry.locks import ActiveLock, in_force
from rounds.husbandry.readings import ReadingKind, Vocabulary
from rounds.husbandry.species import Species
from rounds.husbandry.stages import FORBIDS, INSTARS, STAGES
from rounds.named_tuple import NamedTuple
from rounds.problems import Problem
from rounds.records.observations import NOTHING, EnclosureState, Occupant, Visit
from rounds.rules import case_sentences as sentences
from rounds.rules.evaluate import Finding, RuleSet, evaluate
from rounds.rules.explain import WORDS, explain
from rounds.rules.rule import Rule
from rounds.rules.scene import Scene, no_presets
from rounds.settings.config_fields import Fields, items
from rounds.settings.document import Document, Path_
from rounds.values.spans import Span

CASE_FIELDS = (
    "rule",
    "name",
    "stage",
    "days_in_stage",
    "species",
    "adults",
    "larvae",
    "litres",
    "locks",
    "visits",
    "expect",
)
VISIT_FIELDS = ("as_expected", "hours", "skipped")
"""Beside readings: what one key confirmed, hours since the visit before, the reason of a skip."""
WITHHELD = "withheld"
EXPECT = ("yes", "no", "unknown", WITHHELD)
MISSED = (None, "_")
HOUR_MS, DAY_MS = 3_600_000, 86_400_000
FIRST_DAY = 700_000
MORNING = 8


class Case(NamedTuple):
    """One case. ``visits`` and ``expect`` are as long as each other; None where nobody came."""

    rule: str
    name: str
    enclosure: EnclosureState
    locks: tuple[ActiveLock, ...]
    visits: tuple[Visit | None, ...]
    expect: tuple[str | None, ...]
    document: Document
    path: Path_

    @property
    def fires(self) -> bool:
        return "yes" in self.expect or WITHHELD in self.expect

    @property
    def silent(self) -> bool:
        """It says no at least once and never yes."""
        return not self.fires and "no" in self.expect


def parse_cases(
    documents: Sequence[Document], rules: Collection[str], vocabulary: Vocabulary
) -> tuple[list[Case], list[Problem]]:
    """All cases of the documents and everything wrong with them; never raises."""
    problems: list[Problem] = []
    cases = []
    for doc in documents:
        top = Fields(doc, (), sentences.CASES_FILE, problems)
        top.only(("cases",))
        if isinstance(doc.data, dict) and "cases" not in doc.data:
            top.refuse((), sentences.NO_CASES)
        for f in items(doc, "cases", "case", problems):
            before = len(problems)
            case = _case(f, rules, vocabulary)
            if len(problems) == before:
                cases.append(case)
    return cases, problems


def run(
    cases: Sequence[Case],
    rules: Sequence[Rule],
    presets: Callable[[], Mapping[str, Species]] = no_presets,
) -> list[Problem]:
    """What came out otherwise than expected, one problem for each visit it happened at.

    ``presets`` are the species files a case may name a species of.
    """
    sets = {rule.id: RuleSet([rule]) for rule in rules}
    failures = []
    for case in cases:
        for i, expected in enumerate(case.expect):
            scene = _scene(case, i, presets)
            if expected is None or scene is None:
                continue
            found = evaluate(sets[case.rule], scene, in_force(case.enclosure.stage, case.locks, scene.today))
            got = _word(found[0]) if found else "no"
            if got != expected:
                why = _why(sets[case.rule], scene) or sentences.DOES_NOT_APPLY
                said = sentences.came_out_otherwise(case.rule, case.name, i + 1, expected, got, why)
                failures.append(case.document.problem((*case.path, "expect", i), *said))
    return failures


def lacking(cases: Sequence[Case], rules: Sequence[Rule]) -> list[Problem]:
    """Rules without a case in which they fire, or without one in which they stay silent."""
    out = []
    for rule in rules:
        own = [c for c in cases if c.rule == rule.id]
        there = {sentences.FIRING: any(c.fires for c in own), sentences.SILENT: any(c.silent for c in own)}
        missing = tuple(kind for kind, found in there.items() if not found)
        if missing:
            out.append(Problem(rule.file, rule.line, 0, *sentences.no_case(rule.id, missing)))
    return out


def _word(finding: Finding) -> str:
    if finding.verdict and finding.flag is not None and finding.flag.withheld:
        return WITHHELD
    return WORDS[finding.verdict]


def _why(rules: RuleSet, scene: Scene) -> str:
    return "; ".join(
        f"{c.text}: {c.value or '-'} {WORDS[c.verdict]}" for e in explain(rules, scene) for c in e.clauses
    )


def _scene(case: Case, i: int, presets: Callable[[], Mapping[str, Species]]) -> Scene | None:
    visits = [v for v in case.visits[: i + 1] if v is not None]
    last = case.visits[i]
    if last is None:
        return None
    return Scene(case.enclosure, visits, last.day, last.at_ms, visits, presets=presets)


def _case(f: Fields, rules: Collection[str], vocabulary: Vocabulary) -> Case:
    f.only(CASE_FIELDS)
    rule = f.word("rule", rules, required=True)
    name = f.get("name", str, "")
    f.what = sentences.case(name, rule)
    stage = f.word("stage", STAGES, required=True)
    in_stage = f.get("days_in_stage", int)
    since = None if in_stage is None else Span(FIRST_DAY - in_stage, FIRST_DAY - in_stage)
    enclosure = EnclosureState(
        1, "CASE", 1, stage, since, None, 1, f.get("species", str, ""), _contents(f), f.get("litres", float)
    )
    locks = tuple(ActiveLock((word,), None, sentences.LOCK_REASON) for word in f.words("locks", FORBIDS))
    visits = _visits(f, vocabulary)
    expect: list[str | None] = []
    for i, word in enumerate(f.get("expect", list, [], required=True)):
        missed = i < len(visits) and visits[i] is None
        if word in MISSED and (missed or i >= len(visits)):
            expect.append(None)
        elif word in EXPECT and not missed:
            expect.append(word)
        else:
            said = sentences.nobody_came(i + 1) if missed else sentences.no_such_answer(i + 1, EXPECT)
            f.refuse(("expect", i), said)
    if len(expect) != len(visits) and "expect" in f.data and not f.problems:
        f.refuse(("expect",), sentences.not_as_many(len(visits), len(f.data["expect"])))
    return Case(rule, name or sentences.A_CASE, enclosure, locks, tuple(visits), tuple(expect), f.doc, f.path)


def _contents(f: Fields) -> tuple[Occupant, ...]:
    out = []
    if "adults" in f.data:
        a = Fields(f.doc, (*f.path, "adults"), f.what, f.problems)
        a.only(("males", "females", "unsexed"))
        out.append(
            Occupant(
                "",
                males=a.get("males", int, 0),
                females=a.get("females", int, 0),
                unsexed=a.get("unsexed", int, 0),
            )
        )
    if "larvae" in f.data:
        v = Fields(f.doc, (*f.path, "larvae"), f.what, f.problems)
        v.only(("count", "instar", "at_least"))
        out.append(
            Occupant(
                "",
                unsexed=v.get("count", int, 1),
                at_least=v.get("at_least", bool, False),
                instar=v.word("instar", INSTARS, "L3"),
            )
        )
    return tuple(out)


def _visits(f: Fields, vocabulary: Vocabulary) -> list[Visit | None]:
    at_ms = (FIRST_DAY * 24 + MORNING) * HOUR_MS
    out: list[Visit | None] = []
    for i, data in enumerate(f.get("visits", list, [], required=True)):
        if data in MISSED:
            out.append(None)
            at_ms += DAY_MS if i else 0
            continue
        v = Fields(f.doc, (*f.path, "visits", i), sentences.visit(f.what, i + 1), f.problems)
        v.only((*VISIT_FIELDS, *vocabulary.kinds))
        hours = v.get("hours", float, 24.0)
        if hours <= 0:
            v.refuse(("hours",), sentences.HOURS)
        at_ms += round(hours * HOUR_MS) if i or "hours" in v.data else 0
        read = {k: _value(v, vocabulary.kinds[k]) for k in v.data if k in vocabulary.kinds}
        confirmed = NOTHING if "as_expected" not in v.data else _confirmed(v, vocabulary)
        skipped = v.word("skipped", [s.id for s in vocabulary.skips])
        out.append(Visit(b"%d" % i, 1, at_ms // DAY_MS, at_ms, read, confirmed, 0, skipped, shelf="A1"))
    if not out or out[-1] is None:
        f.refuse(("visits",), sentences.NO_LAST_VISIT)
    return out


def _confirmed(v: Fields, vocabulary: Vocabulary) -> Mapping[str, Any]:
    inner = Fields(v.doc, (*v.path, "as_expected"), v.what, v.problems)
    inner.only(vocabulary.kinds)
    out: dict[str, Any] = {}
    for id_ in inner.data:
        kind = vocabulary.kinds.get(id_)
        if kind is None:
            continue
        if kind.type != "count":
            out[id_] = _value(inner, kind)
            continue
        pair = inner.get(id_, list, [0, 0])
        if len(pair) != 2 or not all(isinstance(n, (int, float)) for n in pair) or pair[0] > pair[1]:
            inner.refuse((id_,), sentences.COUNT_IS_RANGE)
        else:
            out[id_] = (float(pair[0]), float(pair[1]))
    return out


def _value(v: Fields, kind: ReadingKind) -> Any:
    if kind.type == "tick":
        return v.get(kind.id, bool, False)
    if kind.type == "choice":
        return v.word(kind.id, [c.id for c in kind.choices])
    number = v.get(kind.id, float, kind.low)
    if not kind.low <= number <= kind.high:
        v.refuse((kind.id,), sentences.out_of_range(kind.id, kind.low, kind.high))
    return number
