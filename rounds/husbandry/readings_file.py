"""Parse ``readings.yaml``: what can be read, what each stage is asked, why one may skip or put off."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rounds.husbandry import readings_sentences
from rounds.husbandry.readings import SUBJECTS, TYPES, Choice, ReadingKind, StagePlan, Value, Vocabulary
from rounds.husbandry.stages import DEPTHS, STAGES, Depth
from rounds.problems import BadInput, Problem
from rounds.settings.config_fields import Fields, items
from rounds.settings.document import Document

HISTORY = "history"
_KIND_FIELDS = (
    "id",
    "title",
    "type",
    "subject",
    "key",
    "unit",
    "limits",
    "decimals",
    "at_least",
    "values",
    "about",
    "retired",
    "of_animals",
    "of_adults",
    "plausible",
    "act",
)
_STAGE_FIELDS = ("starts_at", *DEPTHS, "first", "usual", "usual_for")


def vocabulary(documents: Sequence[Document]) -> Vocabulary:
    """The vocabulary of one or more files; a later file replaces readings and stages by id.

    Raises BadInput with every problem of every file.
    """
    problems: list[Problem] = []
    kinds: dict[str, ReadingKind] = {}
    stages: dict[str, StagePlan] = {}
    skips: tuple[Choice, ...] = ()
    put_offs: tuple[Choice, ...] = ()
    every_shelf: tuple[str, ...] = ()
    for doc in documents:
        top = Fields(doc, (), "readings file", problems)
        top.only(("readings", "every_shelf", "stages", "skips", "put_offs"))
        here: dict[str, ReadingKind] = {}
        for fields in items(doc, "readings", "reading", problems):
            kind = _kind(fields)
            if kind.id in here:
                fields.problem(("id",), *readings_sentences.reading_twice(kind.id))
            here[kind.id] = kind
        kinds.update(here)
    for doc in documents:
        if not isinstance(doc.data, dict):
            continue
        top = Fields(doc, (), "readings file", problems)
        every_shelf = top.words("every_shelf", kinds) or every_shelf
        for stage in top.get("stages", dict, {}):
            fields = Fields(doc, ("stages", stage), readings_sentences.a_stage(stage), problems)
            if stage not in STAGES:
                fields.problem((), *readings_sentences.unknown_stage(stage, STAGES))
                continue
            stages[stage] = _stage(stage, fields, kinds)
        skips = _reasons(doc, "skips", readings_sentences.REASONS_TO_SKIP, problems) or skips
        put_offs = _reasons(doc, "put_offs", readings_sentences.REASONS_TO_PUT_OFF, problems) or put_offs
    if documents:
        _clashes(documents[-1], kinds, problems)
        for stage in STAGES:
            if stage not in stages and not problems:
                problems.append(documents[0].problem(("stages",), *readings_sentences.stage_missing(stage)))
    if problems:
        raise BadInput(problems)
    return Vocabulary(kinds, stages, skips, every_shelf, put_offs)


def _kind(f: Fields) -> ReadingKind:
    f.only(_KIND_FIELDS)
    id_ = f.get("id", str, "", required=True)
    f.what = readings_sentences.a_reading(id_)
    type_ = f.word("type", TYPES, "tick", required=True)
    low, high = _limits(f) if "limits" in f.data else (0.0, 9.0)
    if type_ == "count" and "limits" not in f.data:
        f.problem((), *readings_sentences.no_limits(f.what))
    choices = _choices(f, "values") if "values" in f.data else ()
    if type_ == "choice" and len(choices) < 2:
        f.problem((), *readings_sentences.too_few_values(f.what))
    key = f.get("key", str, "")
    if key and (len(key) != 1 or key.isdigit() or not key.isprintable() or key.isspace()):
        f.problem(("key",), *readings_sentences.key_is_not_one_letter(f.what))
        key = ""
    decimals = f.get("decimals", int, 0)
    if not 0 <= decimals <= 3:
        f.problem(("decimals",), *readings_sentences.too_many_decimals(f.what))
    return ReadingKind(
        id=id_,
        title=f.get("title", str, id_),
        type=type_,
        subject=f.word("subject", SUBJECTS, "enclosure"),
        ask_key=key,
        unit=f.get("unit", str, ""),
        low=low,
        high=high,
        decimals=decimals,
        at_least=f.get("at_least", bool, False),
        choices=choices,
        about=f.get("about", str, ""),
        retired=f.get("retired", bool, False),
        of_animals=f.get("of_animals", bool, False),
        of_adults=f.get("of_adults", bool, False),
        plausible=_plausible(f, type_, low, high),
        act=f.get("act", str, ""),
    )


def _limits(f: Fields) -> tuple[float, float]:
    limits = f.get("limits", list, [])
    good = len(limits) == 2 and all(isinstance(x, (int, float)) and not isinstance(x, bool) for x in limits)
    if not good:
        f.problem(("limits",), *readings_sentences.limits_are_not_two_numbers(f.what))
        return 0.0, 9.0
    if limits[0] < 0 or limits[0] >= limits[1]:
        f.problem(("limits",), *readings_sentences.limits_fall(f.what, limits[0], limits[1]))
        return 0.0, 9.0
    return float(limits[0]), float(limits[1])


def _plausible(f: Fields, type_: str, low: float, high: float) -> tuple[float, float] | None:
    if "plausible" not in f.data:
        return None
    if type_ != "count":
        f.problem(("plausible",), *readings_sentences.plausible_without_a_count(f.what))
        return None
    given = f.get("plausible", list, [])
    if not given and not isinstance(f.data["plausible"], list):
        return None
    numbers = all(isinstance(x, (int, float)) and not isinstance(x, bool) for x in given)
    if len(given) != 2 or not numbers or not low <= given[0] < given[1] <= high:
        f.problem(("plausible",), *readings_sentences.plausible_outside(f.what, low, high))
        return None
    if (given[0], given[1]) == (low, high):
        f.problem(("plausible",), *readings_sentences.plausible_says_nothing(f.what))
        return None
    return float(given[0]), float(given[1])


def _choices(f: Fields, key: str) -> tuple[Choice, ...]:
    out: list[Choice] = []
    for i in range(len(f.get(key, list, []))):
        c = Fields(f.doc, (*f.path, key, i), readings_sentences.an_answer(f.what, i + 1), f.problems)
        c.only(("id", "title"))
        id_ = c.get("id", str, f"answer-{i}", required=True)
        if any(o.id == id_ for o in out):
            c.problem(("id",), *readings_sentences.answer_twice(f.what, id_))
        out.append(Choice(id_, c.get("title", str, id_), str(i + 1)))
    if len(out) > 9:
        f.problem((key,), *readings_sentences.too_many_answers(f.what))
    return tuple(out)


def _reasons(doc: Document, key: str, what: str, problems: list[Problem]) -> tuple[Choice, ...]:
    if not isinstance(doc.data, dict) or key not in doc.data:
        return ()
    return _choices(Fields(doc, (), what, problems), key)


def _stage(stage: str, f: Fields, kinds: dict[str, ReadingKind]) -> StagePlan:
    f.only(_STAGE_FIELDS)
    asked: dict[Depth, tuple[str, ...]] = {DEPTHS[d]: f.words(d, kinds) for d in DEPTHS}
    usual, fine = _usual(f, "usual", kinds)
    usual_for: dict[str, dict[str, Value]] = {}
    fine_for: dict[str, dict[str, tuple[Value, ...]]] = {}
    for species in f.get("usual_for", dict, {}):
        inner = Fields(f.doc, (*f.path, "usual_for"), f.what, f.problems)
        usual_for[species], fine_for[species] = _usual(inner, species, kinds)
    return StagePlan(
        stage=stage,
        starts_at=DEPTHS[f.word("starts_at", DEPTHS, "wall", required=True)],
        asked=asked,
        usual=usual,
        usual_for=usual_for,
        fine=fine,
        fine_for=fine_for,
        first=f.words("first", kinds),
    )


def _usual(
    f: Fields, key: str, kinds: dict[str, ReadingKind]
) -> tuple[dict[str, Value], dict[str, tuple[Value, ...]]]:
    inner = Fields(f.doc, (*f.path, key), f.what, f.problems) if key in f.data else None
    usual: dict[str, Value] = {}
    fine: dict[str, tuple[Value, ...]] = {}
    if inner is None:
        return usual, fine
    inner.only(kinds)
    for id_, given in inner.data.items():
        if id_ not in kinds:
            continue
        values = given if isinstance(given, list) else [given]
        good = tuple(v for v in values if _fits(kinds[id_], v))
        if len(good) < len(values) or not values:
            inner.problem((id_,), *readings_sentences.not_a_usual_value(f.what, _expected(kinds[id_]), id_))
        if good:
            usual[id_], fine[id_] = good[0], good
    return usual, fine


def _fits(kind: ReadingKind, value: Any) -> bool:
    if kind.type == "tick":
        return isinstance(value, bool)
    if kind.type == "choice":
        return isinstance(value, str) and kind.choice(value) is not None
    if value == HISTORY:
        return True
    return isinstance(value, (int, float)) and not isinstance(value, bool) and kind.low <= value <= kind.high


def _expected(kind: ReadingKind) -> str:
    if kind.type == "tick":
        return readings_sentences.EXPECTED_TRUE_OR_FALSE
    if kind.type == "choice":
        return readings_sentences.expected_one_of(c.id for c in kind.choices)
    return readings_sentences.expected_a_number(kind.low, kind.high)


def _clashes(doc: Document, kinds: dict[str, ReadingKind], problems: list[Problem]) -> None:
    taken: dict[str, str] = {}
    for kind in kinds.values():
        if kind.ask_key and not kind.retired:
            if kind.ask_key in taken:
                problems.append(
                    doc.problem(
                        ("readings",),
                        readings_sentences.key_shared(taken[kind.ask_key], kind.id, kind.ask_key),
                    )
                )
            taken[kind.ask_key] = kind.id
