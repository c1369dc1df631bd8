"""Reading and checking pedigrees: every problem at once, at its place."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.analysis.pedigree import kinship
from rounds.analysis.pedigree import pedigree_sentences as sentences
from rounds.analysis.pedigree import pedigree_text_sentences as text_sentences
from rounds.analysis.pedigree.completeness import DEPTH, generations
from rounds.analysis.pedigree.pedigree_checks import build
from rounds.analysis.pedigree.pedigree_table import PedigreeRow
from rounds.analysis.pedigree.pedigree_text import read
from tests.analysis.pedigree.pedigree_cases import built, pedigrees, rows_of, warnings
from tests.sampled import sampled


def problems_of(text: str, **more) -> list[str]:
    pedigree, problems = read(text.splitlines(keepends=True), "tubs.csv", **more)
    assert (pedigree is None) == (len(warnings(problems)) < len(problems))
    return [str(p) for p in problems]


def test_any_order_and_blanks_are_read():
    p, problems = read(
        ["animal,sire,dam,sex,line\n", "U-3,U-1,U-2,m,UMBER\n", "\n", "U-1,,,m,UMBER\n", "U-2,,,F,UMBER\n"],
        "x",
    )
    assert problems == []
    assert p is not None
    assert [p.names[i] for i in p.listed] == ["U-3", "U-1", "U-2"]
    assert p.names[-1] == "U-3"
    assert [p.names[i] for i in p.parents(2)] == ["U-1", "U-2"]
    assert p.sex == ["m", "f", "m"]


def test_parents_without_a_row_are_founders_and_listed_last():
    p = built(rows_of("c = a x b"))
    assert [p.names[i] for i in p.listed] == ["c", "a", "b"]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_the_delimiter_is_seen_from_the_header(delimiter):
    text = "animal,sire,dam\nc,a,b\n".replace(",", delimiter)
    p, problems = read(text.splitlines(), "x")
    assert problems == []
    assert p is not None
    assert p.names == ("a", "b", "c")


def test_everything_wrong_is_said_at_once_with_its_place():
    text = (
        "animal,sire,dam,sex,line\n"
        "U-1,,,m,UMBER\n"
        "U-2,,,f,UMBER\n"
        "U-4,U-2,U-1,f,UMBER\n"
        "U-4,U-1,U-2,f,UMBER\n"
        "U-5,U-6,U-4,m,UMBER\n"
        "U-6,U-7,U-4,mm,UMBER\n"
        "U-7,U-5,U-4,m,UMBER\n"
        '"U-8",U-1,U-4,f\n'
        'U-9,U-1|,"U-4|U-2",f,UMBER\n'
        "U-10,U-10,U-2,,\n"
        ",U-1,U-2,,\n"
    )
    said = problems_of(text)
    places = [s.split("  ")[0] for s in said]
    assert places == [
        "tubs.csv:4:5",
        "tubs.csv:4:9",
        "tubs.csv:5:1",
        "tubs.csv:6:5",
        "tubs.csv:7:13",
        "tubs.csv:9:1",
        "tubs.csv:10:5",
        "tubs.csv:10:10",
        "tubs.csv:11:6",
        "tubs.csv:12:1",
    ]
    for fragment, line in zip(
        (
            "`U-2` of `U-4` is a female",
            "`U-1` of `U-4` is a male",
            "two sets of parents",
            "U-5 from U-6 from U-7 from U-5",
            "`mm` is no sex",
            "4 cells, expected 5",
            "possible fathers has no name",
            "possible mothers",
            "U-10 from U-10",
            "no name",
        ),
        said,
        strict=True,
    ):
        assert fragment in line


def test_a_good_table_has_no_problems_to_report():
    assert problems_of("animal,sire,dam\nc,a,b\n") == []


def test_a_wrong_header_names_the_nearest_column():
    _, problems = read(["animel,sire,dam", "c,a,b"], "x")
    columns = ("animal", "sire", "dam", "sex", "line", "founder", "state")
    assert [(p.message, p.hint) for p in problems] == [
        text_sentences.column_missing("animal", columns[:3]),
        text_sentences.no_column("animel", columns),
    ]
    assert "`animal`" in problems[1].hint


def test_a_word_for_unknown_is_never_one_animal():
    said = problems_of("animal,sire,dam\na,0,\nb,0,\n")
    assert said == [
        "tubs.csv:2:3  `0` is named as a parent in 2 rows and has no row of its own. "
        "Leave the cell blank for an unknown parent."
    ]
    p, problems = read(["animal,sire,dam", "0,,", "1,0,"], "x")  # a tub that really is number 0
    assert p is not None
    assert problems == []


def test_nul_line_breaks_and_open_quotes_are_refused_where_they_stand():
    assert problems_of("animal,sire,dam\na,b,\0\n")[0].startswith("tubs.csv:2:5  holds a NUL")
    assert problems_of('animal,sire,dam\na,"b\n c",d\n')[0].startswith("tubs.csv:2:3  ")
    assert problems_of('animal,sire,dam\nz,,\na,"b,\nq,,\n')[0].startswith("tubs.csv:3:1  is not readable")


def test_an_empty_file_and_a_byte_order_mark():
    assert problems_of("") == ["tubs.csv  holds no animals. The first line is `animal,sire,dam`."]
    assert problems_of("\ufeffanimal,sire,dam\nc,a,b\n") == []


def test_what_cannot_be_but_can_be_computed_only_warns():
    p, problems = read(["animal,sire,dam", "c,a,a", "d,c,b", "e,x,c"], "x")
    assert p is not None
    assert [q.line for q in problems] == [2, 4]
    assert warnings(problems) == problems
    p, problems = read(["animal,sire,dam,sex", "a,,,group", "c,a,a,"], "x")
    assert problems == []


def test_one_name_spelt_two_ways_is_pointed_out():
    _, problems = read(["animal,sire,dam", "U-3,,", "c,u-3,"], "x")
    said = sentences.written_two_ways("u-3", "U-3").message
    assert [p.message for p in problems] == [sentences.check_this(said)]


def test_the_same_row_twice_warns_and_a_changed_one_stops():
    [said] = problems_of("animal,sire,dam\nc,a,b\nc,a,b\n")
    assert sentences.given_again("c", sentences.line_of_file(2)).message in said
    pedigree, problems = read(["animal,sire,dam,sex", "c,a,b,m", "c,a,b,f"], "x")
    assert pedigree is None
    assert problems[0].message == sentences.given_differently("c", sentences.line_of_file(2)).message


def test_possible_sires_and_someone_else():
    p, problems = read(["animal,sire,dam", "c,a|b|?,d", "e,?,?"], "x")
    assert problems == []
    assert p is not None
    assert p.sires == {p.at["c"]: (p.at["a"], p.at["b"], -1)}
    assert p.parents(p.at["e"]) == ()


def test_the_six_column_table():
    lines = ["F1 a 0 0 1 0", "F1 b 0 0 2 -9", "# a comment", "F1 c a b 1 0", "F2 a 0 0 1 0", "F2 c a 0 2 0"]
    p, problems = read(lines, "x.ped")
    assert problems == []
    assert p is not None
    # Where two families use one number, the family makes it unique.
    assert p.names == ("F1/a", "b", "F1/c", "F2/a", "F2/c")
    assert p.line == ["F1", "F1", "F1", "F2", "F2"]
    assert p.sex == ["m", "f", "m", "m", "f"]
    _, problems = read(["F1 a 0 0 3 0", "F1 b", "F1 0 a 0 1 0"], "x.ped")
    assert [(q.line, q.column) for q in problems] == [(1, 10), (2, 1), (3, 4)]


def test_declared_founders_are_checked():
    rows = rows_of("a", "b", "c = a x b")
    _, problems = build(
        rows, "x", None, [("a", "bb", 0.1), ("a", "c", 0.1), ("a", "b", 0.9), ("a", "a", 0.2)]
    )
    assert len(problems) == 4
    said = sentences.not_in_pedigree("bb", ("a", "b", "c"))
    assert "`b`" in said.hint
    assert (sentences.declared(said.message), said.hint) in [(p.message, p.hint) for p in problems]


def test_declared_kinships_must_be_possible_together():
    def wrong(*related):
        return [
            str(q)
            for q in build(rows_of("x = a x b", "y = b x c", "z = a x c"), "x", None, related)[1]
            if "declared" in str(q)
        ]

    assert wrong(("a", "b", 0.5), ("b", "c", 0.5), ("a", "c", 0.5)) == [], "three of one clone"
    [said] = wrong(("a", "b", 0.5), ("b", "c", 0.5))
    assert sentences.not_all_true(("a", "b", "c")).message in said
    [said] = wrong(("a", "b", 0.75))
    assert sentences.closer_than_to_itself("a", "b", 0.75, 0.5, 0.5).message in said
    assert wrong(("a", "a", 0.75), ("b", "b", 0.75), ("a", "b", 0.75)) == []
    assert len(wrong(("a", "b", float("nan")))) == 1, "once, and not as given twice"


def test_a_bare_number_is_declared_related_where_one_animal_has_it():
    rows = rows_of("U/1", "U/2", "L/2", "x = U/1 x U/2")
    p, problems = build(rows, "x", None, [("1", "U/2", 0.25)])
    assert problems == []
    assert p is not None
    assert p.related == {(p.at["U/1"], p.at["U/2"]): 0.25}
    _, problems = build(rows, "x", None, [("1", "2", 0.25)])
    said = sentences.number_of_several("2", ("U/2", "L/2")).message
    assert problems[0].message == sentences.declared(said)


@settings(max_examples=sampled(40, 150))
@given(st.data(), st.integers(2, 5))
def test_declared_kinships_are_refused_when_their_matrix_has_a_negative_eigenvalue(data, n):
    values = st.sampled_from([0.0, 0.0625, 0.125, 0.25, 0.375, 0.5])
    names = [f"f{i}" for i in range(n)]
    k = np.eye(n) / 2
    related = []
    for i in range(n):
        for j in range(i):
            k[i, j] = k[j, i] = data.draw(values)
            related.append((names[i], names[j], k[i, j]))
    _, problems = build(rows_of(*names), "x", None, related)
    least = np.linalg.eigvalsh(k).min()
    if abs(least) > 1e-7 or least >= 0:
        assert bool(problems) == (least < 0)


def test_unrelated_founders_can_be_taken_for_granted():
    lines = ["animal,sire,dam", "c,a,b", "a,,", "b,,"]
    p, _ = read(lines, "x")
    q, _ = read(lines, "x", unrelated=True)
    assert p is not None
    assert q is not None
    assert kinship.inbreeding(p)[p.at["c"]] == (0.0, 0.25, 0.375, True)
    assert kinship.inbreeding(q)[q.at["c"]] == (0.0, 0.0, 0.0, True)


def test_long_and_many_loops_are_each_one_line():
    ring = [PedigreeRow(f"r{i}", (f"r{(i + 1) % 3000}",), "", number=i + 1) for i in range(3000)]
    pair = [PedigreeRow("p", ("q",), "", number=4000), PedigreeRow("q", ("p",), "", number=4001)]
    p, problems = build([*ring, *pair, PedigreeRow("child", ("p",), "", number=5000)], "x")
    assert p is None
    assert [q.line for q in problems] == [1, 4000]
    assert all(len(q.message) < 200 for q in problems)


@settings(max_examples=sampled(20, 60), deadline=None)
@given(st.text(alphabet='animal,sire\n"|?ab01 ;\t\0\r', max_size=200), st.booleans())
def test_no_text_breaks_the_reader(text, header):
    pedigree, problems = read(("animal,sire,dam\n" + text if header else text).splitlines(keepends=True), "x")
    assert (pedigree is None) == (len(warnings(problems)) < len(problems))
    for q in problems:
        assert q.line >= 0
        assert q.column >= 0


@settings(max_examples=sampled(15, 40), deadline=None)
@given(pedigrees(), st.integers(0, 10**6))
def test_rows_in_any_order_give_the_same_parents(rows, seed):
    shuffled = rows.copy()
    random.Random(seed).shuffle(shuffled)
    p, q = built(rows), built(shuffled)
    for name in p.at:
        a, b = p.at[name], q.at[name]
        assert {p.names[x] for x in p.parents(a)} == {q.names[x] for x in q.parents(b)}
        assert all(x < b for x in q.parents(b))


def test_generations_and_completeness():
    p = built(rows_of("a", "b", "c = a x b", "d = c x ?", "e = d x c", "f"))
    known = dict(zip(p.names, generations(p), strict=True))
    assert known["a"] == (0, 0, 0.0, 0.0)
    assert known["c"] == (1, 1, 1.0, 1 / DEPTH)
    # d: one parent of two, and both of that parent's: 1/2 + 2/4
    assert known["d"] == (2, 0, 1.0, (0.5 + 0.5) / DEPTH)
    # e: both parents; of four grandparents three; of eight further back two
    assert known["e"] == (3, 1, 1 + 3 / 4 + 2 / 8, pytest.approx((1 + 3 / 4 + 2 / 8) / DEPTH))
    assert known["f"] == (0, 0, 0.0, 0.0)


def test_of_several_sires_the_least_known_counts():
    p = built(rows_of("a", "b", "c = a x b", "d = a|c x b", "e = a|? x b"))
    known = dict(zip(p.names, generations(p), strict=True))
    assert known["d"].deepest == 1
    assert known["e"].full == 0
