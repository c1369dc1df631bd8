"""Parse rules from documents: all problems at once, nothing half-taken."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from rounds.husbandry.readings import Vocabulary
from rounds.husbandry.stages import STAGES
from rounds.problems import Problem
from rounds.rules import rule_sentences as sentences
from rounds.rules.condition_parser import Conditions
from rounds.rules.rule import (
    APPLIES,
    BRING,
    CARRY,
    FIELDS,
    LASTING,
    MOST_ORDER,
    PER_ADULT,
    PER_LITRE,
    REQUIRED,
    RULE_LEVELS,
    UNKNOWN_SIZE,
    USUAL_ORDER,
    Condition,
    PerLitre,
    Rule,
)
from rounds.rules.text_parser import Wording
from rounds.settings.config_fields import Fields, items
from rounds.settings.document import Document

MOST_LOOKS = 366
ID_SIGNS = frozenset("abcdefghijklmnopqrstuvwxyz0123456789-")


def parse(
    layers: Sequence[Sequence[Document]],
    vocabulary: Vocabulary,
    species: Collection[str] | None = None,
) -> tuple[list[Rule], list[Problem]]:
    """The rules in force, in file order, and everything wrong with the documents.

    ``layers`` are the shipped documents, then the keeper's own: a later layer's rule
    replaces an earlier one of the same id, or switches it off; within one layer an id is
    given once. ``species`` are the names known; without them any name is taken. Never
    raises; where there are problems the list of rules is what could be read.
    """
    problems: list[Problem] = []
    rules: dict[str, Rule] = {}
    for layer in layers:
        here: dict[str, tuple[Document, int]] = {}
        earlier = dict(rules)
        for doc in layer:
            top = Fields(doc, (), sentences.RULES_FILE, problems)
            top.only(("rules",))
            if isinstance(doc.data, dict) and "rules" not in doc.data:
                top.refuse((), sentences.NO_RULES)
            for f in items(doc, "rules", "rule", problems):
                if f.full:
                    break
                rule = _Reader(f, vocabulary, species, here).read()
                id_ = f.data.get("id")
                if f.data.get("off") is True and isinstance(id_, str):
                    if id_ not in earlier and id_ not in rules:
                        f.refuse(("off",), sentences.nothing_to_switch_off(id_, tuple(earlier)))
                    rules.pop(id_, None)
                elif rule is not None:
                    rules[rule.id] = rule
    for rule in rules.values():
        _covered_are_there(rule, rules, layers, problems)
    return list(rules.values()), sorted(set(problems))


def _covered_are_there(
    rule: Rule, rules: Mapping[str, Rule], layers: Sequence[Sequence[Document]], problems: list[Problem]
) -> None:
    """A rule that covers one nobody ever wrote is a slip; one that was switched off is none."""
    if not rule.covers:
        return
    written = {
        str(one.get("id"))
        for layer in layers
        for doc in layer
        if isinstance(doc.data, dict) and isinstance(doc.data.get("rules"), list)
        for one in doc.data["rules"]
        if isinstance(one, dict)
    }
    problems += [
        Problem(rule.file, rule.line, 0, *sentences.covers_nothing(rule.id, id_, tuple(rules)))
        for id_ in rule.covers
        if id_ not in written
    ]


class _Reader:
    """Reads one rule of a file."""

    def __init__(
        self,
        f: Fields,
        vocabulary: Vocabulary,
        species: Collection[str] | None,
        here: dict[str, tuple[Document, int]],
    ) -> None:
        self.f, self.vocabulary, self.known_species, self.here = f, vocabulary, species, here

    def read(self) -> Rule | None:
        """The rule, or None when it is switched off or anything in it is wrong."""
        f, before = self.f, len(self.f.problems)
        id_ = f.data.get("id")
        f.what = sentences.rule(id_ if isinstance(id_, str) and len(id_) <= 60 else "")
        f.only(FIELDS)
        self._id()
        off = f.get("off", bool, False)
        if "when" not in f.data and not off:
            f.refuse((), sentences.NO_WHEN)
        when: Condition | None = None
        if "when" in f.data:
            when = Conditions(f.doc, f.what, self.vocabulary, f.problems).parse((*f.path, "when"))
        level = f.word("level", RULE_LEVELS, "today")
        stages, names, not_names = self._applies()
        words = Wording(f, self.vocabulary)
        because = words.template((), "because", f.get("because", str, ""))
        do = words.do(stages)
        visits, days = self._lasting()
        rule_bring = self._bring(level, off=off)
        ends_after = self._ends_after()
        over_locks = f.get("over_locks", bool, False)
        order, covers = self._order(), self._covers()
        if len(f.problems) > before or off or when is None:
            return None
        title = f.get("title", str, "")
        titled = bool(title.strip())
        if not titled:
            from rounds.rules.headlines import title_from  # only for files of before there were headlines

            title = title_from(str(id_), because)
        line, _ = f.doc.marks.get(f.path, (0, 0))
        return Rule(
            id=str(id_),
            title=title,
            when=when,
            level=level,
            stages=stages,
            species=names,
            not_species=not_names,
            because=because or (title,),
            do=do,
            lasting_visits=visits,
            lasting_days=days,
            ends_after=ends_after,
            over_locks=over_locks,
            bring=rule_bring,
            order=order,
            covers=covers,
            file=f.doc.file,
            line=line,
            titled=titled,
        )

    def _id(self) -> None:
        f = self.f
        id_ = f.get("id", str, "", required="id" in REQUIRED)
        f.get("title", str, "")
        if not id_:
            return
        if len(id_) > 60 or not ID_SIGNS.issuperset(id_):
            f.refuse(("id",), sentences.ID_SIGNS)
        if id_ in self.here:
            doc, line = self.here[id_]
            f.problem(("id",), *sentences.defined_twice(f.what, doc.file, line))
        else:
            self.here[id_] = (f.doc, f.doc.marks.get((*f.path, "id"), (0, 0))[0])

    def _applies(self) -> tuple[frozenset[str], frozenset[str], frozenset[str]]:
        f = self.f
        if "applies" not in f.data:
            return frozenset(), frozenset(), frozenset()
        inner = Fields(f.doc, (*f.path, "applies"), f.what, f.problems)
        inner.only(APPLIES)
        for key in APPLIES:
            if inner.data.get(key) == []:
                inner.refuse((key,), sentences.applies_nowhere(key))
        stages, species, others = (
            frozenset(inner.words(key, STAGES if key == "stages" else self.known_species)) for key in APPLIES
        )
        if species & others:
            inner.refuse(("not_species",), sentences.in_both_lists(min(species & others)))
        return stages, species, others

    def _lasting(self) -> tuple[int, int]:
        f = self.f
        if "lasting" not in f.data:
            return 1, 0
        inner = Fields(f.doc, (*f.path, "lasting"), f.what, f.problems)
        inner.only(LASTING)
        if isinstance(f.data["lasting"], dict) and sum(k in inner.data for k in LASTING) != 1:
            inner.refuse((), sentences.LASTING)
        return self._whole(inner, "visits", 1), self._whole(inner, "days", 0)

    def _ends_after(self) -> int:
        f = self.f
        if "ends_after" not in f.data:
            return 1
        inner = Fields(f.doc, (*f.path, "ends_after"), f.what, f.problems)
        inner.only(("visits",))
        if isinstance(f.data["ends_after"], dict) and "visits" not in inner.data:
            inner.refuse((), sentences.ENDS_AFTER)
        return self._whole(inner, "visits", 1)

    def _whole(self, inner: Fields, key: str, default: int) -> int:
        number: int = inner.get(key, int, default)
        if key in inner.data and not 1 <= number <= MOST_LOOKS:
            inner.refuse((key,), sentences.number_of_looks(key, MOST_LOOKS))
        return number

    def _order(self) -> int:
        order: int = self.f.get("order", int, USUAL_ORDER)
        if not 1 <= order <= MOST_ORDER:
            self.f.refuse(("order",), sentences.order_out_of_range(MOST_ORDER))
        return order

    def _covers(self) -> dict[str, frozenset[str]]:
        f = self.f
        if "covers" not in f.data:
            return {}
        inner = Fields(f.doc, (*f.path, "covers"), f.what, f.problems)
        return {id_: frozenset(inner.words(id_, STAGES)) for id_ in inner.data}

    def _bring(self, level: str, *, off: bool) -> Mapping[str, float | str | PerLitre]:
        f = self.f
        if "bring" not in f.data:
            if level == CARRY and not off:
                f.refuse((), sentences.needs_bring(CARRY))
            return {}
        inner = Fields(f.doc, (*f.path, "bring"), f.what, f.problems)
        inner.only(BRING)
        if level != CARRY:
            f.refuse(("bring",), sentences.bring_of_another_level(CARRY))
        out: dict[str, float | str | PerLitre] = {}
        for item in BRING:
            value = inner.data.get(item)
            if item not in inner.data or value == PER_ADULT:
                out.update({item: PER_ADULT} if item in inner.data else {})
            elif isinstance(value, dict):
                out[item] = self._per_litre(item)
            elif isinstance(value, str):
                inner.refuse((item,), sentences.no_amount(item, PER_ADULT, value))
            else:
                number = inner.get(item, float, 1.0)
                if not 0 < number <= 1000:
                    inner.refuse((item,), sentences.amount_out_of_range(item))
                out[item] = number
        return out

    def _per_litre(self, item: str) -> PerLitre:
        f = self.f
        inner = Fields(f.doc, (*f.path, "bring", item), f.what, f.problems)
        inner.only((PER_LITRE, UNKNOWN_SIZE))
        found = PerLitre(
            inner.get(PER_LITRE, float, 0.0, required=True),
            inner.get(UNKNOWN_SIZE, float, 0.0, required=True),
        )
        for key, number in zip((PER_LITRE, UNKNOWN_SIZE), found, strict=True):
            if isinstance(inner.data.get(key), (int, float)) and not 0 < number <= 1000:
                inner.refuse((key,), sentences.amount_out_of_range(item))
        return found
