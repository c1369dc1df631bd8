"""Inbreeding and kinship against the definition, with everything unknown written out."""

from __future__ import annotations

import itertools
import random
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.analysis.pedigree import (
    common_ancestors,
    front_schedule,
    kinship,
    kinship_engine,
    moving_front,
    open_paternity,
)
from rounds.analysis.pedigree.path_tracing import product
from rounds.analysis.pedigree.pedigree_table import GROUP, NoSuchAnimal, PedigreeRow
from rounds.analysis.pedigree.worlds import low, usual_reading
from rounds.problems import RoundsError
from tests.analysis.pedigree.pedigree_cases import (
    built,
    filled_in,
    inbreeding_low,
    pedigrees,
    rows_of,
    settled,
    written_out,
)
from tests.sampled import sampled

CLOSE = 1e-12


def everything(p):
    """All kinships, low and high, by the product's matrix."""
    return kinship.matrix(p, p.names)


@settings(max_examples=sampled(40, 150), deadline=None)
@given(pedigrees(open_sires=False, founders=False))
def test_both_ends_are_what_the_written_out_pedigree_gives(rows):
    p = built(rows)
    found = everything(p)
    ranges = kinship.inbreeding(p)
    for end, values in (("low", found.low), ("usual", found.usual)):
        k, at = written_out(p, end == "usual")
        for i, j in itertools.combinations(range(len(p.names)), 2):
            if GROUP not in (p.sex[i], p.sex[j]):
                assert values[i][j] == pytest.approx(k[at[i], at[j]], abs=CLOSE), (
                    end,
                    p.names[i],
                    p.names[j],
                )
        for i in range(len(p.names)):
            f = getattr(ranges[i], end)
            assert f == pytest.approx(2 * k[at[i], at[i]] - 1, abs=CLOSE), (end, p.names[i])


@settings(max_examples=sampled(20, 60), deadline=None)
@given(pedigrees(most=12, groups=False))
def test_open_sires_give_the_least_and_most_of_every_settlement(rows):
    p = built(rows)
    found, ranges = everything(p), kinship.inbreeding(p)
    lows, highs = [], []
    for one in settled(p):
        for into, is_high in ((lows, False), (highs, True)):
            k, at = written_out(one, is_high, frozenset(p.sires))
            into.append(k[np.ix_(at, at)])
    np.testing.assert_allclose(found.low, np.min(lows, axis=0), atol=CLOSE)
    np.testing.assert_allclose(found.usual, np.max(highs, axis=0), atol=CLOSE)
    assert [r.low for r in ranges] == pytest.approx(
        [2 * x - 1 for x in np.diag(np.min(lows, axis=0))], abs=CLOSE
    )
    assert [r.usual for r in ranges] == pytest.approx(
        [2 * x - 1 for x in np.diag(np.max(highs, axis=0))], abs=CLOSE
    )
    assert found.exact
    assert all(r.exact for r in ranges)


@settings(max_examples=sampled(15, 40), deadline=None)
@given(pedigrees(most=12, groups=False))
def test_outer_bounds_hold_every_settlement_and_say_what_they_are(rows):
    p = built(rows)
    exact, exact_f = everything(p), kinship.inbreeding(p)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(open_paternity, "MOST_WAYS", 1)
        outer, outer_f = everything(p), kinship.inbreeding(p)
    assert np.all(np.array(outer.low) <= np.array(exact.low) + CLOSE)
    assert np.all(np.array(outer.usual) >= np.array(exact.usual) - CLOSE)
    for a, b in zip(outer_f, exact_f, strict=True):
        assert a.low <= b.low + CLOSE
        assert a.usual >= b.usual - CLOSE
    behind = [
        open_paternity.ways(low(p), open_paternity.open_behind(low(p), [i])) > 1 for i in range(len(p.names))
    ]
    assert outer.exact == (not any(behind))
    for i, r in enumerate(outer_f):  # an animal's own open sires alone are always gone through exactly
        parents = p.parents(i)
        assert r.exact == (not any(behind[q] for q in parents))


@settings(max_examples=sampled(25, 80), deadline=None)
@given(pedigrees(founders=True, lines=1))
def test_values_are_chances_and_the_readings_are_in_order(rows):
    p = built(rows)
    found = everything(p)
    lows, highs = np.array(found.low), np.array(found.high)
    assert np.all(lows <= np.array(found.usual) + CLOSE)
    assert np.all(np.array(found.usual) <= highs + CLOSE)
    assert np.all(lows >= 0)
    assert np.all(highs <= 1 + CLOSE)
    assert np.all(lows <= highs + CLOSE)
    np.testing.assert_allclose(lows, lows.T, atol=CLOSE)
    np.testing.assert_allclose(highs, highs.T, atol=CLOSE)
    for r in kinship.inbreeding(p):
        assert 0 <= r.low <= r.high + CLOSE <= 1 + 2 * CLOSE


@settings(max_examples=sampled(20, 60), deadline=None)
@given(pedigrees(most=20, open_sires=False))
def test_either_end_is_positive_semidefinite(rows):
    p = built(rows)
    for view in (low(p), usual_reading(p)):
        nodes = list(range(len(view.sire)))
        _, k = kinship_engine.kinships(view, (), nodes)
        assert np.linalg.eigvalsh(np.array(k)).min() > -1e-10


def test_the_semidefinite_check_can_fail():
    assert np.linalg.eigvalsh(np.array([[0.5, 0.6], [0.6, 0.5]])).min() < -1e-10


@settings(max_examples=sampled(20, 60), deadline=None)
@given(pedigrees(founders=True), st.randoms(use_true_random=False))
def test_order_and_names_do_not_matter(rows, shuffle):
    names = {row.animal: f"{k} of another house" for k, row in enumerate(rows)}
    names["?"] = "?"
    renamed = [
        r._replace(animal=names[r.animal], sires=tuple(names[s] for s in r.sires), dam=names.get(r.dam, ""))
        for r in rows
    ]
    shuffle.shuffle(renamed)
    p, q = built(rows), built(renamed)
    a, b = kinship.inbreeding(p), kinship.inbreeding(q)
    for row in rows:
        one, other = a[p.find(row.animal)], b[q.find(names[row.animal])]
        assert one[:2] == pytest.approx(other[:2], abs=CLOSE)
        assert one.high == pytest.approx(other.high, abs=1e-9)


@settings(max_examples=sampled(20, 60), deadline=None)
@given(pedigrees(founders=True))
def test_a_new_child_changes_no_older_f(rows):
    *before, last = rows
    p, q = built([*before, PedigreeRow(last.animal, (), "", last.sex, last.line, True)]), built(rows)
    older, newer = kinship.inbreeding(p), kinship.inbreeding(q)
    for row in before:
        new, old = newer[q.find(row.animal)], older[p.find(row.animal)]
        assert new[:2] == pytest.approx(old[:2], abs=CLOSE)
        # Without days the newest may be an unrecorded parent of the others as well.
        assert new.high >= old.high - 1e-9 or last.sires or last.dam


@pytest.mark.parametrize("seed", range(6))
def test_all_ways_of_computing_agree(seed):
    rng = random.Random(seed)
    rows = []
    for i in range(400):
        males, females = (
            [f"{j}" for j in range(max(0, i - 60), i, 2)],
            [f"{j}" for j in range(max(0, i - 60) | 1, i, 2)],
        )
        sire = (rng.choice(males),) if males and rng.random() < 0.9 else ()
        dam = rng.choice(females) if females and rng.random() < 0.9 else ""
        rows.append(
            PedigreeRow(
                f"{i}", sire, dam, line=rng.choice("AB"), founder=not sire and not dam and rng.random() < 0.5
            )
        )
    related = [
        (a, b, 0.1)
        for a, b in itertools.combinations([r.animal for r in rows if not r.sires and not r.dam][:3], 2)
    ]
    p = built(rows, related)
    for view in (low(p), usual_reading(p)):
        keep = rng.sample(range(len(view.sire)), 40)
        pairs = [(rng.randrange(len(view.sire)), rng.randrange(len(view.sire))) for _ in range(300)]
        results = [kinship_engine.kinships(view, pairs, keep, way) for way in kinship_engine.WAYS]
        for answers, matrix in results[1:]:
            assert answers == pytest.approx(results[0][0], abs=CLOSE)
            np.testing.assert_allclose(matrix, results[0][1], atol=CLOSE)
        own = [kinship_engine.diagonals(view, way) for way in kinship_engine.WAYS]
        assert own[1] == pytest.approx(own[0], abs=CLOSE)
        assert own[2] == pytest.approx(own[0], abs=CLOSE)
        # A·x without the matrix, against the matrix.
        x = [rng.random() for _ in view.sire]
        _, full = kinship_engine.kinships(view, (), list(range(len(view.sire))))
        got = product(view, kinship_engine.mendelian(view, own[0]), x)
        np.testing.assert_allclose(got, 2 * np.array(full) @ np.array(x), atol=1e-10)


def test_many_rows_at_once_are_traced_instead(monkeypatch):
    p = built(rows_of("a", "b", "c", "d", "e = a x b", "f = c x d", "g = e x f", "h = e x f", "i = g x h"))
    expected = inbreeding_low(p)
    monkeypatch.setattr(moving_front, "MOST_ROWS", 1)
    monkeypatch.setattr(moving_front, "MOST_ROWS_PLAIN", 1)
    plan = front_schedule.schedule(low(p), [(6, 7)])
    assert kinship_engine._way(plan) == "traced"
    assert inbreeding_low(p) == pytest.approx(expected, abs=CLOSE)
    assert expected[p.find("i")] == 0.25


def test_the_front_forgets_who_is_not_needed_any_more():
    rows = [PedigreeRow("m0"), PedigreeRow("f0")]
    for g in range(1, 200):
        rows += [
            PedigreeRow(f"m{g}", (f"m{g - 1}",), f"f{g - 1}"),
            PedigreeRow(f"f{g}", (f"m{g - 1}",), f"f{g - 1}"),
        ]
    p = built(rows)
    pairs = [(s, d) for s, d in zip(p.sire, p.dam, strict=True) if s >= 0]
    assert front_schedule.schedule(low(p), pairs).rows <= 7  # not 398


def test_declared_kinship_of_founders_counts_at_both_ends():
    rows = [PedigreeRow("a", founder=True), PedigreeRow("b", founder=True), PedigreeRow("c", ("a",), "b")]
    p = built(rows, [("a", "b", 0.125)])
    assert kinship.between(p, "a", "b").kinship == (0.125, 0.125, 0.125, True)
    assert kinship.inbreeding(p)[p.find("c")] == (0.125, 0.125, 0.125, True)
    undeclared = built(
        [PedigreeRow("a"), PedigreeRow("b"), PedigreeRow("c", ("a",), "b")], [("a", "b", 0.125)]
    )
    assert kinship.inbreeding(undeclared)[2] == pytest.approx((0.125, 0.125, 0.125, True))


def test_unknown_parents_are_never_read_as_unrelated_within_a_line():
    rows = [
        PedigreeRow("k1", line="KESTREL"),
        PedigreeRow("k2", line="KESTREL"),
        PedigreeRow("u1", line="UMBER"),
        PedigreeRow("c", ("k1",), "k2", line="KESTREL"),
    ]
    p = built(rows)
    assert kinship.between(p, "k1", "k2").kinship == (0.0, 0.25, 0.375, True)
    assert kinship.between(p, "k1", "u1").kinship == (0.0, 0.0, 0.0, True)
    assert kinship.inbreeding(p)[p.find("c")] == (0.0, 0.25, 0.375, True)


def test_an_unknown_sire_may_be_a_sib_of_a_founder_declared_unrelated():
    rows = [
        PedigreeRow("a", founder=True, sex="m"),
        PedigreeRow("d", founder=True, sex="f"),
        PedigreeRow("x", (), "d"),
    ]
    p = built(rows)
    # The sire of x may be a full sib of a: kinship 1/4, half of which reaches x.
    assert kinship.between(p, "a", "x").kinship[:2] == (0.0, 0.125)
    assert kinship.between(p, "a", "d").kinship == (0.0, 0.0, 0.0, True)


def test_offspring_of_one_group_range_from_other_parents_to_the_same_pair():
    rows = [
        PedigreeRow("g", sex=GROUP, line="BRAMBLE"),
        PedigreeRow("x", ("g",), "g", line="BRAMBLE"),
        PedigreeRow("y", ("g",), "g", line="BRAMBLE"),
    ]
    p = built(rows)
    found = kinship.between(p, "x", "y").kinship
    assert found.low == 0.0
    assert found.usual == pytest.approx(0.375)  # full sibs of two full sibs
    assert kinship.inbreeding(p)[p.find("x")][:2] == (0.0, 0.25)


def test_common_ancestors_add_up_and_name_wrights_paths():
    p = built(rows_of("s", "d1", "d2", "d3", "a = s x d1", "b = s x d2", "c = a x d3"))
    found = kinship.between(p, "c", "b")
    assert found.kinship.low == 0.0625
    assert [(x.name, x.adds, x.steps) for x in found.low_from] == [("s", 0.0625, (2, 1))]
    assert sum(x.adds for x in found.usual_from) == pytest.approx(found.kinship.usual, abs=CLOSE)
    assert {x.kind for x in found.usual_from} == {"animal", "unknown"}


@settings(max_examples=sampled(20, 60), deadline=None)
@given(pedigrees(founders=True))
def test_what_is_said_of_a_kinship_adds_up_to_it(rows):
    p = built(rows)
    a, b = p.names[-1], p.names[-2]
    if GROUP in (p.sex[-1], p.sex[-2]):
        return
    found = kinship.between(p, a, b)
    assert sum(x.adds for x in found.low_from) == pytest.approx(found.kinship.low, abs=CLOSE)
    assert sum(x.adds for x in found.usual_from) == pytest.approx(found.kinship.usual, abs=CLOSE)


def test_an_unknown_animal_is_answered_with_the_nearest_name():
    p = built(rows_of("UM-12", "UM-13"))
    with pytest.raises(NoSuchAnimal, match="Did you mean `UM-12`"):
        kinship.between(p, "UM-l2", "UM-13")


def test_the_written_out_oracle_tells_sibs_from_strangers():
    k = filled_in([-1, -1, 0, 0], [-1, -1, 1, 1])
    assert (k[2, 3], k[0, 1]) == (0.25, 0.0)


def test_a_small_pedigree_needs_no_numpy():
    code = (
        "import sys\n"
        "from rounds.analysis.pairing import pairing_plan\n"
        "from rounds.analysis.pedigree import colony, kinship, pedigree_text\n"
        "p, _ = pedigree_text.read(['animal,sire,dam', 'c,a,b', 'd,a,b', 'e,c,d'], 'x')\n"
        "assert kinship.inbreeding(p)[p.find('e')].low == 0.25\n"
        "assert not {'numpy', 'scipy', 'textual', 'peewee', 'pendulum'} & set(sys.modules), 'imported'\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_without_numpy_a_larger_pedigree_is_slower_and_the_same(monkeypatch):
    rng = random.Random(3)
    rows = [PedigreeRow(f"{i}") for i in range(40)]
    for i in range(40, 600):
        rows.append(
            PedigreeRow(f"{i}", (f"{rng.randrange(i - 40, i, 2)}",), f"{rng.randrange(i - 40, i) | 1}")
        )
    rows = [r if int(r.dam or 0) < int(r.animal) else r._replace(dam="") for r in rows]
    p = built(rows)
    expected = inbreeding_low(p)
    monkeypatch.setattr(front_schedule, "_PLAIN_CELL", 1.0)  # numpy would be the faster way
    plan = front_schedule.schedule(low(p), [(1, 2)])
    assert kinship_engine._way(plan) == "numpy"
    monkeypatch.setitem(sys.modules, "numpy", None)
    assert kinship_engine._way(plan) == "plain"
    assert inbreeding_low(p) == pytest.approx(expected, abs=CLOSE)
    monkeypatch.setattr(moving_front, "MOST_ROWS_PLAIN", 1)
    assert kinship_engine._way(plan) == "traced"
    assert inbreeding_low(p) == pytest.approx(expected, abs=CLOSE)


def test_one_listing_settles_only_so_many_and_bounds_the_rest(monkeypatch):
    p = built(
        rows_of("a", "b", "c", "d", "h = a|b x c", "k = a|b x d", "p = h x c", "q = k x d", "r = h x k")
    )
    exact = dict(zip(p.names, kinship.inbreeding(p), strict=True))
    assert all(r.exact for r in exact.values())
    monkeypatch.setattr(open_paternity, "MOST_SETTLED", 1)
    bounded = dict(zip(p.names, kinship.inbreeding(p), strict=True))
    assert {name for name, r in bounded.items() if not r.exact} == {"p", "q", "r"}
    for name, r in exact.items():
        assert bounded[name].low <= r.low
        assert bounded[name].usual >= r.usual


def test_bounds_that_would_need_too_many_rows_are_refused_or_say_nothing(monkeypatch):
    p = built(rows_of("a", "b", "c", "h = a|b x c", "p = h x c"))
    monkeypatch.setattr(open_paternity, "MOST_WAYS", 1)
    monkeypatch.setattr(moving_front, "MOST_ROWS_PLAIN", 1)
    assert kinship.inbreeding(p)[p.at["p"]] == (0.0, 1.0, 1.0, False)
    with pytest.raises(
        RoundsError, match="1 animals with more than one possible father stand behind these 2"
    ):
        kinship.matrix(p, ["h", "p"])


def test_a_deep_pedigree_tells_the_nearest_common_ancestors_and_sums_the_rest(monkeypatch):
    rows = [PedigreeRow("m0"), PedigreeRow("f0")]
    for g in range(1, 30):
        rows += [
            PedigreeRow(f"m{g}", (f"m{g - 1}",), f"f{g - 1}"),
            PedigreeRow(f"f{g}", (f"m{g - 1}",), f"f{g - 1}"),
        ]
    p = built(rows)
    found = kinship.between(p, "m29", "f29")
    assert [x.name for x in found.low_from[:2]] == ["f28", "m28"]
    monkeypatch.setattr(common_ancestors, "MOST_STEPS", 3)
    cut = kinship.between(p, "m29", "f29")
    assert {x.kind for x in cut.low_from} >= {"further back"}
    assert sum(x.adds for x in cut.low_from) == pytest.approx(found.kinship.low, abs=CLOSE)
