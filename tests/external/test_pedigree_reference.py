"""Inbreeding and kinship against published and independently computed values.

The rows, each with its source and how it was verified, stand in ``reference/pedigree.json``.
``low`` is the world those sources compute in: every unknown parent a different unrelated
founder.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from rounds.analysis.pairing import pairing_plan
from rounds.analysis.pairing.restrictions import Candidate, Wishes
from rounds.analysis.pedigree import colony, gene_drop, kinship
from rounds.analysis.pedigree.kinship_engine import WAYS, diagonals, kinships, mendelian
from rounds.analysis.pedigree.pedigree_checks import build
from rounds.analysis.pedigree.pedigree_table import Pedigree, PedigreeRow
from rounds.analysis.pedigree.pedigree_text import read
from rounds.analysis.pedigree.worlds import low
from rounds.cli import run
from tests.analysis.pedigree.pedigree_cases import inbreeding_low, warnings

ROWS = {
    row["id"]: row
    for row in json.loads((Path(__file__).parent / "reference" / "pedigree.json").read_text("utf-8"))
}
CHECKS: dict[str, Callable[[Any, Any], None]] = {}
CLOSE = 1e-12


def check(name: str) -> Callable[[Callable[[Any, Any], None]], Callable[[Any, Any], None]]:
    def keep(f: Callable[[Any, Any], None]) -> Callable[[Any, Any], None]:
        CHECKS[name] = f
        return f

    return keep


@pytest.mark.parametrize("name", sorted(ROWS))
def test_reference(name: str) -> None:
    row = ROWS[name]
    CHECKS[name](row["inputs"], row["expected"])


def test_every_row_is_tested_and_names_source_and_tolerance() -> None:
    assert set(CHECKS) == set(ROWS)
    assert all(row["source"] and row["how_verified"] and row["tolerance"] for row in ROWS.values())


def table(*parents: tuple[str, str, str], related: Any = ()) -> Pedigree:
    """A pedigree read from CSV text, as a keeper's file would be."""
    text = ["animal,sire,dam\n", *(f"{a},{s},{d}\n" for a, s, d in parents)]
    pedigree, problems = read(text, "reference.csv", related)
    assert pedigree is not None, problems
    return pedigree


def f(p: Pedigree, *names: str) -> list[float]:
    """F of animals, by every way of computing it."""
    found = [inbreeding_low(p, way) for way in WAYS]
    assert found[1] == pytest.approx(found[0], abs=CLOSE)
    assert found[2] == pytest.approx(found[0], abs=CLOSE)
    ranges = kinship.inbreeding(p)
    assert [r.low for r in ranges] == pytest.approx(found[0], abs=CLOSE)
    return [found[0][p.find(name)] for name in names]


def all_kinships(p: Pedigree, names: list[str]) -> np.ndarray:
    return np.array(kinship.matrix(p, names).low)


def by_number(
    parents: list[list[Any]], missing: Any, names: Callable[[int], str]
) -> list[tuple[str, str, str]]:
    return [(names(i), *("" if x == missing else names(x) for x in pair)) for i, pair in enumerate(parents)]  # type: ignore[misc]


# Wright 1921/1922; Falconer & Mackay: F(t) = (1 + 2 F(t-1) + F(t-2)) / 4
@check("ped.fullsib_series")
def _(_inputs: Any, expected: list[float]) -> None:
    rows = [("m0", "", ""), ("f0", "", "")]
    for g in range(1, len(expected) + 1):
        rows += [(f"m{g}", f"m{g - 1}", f"f{g - 1}"), (f"f{g}", f"m{g - 1}", f"f{g - 1}")]
    # The two founders are the parents of generation 1, whose F is 0.
    assert f(table(*rows), *(f"m{g}" for g in range(1, len(expected) + 1))) == pytest.approx(
        expected, abs=CLOSE
    )


# Wright; Falconer & Mackay: F(t) = (1 + 6 F(t-1) + F(t-2)) / 8
@check("ped.halfsib_series")
def _(_inputs: Any, expected: list[float]) -> None:
    # One male a generation, mated to females that are his and one another's half sibs: the
    # pedigree is written backwards from the last animal, every dam with a dam of her own.
    last = len(expected)
    rows: list[tuple[str, str, str]] = [("S0", "", "")]
    rows += [(f"d0.{k}", "", "") for k in range(2**last)]
    for g in range(1, last + 1):
        rows += [(f"d{g}.{k}", f"S{g - 1}", f"d{g - 1}.{k}") for k in range(2 ** (last - g))]
        rows.append((f"S{g}", f"S{g - 1}", f"d{g - 1}.{2 ** (last - g)}"))
    assert f(table(*rows), *(f"S{g}" for g in range(1, last + 1))) == pytest.approx(expected, abs=CLOSE)


# 1 - (1/2)^t; no beetle mating, so it must be computed and warned of
@check("ped.selfing")
def _(_inputs: Any, expected: list[float]) -> None:
    rows = [
        PedigreeRow("g0"),
        *(PedigreeRow(f"g{t}", (f"g{t - 1}",), f"g{t - 1}") for t in range(1, len(expected))),
    ]
    p, problems = build(rows, "selfing")
    assert p is not None
    assert len(warnings(problems)) == len(problems) == len(expected) - 1
    assert f(p, *(f"g{t}" for t in range(len(expected)))) == pytest.approx(expected, abs=CLOSE)


# F(t) = (1 + 2 F(t-1)) / 4, limit 1/2
@check("ped.backcross_sire")
def _(_inputs: Any, expected: list[float]) -> None:
    n = len(expected)
    rows = [("S", "", ""), ("D0", "", ""), *((f"D{g}", "S", f"D{g - 1}") for g in range(1, n + 1))]
    assert f(table(*rows), *(f"D{g}" for g in range(1, n + 1))) == pytest.approx(expected, abs=CLOSE)


# Falconer & Mackay: mating to the younger parent gives the full-sib series
@check("ped.younger_parent")
def _(_inputs: Any, expected: list[float]) -> None:
    n = len(expected)
    rows = [("P0", "", ""), ("P1", "", ""), *((f"P{g}", f"P{g - 1}", f"P{g - 2}") for g in range(2, n + 2))]
    assert f(table(*rows), *(f"P{g}" for g in range(2, n + 2))) == pytest.approx(expected, abs=CLOSE)


# General reference works for 1/2, 1/4, 1/8 and 1/16; the others by Wright's path formula
@check("ped.single_matings")
def _(_inputs: Any, expected: dict[str, float]) -> None:
    family = [
        ("A", "", ""),
        ("B", "", ""),
        ("E", "", ""),
        ("G", "", ""),
        ("H", "", ""),
        ("J", "", ""),
        ("L", "", ""),
        ("C", "A", "B"),
        ("D", "A", "B"),  # full sibs
        ("half", "A", "E"),  # half sib of C and D
        ("G2", "G", "H"),
        ("H2", "G", "H"),  # another pair of full sibs
        ("c1", "C", "G"),
        ("c2", "D", "H"),  # first cousins
        ("x1", "C", "G2"),
        ("x2", "D", "H2"),  # double first cousins
        ("hc", "half", "J"),  # half first cousin of c1
        ("once", "c2", "L"),  # c1's first cousin once removed
        ("s1", "c1", "J"),
        ("s2", "c2", "L"),  # second cousins
        ("t1", "A", "G2"),
        ("t2", "A", "H2"),  # three-quarter sibs: one parent shared, the others sibs
    ]
    matings = {
        "parent_offspring": ("A", "C"),
        "half_sib": ("C", "half"),
        "first_cousin": ("c1", "c2"),
        "double_first_cousin": ("x1", "x2"),
        "uncle_niece": ("C", "c2"),
        "grandparent": ("A", "c1"),
        "half_uncle_niece": ("half", "c1"),
        "half_first_cousin": ("hc", "c1"),
        "first_cousin_once_removed": ("c1", "once"),
        "second_cousin": ("s1", "s2"),
        "three_quarter_sib": ("t1", "t2"),
        "full_sib": ("C", "D"),
    }
    assert set(matings) == set(expected)
    p = table(*family, *((name, *pair) for name, pair in matings.items()))
    assert dict(zip(matings, f(p, *matings), strict=True)) == pytest.approx(expected, abs=CLOSE)
    for name, (a, b) in matings.items():
        found = kinship.between(p, a, b)
        assert found.kinship.low == pytest.approx(expected[name], abs=CLOSE)
        assert sum(part.adds for part in found.low_from) == pytest.approx(expected[name], abs=CLOSE)


# Mrode, Linear Models for the Prediction of Animal Breeding Values, Table 2.1, sections 2.2-2.4
@check("ped.mrode_2_1")
def _(inputs: Any, expected: Any) -> None:
    rows = [tuple("" if x == 0 else str(x) for x in row) for row in inputs["rows (id,sire,dam)"]]
    p = table(*rows)  # type: ignore[arg-type]
    names = [row[0] for row in rows]
    np.testing.assert_allclose(2 * all_kinships(p, names), expected["A"], atol=CLOSE)
    assert f(p, *names) == pytest.approx(expected["F"], abs=CLOSE)
    d = mendelian(low(p), diagonals(low(p)))
    assert [d[p.find(name)] for name in names] == pytest.approx(expected["D"], abs=CLOSE)
    t = np.array(expected["T"])
    np.testing.assert_allclose(t @ np.diag(expected["D"]) @ t.T, 2 * all_kinships(p, names), atol=CLOSE)
    np.testing.assert_allclose(np.linalg.inv(2 * all_kinships(p, names)), expected["A_inverse"], atol=1e-6)


# the worked example in the documentation of a statistical-genetics library
@check("ped.sgkit_doc_inbred")
def _(inputs: Any, expected: Any) -> None:
    p = table(
        *((f"S{i}", *("" if x == "." else x for x in pair)) for i, pair in enumerate(inputs["parents"]))
    )  # type: ignore[arg-type]
    np.testing.assert_allclose(all_kinships(p, ["S0", "S1", "S2", "S3"]), expected["kinship"], atol=CLOSE)


# the same with related and inbred founders (method of Goudet et al. 2018)
@check("ped.founder_kinship_doc")
def _(inputs: Any, expected: Any) -> None:
    given = inputs["founder kinship"]
    related = [("S0", "S0", given[0][0]), ("S0", "S1", given[0][1]), ("S1", "S1", given[1][1])]
    rows = [(f"S{i}", *("" if x == "." else x for x in pair)) for i, pair in enumerate(inputs["parents"])]
    p = table(*rows, related=related)  # type: ignore[arg-type]
    np.testing.assert_allclose(all_kinships(p, ["S0", "S1", "S2", "S3"]), expected["kinship"], atol=CLOSE)
    assert f(p, "S1") == pytest.approx([0.2], abs=CLOSE)


# K(2,3) = (K00 + K11 + 2 K01) / 4
@check("ped.founders_related")
def _(_inputs: Any, expected: Any) -> None:
    p = table(
        ("0", "", ""),
        ("1", "", ""),
        ("2", "0", "1"),
        ("3", "0", "1"),
        ("4", "2", "3"),
        related=[("0", "1", 0.25)],
    )
    assert f(p, "0", "1", "2", "3", "4") == pytest.approx(expected["F"], abs=CLOSE)
    assert kinship.between(p, "2", "3").kinship.low == pytest.approx(expected["K23"], abs=CLOSE)


# convention: every unknown parent is a different unrelated founder
@check("ped.unknown_parent")
def _(_inputs: Any, expected: Any) -> None:
    p = table(("A", "", ""), ("B", "A", ""), ("C", "A", ""), ("X", "B", "C"))
    phantoms = table(
        ("A", "", ""), ("u", "", ""), ("v", "", ""), ("B", "A", "u"), ("C", "A", "v"), ("X", "B", "C")
    )
    for one in (p, phantoms):
        assert kinship.between(one, "B", "C").kinship.low == pytest.approx(expected["K_BC"], abs=CLOSE)
        assert f(one, "X") == pytest.approx([expected["F_X"]], abs=CLOSE)
    # Taken as one and the same animal they would make B and C full sibs: this must not happen.
    assert f(table(("B", "A", "u"), ("C", "A", "u"), ("X", "B", "C")), "X") == [0.25]


# order independence
@check("ped.unsorted_input")
def _(inputs: Any, expected: list[float]) -> None:
    parents = inputs["parents (child rows first)"]
    p = table(*by_number(parents, -1, lambda i: f"n{i}"))
    assert f(p, *(f"n{i}" for i in range(len(parents)))) == pytest.approx(expected, abs=CLOSE)


# an animal may not be its own ancestor
@check("ped.loop_rejected")
def _(inputs: Any, _expected: Any) -> None:
    rows = by_number(inputs["parents"], -1, lambda i: f"n{i}")
    p, problems = read(["animal,sire,dam", *(",".join(row) for row in rows)], "loop.csv")
    assert p is None
    assert [(x.file, x.line) for x in problems if "its own ancestor" in x.message] == [("loop.csv", 3)]


# Wright 1922/1923 (from memory), who counting remoter ancestors prints about 0.19 and 0.47
@check("ped.colling_shorthorn")
def _(inputs: Any, expected: dict[str, float]) -> None:
    p = table(*(tuple("" if x == 0 else x for x in row) for row in inputs))  # type: ignore[arg-type]
    assert f(p, *expected) == pytest.approx(list(expected.values()), abs=CLOSE)


# Alvarez, Ceballos & Quinteiro 2009, PLoS ONE 4(4):e5174; genealogy from public history
@check("ped.habsburg")
def _(inputs: Any, expected: Any) -> None:
    rows = [tuple(x or "" for x in row) for row in inputs["rows (id,father,mother)"]]
    p = table(*rows)  # type: ignore[arg-type]
    listed = expected["F on these 106 people"]
    assert f(p, *listed) == pytest.approx(list(listed.values()), abs=CLOSE)
    last = listed["CharlesII"]
    assert 0.24 <= last <= expected["published 16-generation F"]["Charles II"]
    # F rises as more generations of the same pedigree are counted.
    parents = {row[0]: row[1:] for row in rows}
    by_depth = []
    for depth in (3, 4, 5, 6, 8, 10):
        known, level = {"CharlesII": parents["CharlesII"]}, ["CharlesII"]
        for _step in range(depth - 1):
            level = [x for name in level for x in parents.get(name, ()) if x]
            known.update({name: parents[name] for name in level})
        cut = table(*((name, *pair) for name, pair in known.items()))  # type: ignore[arg-type]
        by_depth += f(cut, "CharlesII")
    assert by_depth == sorted(by_depth)
    assert by_depth[-1] == pytest.approx(last, abs=CLOSE)


def congruential(
    n: int = 2000, founders: int = 40, window: int = 200, pct_unknown: int = 5, seed: int = 42
) -> Any:
    """A random pedigree of overlapping generations from a 31-bit congruential generator."""

    def numbers() -> Any:
        x = seed
        while True:
            x = (1103515245 * x + 12345) % 2**31
            yield x >> 16

    g = numbers()
    sex: list[int] = []
    parents: list[tuple[int, int]] = []
    for i in range(n):
        sex.append(next(g) & 1)
        s = d = -1
        if i >= founders:
            males = [j for j in range(max(0, i - window), i) if sex[j] == 0]
            females = [j for j in range(max(0, i - window), i) if sex[j] == 1]
            s, d = males[next(g) % len(males)], females[next(g) % len(females)]
            if next(g) % 100 < pct_unknown:
                s = -1
            if next(g) % 100 < pct_unknown:
                d = -1
        parents.append((s, d))
    return parents


# a reference library's answers for this generator
def random_pedigree(inputs: Any, expected: Any) -> None:
    parents = congruential(**inputs["params"])
    founders = 40
    assert [list(x) for x in parents[founders : founders + 6]] == expected["first_rows"]
    p = table(
        *((f"n{i}", f"n{s}" if s >= 0 else "", f"n{d}" if d >= 0 else "") for i, (s, d) in enumerate(parents))
    )
    names = [f"n{i}" for i in range(len(parents))]
    found = f(p, *names)
    assert sum(found) == pytest.approx(expected["sumF"], rel=1e-10)
    assert sum(x * x for x in found) == pytest.approx(expected["sumF2"], rel=1e-10)
    assert max(found) == pytest.approx(expected["maxF"], abs=CLOSE)
    assert found.index(max(found)) == expected["argmaxF"]
    assert sum(x > 0 for x in found) == expected["n_inbred"]
    assert found[-10:] == pytest.approx(expected["F_last10"], abs=CLOSE)
    everyone, last = colony.mean_kinships(p, names), colony.mean_kinships(p, names[-100:])
    assert everyone.mean.low == pytest.approx(expected["meanK_all"], abs=CLOSE)
    assert last.mean.low == pytest.approx(expected["meanK_last100"], abs=CLOSE)
    assert last.gene_diversity.high == pytest.approx(expected["GD_last100"], abs=CLOSE)
    assert kinship.between(p, *names[-2:]).kinship.low == pytest.approx(expected["K_last2"], abs=CLOSE)
    for way in WAYS:
        _, k = kinships(low(p), (), [p.find(x) for x in names[-100:]], way)
        assert float(np.mean(k)) == pytest.approx(expected["meanK_last100"], abs=CLOSE)


CHECKS["ped.random.lcg2000_unk5"] = random_pedigree
CHECKS["ped.random.lcg2000_full"] = random_pedigree


# Lacy 1989, 1995 (formulas from memory); retention by going through all 2^8 meioses by hand
@check("ped.founder_one_gen")
def _(_inputs: Any, expected: Any) -> None:
    p = table(("1", "A", "B"), ("2", "A", "B"), ("3", "A", "D"), ("4", "C", "D"))
    living = ["1", "2", "3", "4"]
    shares = colony.founder_shares(p, living)
    assert shares == pytest.approx(expected["p"], abs=CLOSE)
    assert colony.founder_equivalents(shares) == pytest.approx(expected["fe"], abs=CLOSE)
    kept = gene_drop.retention(p, living, seed=1)
    assert all(kept.exact.values())
    assert kept.share == pytest.approx(
        {name: float(Fraction(r)) for name, r in expected["r"].items()}, abs=CLOSE
    )
    assert colony.founder_genomes_retained(shares, kept.share) == pytest.approx(expected["fg"], abs=CLOSE)
    means = colony.mean_kinships(p, living)
    assert dict(zip(living, means.low, strict=True)) == pytest.approx(expected["MK"], abs=CLOSE)
    assert means.mean.low == pytest.approx(expected["meanMK"], abs=CLOSE)
    assert means.gene_diversity.high == pytest.approx(expected["GD"], abs=CLOSE)
    assert means.founder_genomes.high == pytest.approx(expected["FGE_from_MK"], abs=CLOSE)
    assert sum(f(p, *living)) / 4 == expected["meanF"]


# Wright 1931
@check("ped.ne")
def _(_inputs: Any, expected: Any) -> None:
    for sexes in ((2, 8), (1, 3), (1, 9), (5, 5)):
        assert colony.effective_size(*sexes) == pytest.approx(expected[f"{sexes[0]}m{sexes[1]}f"], abs=CLOSE)
    assert colony.increase_per_generation(6.4) == pytest.approx(expected["dF_2m8f"], abs=CLOSE)
    assert colony.expected_f(6.4, 5) == pytest.approx(expected["F5_Ne6.4"], abs=CLOSE)
    assert colony.expected_f(50, 10) == pytest.approx(expected["F10_Ne50"], abs=CLOSE)
    assert colony.expected_f(10, 20) == pytest.approx(expected["F20_Ne10"], abs=CLOSE)
    assert 1 - colony.expected_f(50, 100) == pytest.approx(expected["Ht_ratio_Ne50_t100"], abs=CLOSE)


# scope: these beetles are diploid (male XY or X0); no haplodiploid rule anywhere
@check("ped.x_linked_warning")
def _(_inputs: Any, _expected: Any) -> None:
    # A haplodiploid rule would give a son of full sibs another F than a daughter: sex changes nothing.
    rows = [
        PedigreeRow("a", sex="m"),
        PedigreeRow("b", sex="f"),
        PedigreeRow("c", ("a",), "b", "m"),
        PedigreeRow("d", ("a",), "b", "f"),
    ]
    p, _problems = build(
        [*rows, PedigreeRow("son", ("c",), "d", "m"), PedigreeRow("daughter", ("c",), "d", "f")]
    )
    assert p is not None
    assert f(p, "son", "daughter") == [0.25, 0.25]


def test_the_kinship_matrix_of_a_full_sib_mating():
    """Lange 2002, Mathematical and Statistical Methods for Genetic Analysis, figure 5.1 and the matrix beside it.

    Two founders, their two children, and two children of those; figure and method were looked up,
    the matrix is from memory. Its mean is the group coancestry of the six.
    """
    quarter, three = 1 / 4, 3 / 8
    phi = [
        [0.5, 0, quarter, quarter, quarter, quarter],
        [0, 0.5, quarter, quarter, quarter, quarter],
        [quarter, quarter, 0.5, quarter, three, three],
        [quarter, quarter, quarter, 0.5, three, three],
        [quarter, quarter, three, three, 0.625, three],
        [quarter, quarter, three, three, three, 0.625],
    ]
    lines = ["animal,sire,dam,founder", "1,,,yes", "2,,,yes", "3,1,2,", "4,1,2,", "5,3,4,", "6,3,4,"]
    p, _ = read(lines, "lange.csv")
    assert p is not None
    found = kinship.matrix(p, tuple("123456"))
    assert found.low == found.usual == found.high == phi
    mean = colony.mean_kinships(p, tuple("123456")).mean
    assert mean.high == pytest.approx(sum(map(sum, phi)) / 36, abs=CLOSE)


@pytest.mark.parametrize(
    ("relation", "lines", "expected"),
    [
        ("parent and child", ["c,a,b"], {("a", "c"): 1 / 4}),
        ("half sibs", ["c,a,b", "d,a,e"], {("c", "d"): 1 / 8}),
        ("full sibs", ["c,a,b", "d,a,b"], {("c", "d"): 1 / 4}),
        ("first cousins", ["c,a,b", "d,a,b", "e,c,x", "f,d,y"], {("e", "f"): 1 / 16}),
        ("double first cousins", ["c,a,b", "d,a,b", "g,h,i", "j,h,i", "e,c,g", "f,d,j"], {("e", "f"): 1 / 8}),
        ("second cousins", ["c,a,b", "d,a,b", "e,c,x", "f,d,y", "g,e,v", "h,f,w"], {("g", "h"): 1 / 64}),
        ("uncle and nephew", ["c,a,b", "d,a,b", "e,c,x"], {("d", "e"): 1 / 8}),
    ],
)
def test_kinship_of_relatives(relation, lines, expected):
    """Lange 2010, Applied Probability, table 5.1, its column of kinship coefficients (looked up)."""
    p, _ = read(["animal,sire,dam", *lines], relation, unrelated=True)
    assert p is not None
    for (a, b), k in expected.items():
        assert kinship.between(p, a, b).kinship[:3] == (k, k, k)


def test_equal_shares_of_unrelated_founders_leave_as_many_founder_genomes():
    """Status number: N unrelated animals that contribute alike count as N, 1 / (2 × group coancestry).

    Lindgren, Gea & Jefferson 1996, Loss of genetic diversity monitored by status number, Silvae
    Genetica 45 (definition from memory); the least group coancestry of contributions c is that of
    equal ones, c'Kc = 1 / (2N) (Caballero & Toro 2000, Genet. Res. 75, from memory).
    """
    names = [f"{sex}{k}" for sex in "mf" for k in range(4)]
    p, _ = read(["animal,sire,dam,sex,founder", *(f"{n},,,{n[0]},yes" for n in names)], "status.csv")
    assert p is not None
    found = pairing_plan.plan(p, [Candidate(n, n[0]) for n in names], names, Wishes(uses=4, boxes=4))
    assert len(found.pairs) == 4
    assert {x.male for x in found.pairs} == set(names[:4]), "each male once, though one could serve all"
    assert found.score.kinship == pytest.approx(1 / (2 * len(names)), abs=CLOSE)
    assert 1 / (2 * found.score.kinship) == pytest.approx(len(names))


def test_founders_of_a_file_that_says_who_is_alive_come_out_as_published(tmp_path, capsys):
    """Lacy 1989, Zoo Biology 8:111-123, worked example: A × B gave C and D, D × E gave F and G; the founders are dead.

    Founder equivalents 2.91 and founder genome equivalents 2.18 (pedigree as restated in public
    reference documentation of the paper; the two figures from memory, and by hand in exact
    fractions: p = 3/8, 3/8, 1/4, retention 3/4 each: 1 / (22/64) and 1 / (22/64 / (3/4))).
    """
    rows = ["animal,sire,dam,state", "A,,,dead", "B,,,dead", "E,,,dead"]
    rows += ["C,A,B,alive", "D,A,B,alive", "F,D,E,alive", "G,D,E,alive"]
    path = tmp_path / "p.csv"
    argv = ["kinship", "--pedigree", str(path), "--colony", "--unrelated", "--as", "json"]
    path.write_text("\n".join(rows) + "\n")
    assert run(argv) == 0
    [by_state] = json.loads(capsys.readouterr().out)["rows"]
    path.write_text("\n".join(r.rpartition(",")[0] for r in rows) + "\n")
    assert run([*argv, "--living", "C,D,F,G"]) == 0
    [by_name] = json.loads(capsys.readouterr().out)["rows"]
    assert by_state == by_name
    assert by_state["living"] == 4
    assert round(by_state["founder_equivalents"], 2) == 2.91
    assert round(by_state["founder_genomes_retained"], 2) == 2.18
    assert by_state["founder_equivalents"] == pytest.approx(float(1 / Fraction(22, 64)), abs=CLOSE)
    assert by_state["founder_genomes_retained"] == pytest.approx(
        float(Fraction(3, 4) / Fraction(22, 64)), abs=CLOSE
    )
    # Without a word about who is alive, the dead founders would count too.
    assert run(argv) == 0
    [everybody] = json.loads(capsys.readouterr().out)["rows"]
    assert everybody["living"] == 7
    assert everybody["founder_equivalents"] != by_state["founder_equivalents"]


def test_colony_figures_of_a_file_that_says_who_is_alive(tmp_path, capsys):
    """Founder equivalents and genomes of one generation (Lacy 1989, definitions; K worked out by hand, in exact fractions)."""
    rows = ["animal,sire,dam,state", "a,,,dead", "b,,,dead", "c,a,b,alive", "d,a,b,alive"]
    path = tmp_path / "p.csv"
    path.write_text("\n".join(rows) + "\n")
    assert run(["kinship", "--pedigree", str(path), "--colony", "--unrelated", "--as", "json"]) == 0
    [by_state] = json.loads(capsys.readouterr().out)["rows"]
    path.write_text("\n".join(r.rpartition(",")[0] for r in rows) + "\n")
    argv = ["kinship", "--pedigree", str(path), "--colony", "--unrelated", "--as", "json"]
    assert run([*argv, "--living", "c,d"]) == 0
    [by_name] = json.loads(capsys.readouterr().out)["rows"]
    assert by_state == by_name
    assert by_state["living"] == 2
    assert by_state["mean_kinship_high"] == 0.375  # (1/2 + 1/4 + 1/4 + 1/2) / 4
    assert by_state["founder_equivalents"] == 2.0
    assert by_state["founder_genomes_retained"] == 1.5  # p = 1/2, r = 3/4 each: 1 / (2 × 1/4 / (3/4))
    assert run([*argv, "--living", "c,nobody"]) != 0
    assert "`nobody` is not in the pedigree" in capsys.readouterr().err
