"""Parse the ``when`` of a rule: groups, comparisons, and whether it can ever hold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from rounds.husbandry.readings import ReadingKind, Vocabulary
from rounds.named_tuple import NamedTuple
from rounds.problems import Problem
from rounds.rules import condition_sentences as sentences
from rounds.rules.measures import MEASURES, Measure, key_of
from rounds.rules.rule import (
    BOUNDS,
    CHOICE,
    COMPARISONS,
    GROUPS,
    LEAF,
    NUMBER,
    TICK,
    Condition,
    ConditionGroup,
    Leaf,
)
from rounds.rules.text_templates import shown
from rounds.rules.three_valued import TESTS
from rounds.settings.config_fields import Fields
from rounds.settings.document import Document, Path_

PLAUSIBLE = "plausible"
TYPES = {"count": NUMBER, "choice": CHOICE, "tick": TICK}


class Subject(NamedTuple):
    """What a comparison is about, with what is needed to check its values."""

    key: str
    name: str
    type: str
    titles: dict[str, str]
    low: float | None = None
    high: float | None = None
    whole: bool = False
    plausible: tuple[float, float] | None = None


def of_reading(kind: ReadingKind) -> Subject:
    titles = {c.id: c.title for c in kind.choices}
    if kind.type != "count":
        return Subject(kind.id, kind.id, TYPES[kind.type], titles)
    whole = not kind.decimals
    return Subject(kind.id, kind.id, NUMBER, titles, kind.low, kind.high, whole, kind.plausible)


def of_measure(measure: Measure, kind: ReadingKind | None) -> Subject:
    key = key_of(measure.name, kind.id if kind else "")
    if measure.kind == "same" and kind is not None:
        return of_reading(kind)._replace(key=key, name=key[1:])
    return Subject(key, key[1:], measure.kind, {c: c for c in measure.choices}, measure.low)


class Conditions:
    """The parser of one rule's condition; its problems go to ``problems``."""

    def __init__(self, doc: Document, what: str, vocabulary: Vocabulary, problems: list[Problem]) -> None:
        self.doc, self.what, self.problems = doc, what, problems
        self.kinds = {k: v for k, v in vocabulary.kinds.items() if not v.retired}
        self.places: dict[int, Path_] = {}  # where each comparison stood, by identity
        self.subjects: dict[str, Subject] = {}

    def parse(self, path: Path_) -> Condition | None:
        """The condition at ``path``, or None when anything in it is wrong."""
        before = len(self.problems)
        found = self._condition(path)
        if found is not None and not self.doc.found_good:
            self._possible(found)
        return found if len(self.problems) == before else None

    def _condition(self, path: Path_) -> Condition | None:
        """What can be read of the condition; anything wrong in it is a problem already."""
        f = Fields(self.doc, path, self.what, self.problems)
        groups = [g for g in GROUPS if g in f.data]
        if not groups:
            if f.data:
                return self._leaf(f)
            if isinstance(self._at(path), dict):
                f.refuse((), sentences.EMPTY)
            return None
        if len(f.data) > 1:
            other = next(k for k in f.data if k != groups[0])
            f.refuse((other,), sentences.stands_alone(groups[0], other))
            return None
        word = groups[0]
        if word == "not":
            part = self._condition((*path, "not"))
            return ConditionGroup("not", (part,)) if part is not None else None
        listed = f.get(word, list, [])
        if not listed and isinstance(f.data[word], list):
            f.refuse((word,), sentences.no_conditions(word))
        parts = [self._condition((*path, word, i)) for i in range(len(listed)) if not f.full]
        return ConditionGroup(word, tuple(p for p in parts if p is not None))

    def _at(self, path: Path_) -> Any:
        data = self.doc.data
        for step in path:
            data = data[step]
        return data

    def _leaf(self, f: Fields) -> Condition | None:
        f.only((*LEAF, *GROUPS))
        subject = self.subject(f)
        ops = [op for op in COMPARISONS if op in f.data]
        if not ops:
            if any(k not in LEAF for k in f.data):
                return None  # a misspelt comparison is reported already
            f.refuse((), sentences.no_comparison(tuple(COMPARISONS)))
        if subject is None:
            return None
        parts: list[Condition] = []
        for op in ops:
            value = self._value(f, subject, op)
            if value is None:
                continue
            if op == PLAUSIBLE:
                within = self._plausible(f, subject, wanted=bool(value))
                parts += [within] if within is not None else []
                continue
            parts.append(self._compared(f, subject, op, value, op))
        return parts[0] if len(parts) == 1 else ConditionGroup("all", tuple(parts)) if parts else None

    def _compared(self, f: Fields, subject: Subject, op: str, value: Any, written: str) -> Leaf:
        leaf = Leaf(subject.key, subject.name, op, value)
        self.places[id(leaf)] = (*f.path, written)
        return leaf

    def _plausible(self, f: Fields, subject: Subject, *, wanted: bool) -> Condition | None:
        """Within the range that the reading's own entry gives, or outside of it, as comparisons."""
        if subject.plausible is None:
            f.refuse((PLAUSIBLE,), sentences.no_plausible_range(subject.name))
            return None
        low, high = subject.plausible
        ops = (("at_least", low), ("at_most", high)) if wanted else (("under", low), ("over", high))
        ends = [x for x, end in zip(ops, (subject.low, subject.high), strict=True) if x[1] != end]
        leaves = tuple(self._compared(f, subject, op, value, PLAUSIBLE) for op, value in ends)
        return leaves[0] if len(leaves) == 1 else ConditionGroup("all" if wanted else "any", leaves)

    def subject(self, f: Fields) -> Subject | None:
        """What a mapping with ``reading``, or ``measure`` and ``of``, is about."""
        if ("reading" in f.data) == ("measure" in f.data):
            f.refuse((), sentences.READING_OR_MEASURE)
            return None
        if "reading" in f.data:
            if "of" in f.data:
                f.refuse(("of",), sentences.OF_BESIDE_READING)
            id_ = f.word("reading", self.kinds)
            return self._keep(of_reading(self.kinds[id_])) if id_ else None
        name = f.word("measure", MEASURES)
        if not name:
            return None
        measure, before = MEASURES[name], len(self.problems)
        for needed in measure.reads:
            if needed not in self.kinds:
                f.refuse(("measure",), sentences.reading_not_there(name, needed))
        of = f.word("of", self.kinds, required=bool(measure.of))
        if not measure.of and "of" in f.data:
            f.refuse(("of",), sentences.not_of_a_reading(name))
        elif of and self.kinds[of].type not in measure.of:
            f.refuse(("of",), sentences.of_wrong_type(name, measure.of, of, self.kinds[of].type))
        if len(self.problems) > before:
            return None
        return self._keep(of_measure(measure, self.kinds[of] if of else None))

    def _keep(self, subject: Subject) -> Subject:
        self.subjects[subject.key] = subject
        return subject

    def _value(self, f: Fields, s: Subject, op: str) -> Any:
        """The checked value of a comparison, or None after a problem."""
        takes, types, _ = COMPARISONS[op]
        if s.type not in types:
            fits = tuple(o for o, c in COMPARISONS.items() if s.type in c.types)
            f.refuse((op,), sentences.comparison_does_not_fit(s.name, s.type, op, fits))
            return None
        if takes == "bool" or s.type == TICK:
            return f.get(op, bool)
        if takes == "values":
            values = f.words(op, s.titles)
            if f.data[op] == []:
                f.refuse((op,), sentences.no_answers(op))
            complete = isinstance(f.data[op], list) and len(values) == len(f.data[op])
            return frozenset(values) if values and complete else None
        if s.type == CHOICE:
            return f.word(op, s.titles) or None
        return self._number(f, s, op)

    def _number(self, f: Fields, s: Subject, op: str) -> float | None:
        number: float | None = f.get(op, float)
        if number is None:
            return None
        lowest = s.low is not None and (number < s.low or (op == "under" and number == s.low))
        highest = s.high is not None and (number > s.high or (op == "over" and number == s.high))
        if lowest or highest:
            most = None if s.high is None else shown(s.high)
            always = (lowest and op in ("over", "at_least", "is_not")) or (
                highest and op in ("under", "at_most", "is_not")
            )
            said = sentences.beyond_its_limits(s.name, shown(s.low), most, op, shown(number), always=always)
            f.refuse((op,), said)
            return None
        return number

    def _possible(self, condition: Condition) -> None:
        """Report comparisons that must hold together and never can."""
        together: dict[str, list[Leaf]] = {}
        for leaf in _conjuncts(condition):
            together.setdefault(leaf.key, []).append(leaf)
        for key, group in together.items():
            subject = self.subjects[key]
            if _can_hold(group, subject):
                continue
            last = next(i for i in range(len(group)) if not _can_hold(group[: i + 1], subject))
            clash = group[last]
            pair = next(
                ([x, clash] for x in group[:last] if not _can_hold((x, clash), subject)), group[: last + 1]
            )
            said = sentences.never_at_once(clash.name, tuple(f"{x.op} {_said(x.value)}" for x in pair[-4:]))
            top = Fields(self.doc, (), self.what, self.problems)
            top.refuse(self.places[id(clash)], said)
        for part in _alternatives(condition):
            self._possible(part)


def _said(value: object) -> str:
    return " or ".join(sorted(value)) if isinstance(value, frozenset) else shown(value)


def _conjuncts(condition: Condition) -> Iterator[Leaf]:
    if isinstance(condition, Leaf):
        yield condition
    elif condition.word == "all":
        for part in condition.parts:
            yield from _conjuncts(part)


def _alternatives(condition: Condition) -> Iterator[Condition]:
    """The conditions below that need not hold together with the ones above."""
    if isinstance(condition, ConditionGroup):
        for part in condition.parts:
            if condition.word != "all":
                yield part
            else:
                yield from _alternatives(part)


def _can_hold(group: Iterable[Leaf], s: Subject) -> bool:
    ops = [(leaf.op, leaf.value) for leaf in group]
    if ("known", False) in ops:
        return all(op == "known" and value is False for op, value in ops)
    if s.type != NUMBER:
        left: set[Any] = set(s.titles) if s.type == CHOICE else {True, False}
        for op, value in ops:
            chosen = value if isinstance(value, frozenset) else {value}
            left = left & chosen if op in ("is", "any_of") else left - chosen if op != "known" else left
        return bool(left)
    exact = [value for op, value in ops if op == "is"]
    if exact:
        return all(_holds(op, exact[0], value) for op, value in ops if op != "known")
    low, low_open, high, high_open = float("-inf"), False, float("inf"), False
    for op, value in ops:
        if op not in BOUNDS:
            continue
        is_open = op in ("over", "under")
        if op in ("over", "at_least") and (value, is_open) > (low, low_open):
            low, low_open = value, is_open
        elif op in ("under", "at_most") and (-value, is_open) > (-high, high_open):
            high, high_open = value, is_open
    if s.whole:
        low = low + 1 if low_open and low == low // 1 else -(-low // 1) if low > float("-inf") else low
        high = high - 1 if high_open and high == high // 1 else high // 1 if high < float("inf") else high
        low_open = high_open = False
    return low < high or (low == high and not low_open and not high_open)


def _holds(op: str, number: float, value: float) -> bool:
    return bool(TESTS[op](value, number))
