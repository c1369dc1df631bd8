"""The hardened YAML reader: what it reads, what it refuses, and where it says things stood."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.problems import BadInput, Problem, nearest, one_line
from rounds.settings import config_fields, yamlfile
from rounds.settings.document import Document
from rounds.settings.yamlfile import parse, read
from tests.sampled import sampled
from tests.settings.hostile import CORPUS, Hostile


def problems(content: bytes | str) -> tuple[Problem, ...]:
    with pytest.raises(BadInput) as caught:
        parse(content, "f.yaml")
    return tuple(caught.value.problems)


@pytest.mark.parametrize("file", CORPUS, ids=lambda f: f.name)
def test_hostile_files_are_refused_in_one_line_with_a_place(file: Hostile) -> None:
    (problem,) = problems(file.content)
    assert file.says in str(problem)
    assert "\n" not in str(problem)
    assert len(str(problem)) < 300
    if file.place != (0, 0):
        assert (problem.line, problem.column) == file.place


def test_the_corpus_is_hostile() -> None:
    """Control: an ordinary reader takes or chokes on files of the corpus that ours refuses in words."""
    taken = 0
    for file in CORPUS:
        if file.name in ("key twice", "merge key", "alias to itself"):
            yaml.load(file.content, yaml.SafeLoader)
            taken += 1
    assert taken == 3
    deep = next(f for f in CORPUS if f.name.startswith("1,300"))
    with ordinary_recursion_limit(), pytest.raises(RecursionError):
        yaml.load(deep.content, yaml.SafeLoader)


@contextmanager
def ordinary_recursion_limit() -> Iterator[None]:
    """The limit of a fresh interpreter: property tests of the same process leave theirs higher."""
    before = sys.getrecursionlimit()
    sys.setrecursionlimit(1000)
    try:
        yield
    finally:
        sys.setrecursionlimit(before)


def test_hostile_files_fit_into_little_memory_and_time() -> None:
    """All of them in one process that the system would end at 400 MiB or 60 s of its own time."""
    code = (
        "from rounds.problems import BadInput\n"
        "from rounds.settings import yamlfile\n"
        "from tests.settings.hostile import CORPUS\n"
        "n = 0\n"
        "for f in CORPUS:\n"
        "    try:\n"
        "        yamlfile.parse(f.content, f.name)\n"
        "    except BadInput:\n"
        "        n += 1\n"
        "print(n)\n"
    )

    def limits() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (400 << 20, 400 << 20))
        resource.setrlimit(resource.RLIMIT_CPU, (60, 60))

    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=root,
        env={**os.environ, "PYTHONPATH": str(root)},
        preexec_fn=limits,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout.strip()) == (0, str(len(CORPUS))), done.stderr


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("true", True),
        ("false", False),
        ("null", None),
        ("~", None),
        ("", None),
        ("3", 3),
        ("-3", -3),
        ("0", 0),
        ("3.5", 3.5),
        ("-0.25", -0.25),
        ("3.10", 3.1),
        ("999999999999999999", 10**18 - 1),
        ("no", "no"),
        ("NO", "NO"),
        ("on", "on"),
        ("yes", "yes"),
        ("True", "True"),
        ("y", "y"),
        ("010", "010"),
        ("0x10", "0x10"),
        ("1_000", "1_000"),
        ("12:30", "12:30"),
        ("12:30:45", "12:30:45"),
        ("2026-03-01", "2026-03-01"),
        ("1e5", "1e5"),
        (".inf", ".inf"),
        (".nan", ".nan"),
        ("+5", "+5"),
        ("1.", "1."),
        (".5", ".5"),
        ("9" * 19, "9" * 19),
        ("=", "="),
        ("'3'", "3"),
        ('"true"', "true"),
        ("'null'", "null"),
        ("''", ""),
        ('"\\u00e4"', "ä"),
        ("B3-2", "B3-2"),
        ("٣", "٣"),
        ("|\n  a\n  b\n", "a\nb\n"),
        (">\n  a\n  b\n", "a b\n"),
    ],
)
def test_only_true_false_null_and_decimal_numbers_are_more_than_text(text: str, value: object) -> None:
    found = parse(f"a: {text}", "f").data["a"]
    assert found == value
    assert type(found) is type(value)


def test_collections_and_positions() -> None:
    doc = parse("a: 1\nb:\n  - x\n  - {c: 2, 3: d}\n'e f': [[]]\n", "f")
    assert doc.data == {"a": 1, "b": ["x", {"c": 2, "3": "d"}], "e f": [[]]}
    assert doc.marks == {
        (): (1, 1),
        ("a",): (1, 1),
        ("b",): (2, 1),
        ("b", 0): (3, 5),
        ("b", 1): (4, 5),
        ("b", 1, "c"): (4, 6),
        ("b", 1, "3"): (4, 12),
        ("e f",): (5, 1),
        ("e f", 0): (5, 9),
    }


def test_a_problem_stands_at_the_closest_place_that_is_known() -> None:
    doc = parse("a:\n  b: 1\n", "f")
    assert doc.problem(("a", "b"), "x")[1:3] == (2, 3)
    assert doc.problem(("a", "zz", 3), "x")[1:3] == (1, 1)
    assert Document("f", None, {}).problem(("a",), "x")[1:3] == (1, 1)


def test_columns_count_characters_not_bytes() -> None:
    (problem,) = problems("ä: {ö: 1, ö: 2}")
    assert (problem.line, problem.column) == (1, 11)


def test_a_byte_order_mark_and_windows_line_ends_are_fine() -> None:
    doc = parse(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n", "f")
    assert doc.data == {"a": 1, "b": 2}
    assert doc.marks[("b",)] == (2, 1)


def test_empty_files_hold_nothing() -> None:
    for text in ("", "# only words\n", "---\n", "\n\n"):
        assert parse(text, "f").data is None


def test_the_limits_themselves_are_allowed() -> None:
    assert parse("[" * 20 + "]" * 20, "f").data
    assert "nested deeper" in str(problems("[" * 21 + "]" * 21)[0])
    assert len(parse("a: " + "x" * yamlfile.MAX_TEXT, "f").data["a"]) == yamlfile.MAX_TEXT
    assert problems("a: " + "x" * (yamlfile.MAX_TEXT + 1))
    assert len(parse("- a\n" * (yamlfile.MAX_VALUES - 1), "f").data) == yamlfile.MAX_VALUES - 1
    assert problems("- a\n" * yamlfile.MAX_VALUES)
    assert parse(b"#" * yamlfile.MAX_BYTES, "f").data is None
    assert "larger than 1 MiB" in str(problems(b"#" * (yamlfile.MAX_BYTES + 1))[0])


def test_reading_a_file(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("a: 1\n", encoding="utf-8")
    assert read(path).data == {"a": 1}
    assert read(path, "config/a.yaml").file == "config/a.yaml"


@pytest.mark.parametrize("name", ["not-there.yaml", ""])
def test_a_file_that_cannot_be_read(tmp_path: Path, name: str) -> None:
    with pytest.raises(BadInput) as caught:
        read(tmp_path / name, "rules.yaml")
    assert str(caught.value).startswith("rules.yaml  cannot be read: ")


def test_a_huge_file_is_not_read_whole(tmp_path: Path) -> None:
    path = tmp_path / "sparse.yaml"
    with path.open("wb") as f:
        f.truncate(1 << 36)
    with pytest.raises(BadInput, match="larger than 1 MiB"):
        read(path)


def test_what_somebody_typed_cannot_move_the_cursor() -> None:
    (problem,) = problems('"\\e[2J\\n": 1\n"\\e[2J\\n": 2\n')
    assert str(problem) == "f.yaml:2:1  `\\x1b[2J\\n` is given twice. Keep one of them."
    assert one_line("a\u202eb\x9b\ud800") == "a\\u202eb\\x9b\\ud800"
    assert one_line("Größe ¼ – 24 °C `x`") == "Größe ¼ – 24 °C `x`"


def test_nearest_names() -> None:
    assert nearest("moistur", ["moisture", "smell"]) == "Did you mean `moisture`?"
    assert nearest("zzz", ["moisture"]) == ""


def test_a_file_with_nothing_right_is_given_up_after_a_while() -> None:
    doc = parse("{" + ", ".join(f"feld{i}: 1" for i in range(3000)) + "}", "f")
    found: list[Problem] = []
    config_fields.Fields(doc, (), "thing", found).only(["field"])
    assert len(found) == config_fields.MOST + 1
    assert found[-1].message == "has more than 200 problems; the rest is not shown."


plain = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**17), 10**17)
    | st.text(
        st.characters(exclude_categories=("C",), exclude_characters="\u0085\u2028\u2029\ufeff"), max_size=12
    ),
    lambda inner: (
        st.lists(inner, max_size=5)
        | st.dictionaries(st.text("abc ä-:#", min_size=1, max_size=6), inner, max_size=5)
    ),
    max_leaves=30,
)


@given(plain, st.booleans())
def test_what_was_written_out_is_read_back(data: Any, flow: bool) -> None:
    """Another writer's files; texts are quoted, as a careful writer would."""

    class Quoting(yaml.SafeDumper):
        pass

    Quoting.add_representer(str, lambda d, s: d.represent_scalar("tag:yaml.org,2002:str", s, style='"'))
    Quoting.ignore_aliases = lambda *_: True  # type: ignore[method-assign]
    text = yaml.dump(data, Dumper=Quoting, allow_unicode=True, default_flow_style=flow)
    assert parse(text, "f").data == data


def paths(data: Any, here: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    out = {here}
    pairs = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in pairs:
        out |= paths(value, (*here, key))
    return out


@given(plain)
def test_every_key_and_item_has_a_place_within_the_file(data: Any) -> None:
    text = yaml.safe_dump(data, allow_unicode=True)
    doc = parse(text, "f")
    lines = text.split("\n")
    assert set(doc.marks) == paths(doc.data)
    assert all(
        1 <= line <= len(lines) and 1 <= column <= len(lines[line - 1]) + 1
        for line, column in doc.marks.values()
    )


signs = st.text(st.sampled_from("ab:-?[]{},&*!|>'\"%@` #\n\t0.~<=_é\\"), max_size=60)


@settings(max_examples=sampled(60, 400))
@given(signs | st.text(max_size=40) | st.binary(max_size=60))
def test_anything_is_either_read_or_refused_with_a_problem(content: str | bytes) -> None:
    refused: BadInput | None = None
    try:
        doc = parse(content, "f")
    except BadInput as e:
        refused = e
    if refused is None:
        assert set(doc.marks) >= paths(doc.data) - {()}
    else:
        assert all(p.file == "f" and p.message for p in refused.problems)
        assert len(str(refused).splitlines()) == len(refused.problems) == 1


@settings(max_examples=sampled(50, 200))
@given(signs)
def test_where_an_ordinary_reader_agrees_that_all_is_text_so_do_we(text: str) -> None:
    """Differential: whatever ours accepts has the shape that the plain loader gives it."""
    try:
        ours = parse(text, "f").data
    except BadInput:
        return
    theirs = yaml.load(text, yaml.CBaseLoader)

    def shape(value: Any) -> Any:
        if isinstance(value, dict):
            return {str(k): shape(v) for k, v in value.items()}
        if isinstance(value, list):
            return [shape(v) for v in value]
        return "scalar"

    assert shape(ours) == shape(theirs)
