"""Checked access to a parsed file: every slip has its place, what was expected, and the nearest name."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.problems import Problem
from rounds.settings import yamlfile
from rounds.settings.config_fields import Fields, items

TEXT = """\
name: jelly
count: 3
size: 2.5
on: true
nothing: null
words: [a, b, 7]
inner: {x: 1}
list: [{n: 1}, 2]
"""


def fields(text: str = TEXT) -> tuple[Fields, list[Problem]]:
    problems: list[Problem] = []
    return Fields(yamlfile.parse(text, "f.yaml"), (), "thing", problems), problems


@pytest.mark.parametrize(
    ("key", "type_", "value"),
    [
        ("name", str, "jelly"),
        ("count", int, 3),
        ("count", float, 3.0),
        ("size", float, 2.5),
        ("on", bool, True),
        ("inner", dict, {"x": 1}),
    ],
)
def test_a_field_of_the_right_type_is_given(key: str, type_: type, value: object) -> None:
    f, problems = fields()
    assert f.get(key, type_) == value
    assert problems == []


@pytest.mark.parametrize(
    ("key", "type_", "said"),
    [
        ("count", str, "f.yaml:2:1  thing: `count` must be a text, not `3`. Put it in quotes: '3'."),
        ("on", int, "f.yaml:4:1  thing: `on` must be a whole number, not true."),
        ("size", int, "must be a whole number, not `2.5`."),
        ("name", float, "must be a number, not `jelly`."),
        ("nothing", str, "must be a text, not nothing."),
        ("words", dict, "must be a mapping, not a list."),
        ("name", bool, "must be true or false"),
        ("inner", list, "must be a list, not a mapping."),
    ],
)
def test_a_field_of_the_wrong_type_is_a_problem_and_gives_the_default(
    key: str, type_: type, said: str
) -> None:
    f, problems = fields()
    assert f.get(key, type_, "default") == "default"
    [problem] = problems
    assert said in str(problem)


def test_a_missing_field_is_a_problem_only_where_it_is_needed() -> None:
    f, problems = fields()
    assert f.get("gone", str, "x") == "x"
    assert problems == []
    f.get("gone", str, required=True)
    assert "the field `gone` is missing" in str(problems[0])


def test_a_field_nobody_reads_is_refused_with_the_nearest_name() -> None:
    f, problems = fields()
    f.only(["nam", "count", "size", "on", "nothing", "words", "inner", "list"])
    assert [str(p) for p in problems] == ["f.yaml:1:1  thing: unknown field `name`. Did you mean `nam`?"]
    f, problems = fields("zzz: 1\n")
    f.only(["a", "b"])
    assert "Expected one of: a, b." in str(problems[0])


def test_words_and_their_own_places() -> None:
    f, problems = fields()
    assert f.words("words", ["a", "bb"]) == ("a",)
    assert [(p.line, p.column) for p in problems] == [(6, 12), (6, 15)]
    f, problems = fields()
    assert f.word("name", ["jelly", "fruit"]) == "jelly"
    assert f.word("name", ["jolly", "fruit"], "fruit") == "fruit"
    assert "Did you mean `jolly`?" in str(problems[0])


def test_items_are_the_mappings_of_a_list_and_anything_else_is_a_problem() -> None:
    problems: list[Problem] = []
    doc = yamlfile.parse(TEXT, "f.yaml")
    assert [i.data for i in items(doc, "list", "entry", problems)] == [{"n": 1}, {}]
    assert "a mapping was expected" in str(problems[0])
    problems.clear()
    assert list(items(doc, "name", "entry", problems)) == []
    assert "must be a list" in str(problems[0])
    assert list(items(doc, "none", "entry", problems)) == []
    assert list(items(yamlfile.parse("just text", "f"), "list", "entry", problems)) == []


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.text(max_size=5),
        lambda x: st.lists(x, max_size=3) | st.dictionaries(st.text(max_size=3), x, max_size=3),
    )
)
def test_no_data_makes_it_raise(data: object) -> None:
    problems: list[Problem] = []
    doc = yamlfile.Document("f.yaml", data, {})
    f = Fields(doc, (), "thing", problems)
    f.only(["a"])
    for type_ in (str, int, float, bool, list, dict):
        f.get("a", type_)
    f.word("a", ["x"])
    f.words("a", ["x"])
    list(items(doc, "a", "entry", problems))
    assert all(str(p) for p in problems)
