"""Three-valued judgement."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.rules import three_valued
from rounds.rules.context import EvaluationContext
from rounds.rules.rule import Condition, ConditionGroup, Leaf
from rounds.rules.scene import UsualRange
from tests.rules.boxes import scene, seen

YES = Leaf("a", "a", "is", True)
NO = Leaf("b", "b", "is", True)
UNKNOWN = Leaf("c", "c", "is", True)
VALUES = {"a": True, "b": False}


def look(values: dict[str, Any], confirmed: dict[str, Any] | None = None) -> EvaluationContext:
    return EvaluationContext(scene(seen(0, confirmed=confirmed, **values)))


@pytest.mark.parametrize(
    ("word", "parts", "verdict"),
    [
        ("all", (YES, YES), True),
        ("all", (YES, NO), False),
        ("all", (YES, UNKNOWN), None),
        ("all", (UNKNOWN, NO), False),
        ("all", (NO, UNKNOWN), False),
        ("any", (NO, NO), False),
        ("any", (YES, NO), True),
        ("any", (UNKNOWN, YES), True),
        ("any", (NO, UNKNOWN), None),
        ("not", (YES,), False),
        ("not", (NO,), True),
        ("not", (UNKNOWN,), None),
    ],
)
def test_kleenes_tables(word: str, parts: tuple[Condition, ...], verdict: bool | None) -> None:
    assert three_valued.of(ConditionGroup(word, parts), look(VALUES)) is verdict


@pytest.mark.parametrize(
    ("op", "bound", "verdict"),
    [
        ("over", 1, True),
        ("over", 2, None),
        ("over", 4, False),
        ("at_least", 2, True),
        ("at_least", 5, False),
        ("under", 5, True),
        ("under", 3, None),
        ("under", 2, False),
        ("at_most", 4, True),
        ("at_most", 1, False),
        ("is", 3, None),
        ("is", 5, False),
        ("is_not", 5, True),
        ("is_not", 3, None),
    ],
)
def test_a_count_confirmed_within_a_range_stays_unknown_where_the_range_decides_nothing(
    op: str, bound: float, verdict: bool | None
) -> None:
    condition = Leaf("jelly_gone", "jelly_gone", op, bound)
    here = look({}, {"jelly_gone": (2.0, 4.0)})
    assert three_valued.of(condition, here) is verdict
    assert three_valued.quick(three_valued.compiled(condition), here) is verdict


def test_a_confirmed_range_of_one_number_is_that_number() -> None:
    assert three_valued.in_range("is", 0, UsualRange(0, 0)) is True
    assert three_valued.in_range("is_not", 0, UsualRange(0, 0)) is False


def test_known_is_about_one_value_and_a_range_is_not_one() -> None:
    known = Leaf("jelly_gone", "jelly_gone", "known", True)
    assert three_valued.of(known, look({"jelly_gone": 0})) is True
    assert three_valued.of(known, look({})) is False
    assert three_valued.of(known, look({}, {"jelly_gone": (2, 4)})) is False
    assert three_valued.of(known._replace(value=False), look({})) is True


def test_a_strict_look_sees_nothing_that_was_only_confirmed() -> None:
    there = scene(seen(0, confirmed={"moisture": "right", "jelly_gone": (0, 2)}))
    assert EvaluationContext(there)["moisture"] == "right"
    assert EvaluationContext(there, strict=True)["moisture"] is None
    assert EvaluationContext(there, strict=True)["jelly_gone"] is None


KEYS = ("jelly_gone", "moisture", "on_back", "surfaced")
numbers = st.integers(0, 9)
leaves = st.one_of(
    st.builds(
        lambda k, op, n: Leaf(k, k, op, n),
        st.sampled_from(("jelly_gone", "surfaced")),
        st.sampled_from(("is", "is_not", "over", "under", "at_least", "at_most")),
        numbers,
    ),
    st.builds(
        lambda op, v: Leaf("moisture", "moisture", op, frozenset(v)),
        st.sampled_from(("any_of", "none_of")),
        st.sets(st.sampled_from(("dry", "right", "wet")), min_size=1),
    ),
    st.builds(lambda v: Leaf("on_back", "on_back", "is", v), st.booleans()),
    st.builds(lambda k, v: Leaf(k, k, "known", v), st.sampled_from(KEYS), st.booleans()),
)
conditions = st.recursive(
    leaves,
    lambda inner: st.one_of(
        st.builds(
            lambda w, p: ConditionGroup(w, tuple(p)),
            st.sampled_from(("all", "any")),
            st.lists(inner, min_size=1, max_size=4),
        ),
        st.builds(lambda p: ConditionGroup("not", (p,)), inner),
    ),
    max_leaves=8,
)
values = st.fixed_dictionaries(
    {},
    optional={
        "jelly_gone": numbers,
        "surfaced": numbers,
        "moisture": st.sampled_from(("dry", "right", "wet")),
        "on_back": st.booleans(),
    },
)
complete = st.fixed_dictionaries(
    {
        "jelly_gone": numbers,
        "surfaced": numbers,
        "moisture": st.sampled_from(("dry", "right", "wet")),
        "on_back": st.booleans(),
    },
)
ranges = st.tuples(numbers, numbers).map(lambda p: (float(min(p)), float(max(p))))


@given(conditions, values, st.none() | st.fixed_dictionaries({"jelly_gone": ranges}))
def test_the_quick_way_and_the_plain_way_agree(
    condition: Condition, read: dict[str, Any], confirmed: dict[str, Any] | None
) -> None:
    here = look(read, confirmed)
    assert three_valued.quick(three_valued.compiled(condition), here) is three_valued.of(condition, here)


def _without_known(condition: Condition) -> bool:
    if isinstance(condition, Leaf):
        return condition.op != "known"
    return all(_without_known(p) for p in condition.parts)


@given(conditions.filter(_without_known), values, complete)
def test_learning_more_never_turns_a_verdict_round(
    condition: Condition, read: dict[str, Any], rest: dict[str, Any]
) -> None:
    before = three_valued.of(condition, look(read))
    after = three_valued.of(condition, look({**rest, **read}))
    assert after is not None
    assert before is None or before is after


@given(conditions.filter(_without_known), complete, ranges)
def test_a_range_says_only_what_every_number_in_it_would_say(
    condition: Condition, read: dict[str, Any], span: tuple[float, float]
) -> None:
    rest = {k: v for k, v in read.items() if k != "jelly_gone"}
    within = three_valued.of(condition, look(rest, {"jelly_gone": span}))
    each = {
        three_valued.of(condition, look({**rest, "jelly_gone": n}))
        for n in range(int(span[0]), int(span[1]) + 1)
    }
    assert within is None or each == {within}
