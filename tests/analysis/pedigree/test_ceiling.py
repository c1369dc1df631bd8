"""Kinship at most, against every way to fill in the unrecorded parents of small pedigrees."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest

from rounds.analysis.pedigree import ceiling, kinship, kinship_rows
from rounds.analysis.pedigree.pedigree_table import GROUP, Life, PedigreeRow
from rounds.analysis.pedigree.unrecorded_parents import is_open, sire_is_open
from tests.analysis.pedigree.pedigree_cases import built, filled_in, rows_of

CLOSE = 1e-9
NOBODY = "nobody related"


def erased(draw: random.Random, dated: bool):
    """A bred colony of 4 to 7 animals of which one to three parents were never written down."""
    n = draw.randint(4, 7)
    sex = ["m", "f", *(draw.choice("mf") for _ in range(n - 2))]
    rows = []
    for i in range(n):
        males, females = ([j for j in range(i) if sex[j] == x] for x in "mf")
        sire = dam = ""
        if i >= 2 and draw.random() < 0.9:
            sire, dam = f"a{draw.choice(males)}", f"a{draw.choice(females)}"
        laid = 10 * i + draw.randint(0, 12)
        days = Life(10 * i, laid, 10 * i + 8, 10 * i + draw.randint(20, 60), laid + 5, bred_here=i % 2 == 1)
        rows.append(
            PedigreeRow(
                f"a{i}",
                (sire,) if sire else (),
                dam,
                sex[i],
                "L",
                i < 2 and draw.random() < 0.6,
                life=days if dated else None,
            )
        )
    left = 4 - sum(not r.founder and not r.sires for r in rows) * 2
    bred = [i for i, r in enumerate(rows) if r.sires]
    draw.shuffle(bred)
    for i in bred[: max(0, left)]:
        rows[i] = rows[i]._replace(**draw.choice([{"sires": ()}, {"dam": ""}]))
    return rows


def eligible(p, i, role):
    """The animals that may be a parent of ``i``, by the definition alone."""
    mine = p.lives.get(i, Life())
    out = []
    for x in range(len(p.names)):
        theirs = p.lives.get(x, Life())
        if x == i or p.sex[x] == ("f" if role == "sire" else "m"):
            continue
        if mine.laid_to is not None and theirs.mature_from is not None:
            if theirs.mature_from > mine.laid_to:
                continue
            dam = p.lives.get(p.dam[i], Life()) if p.dam[i] >= 0 else None
            since = mine.laid_from if role == "dam" else mine.laid_from - 300
            if role == "sire" and dam is not None and dam.mature_from is not None:
                since = dam.mature_from
            if theirs.alive_to < since:
                continue
        surely = None not in (theirs.grown_by, mine.laid_to) and theirs.grown_by <= mine.laid_to
        if not p.parents(i) and not mine.bred_here and not surely:  # a founder: no elder was surely grown
            continue
        out.append(x)
    return out


def completions(p):
    """Kinship among the animals of ``p``, once for every way to fill in its open parents.

    An open parent is a new animal, one of the founders' parents (an unrelated couple), one sib of
    the founders (one that several may share), or an animal of the pedigree.
    """
    n = len(p.names)
    slots = [(i, "sire") for i in range(n) if is_open(p, i) and sire_is_open(p, i)]
    slots += [(i, "dam") for i in range(n) if is_open(p, i) and p.dam[i] < 0]
    choices = [[NOBODY, "parent", "sib", *eligible(p, *slot)] for slot in slots]
    # 0 and 1: the founders' parents; 2 and 3: a male and a female sib; animals from 4 on.
    for chosen in itertools.product(*choices):
        sire = [-1, -1, 0, 0, *(s + 4 if s >= 0 else -1 for s in p.sire)]
        dam = [-1, -1, 1, 1, *(d + 4 if d >= 0 else -1 for d in p.dam)]
        for (i, role), x in zip(slots, chosen, strict=True):
            into, couple = (sire, 0) if role == "sire" else (dam, 1)
            into[i + 4] = {NOBODY: -1, "parent": couple, "sib": 2 + couple}.get(
                x, x + 4 if x.__class__ is int else x
            )
        order = sorted_parents_first(sire, dam)
        if order is None or any(s == d >= 0 for s, d in zip(sire, dam, strict=True)):
            continue
        new = {old: k for k, old in enumerate(order)} | {-1: -1}
        k = filled_in([new[sire[i]] for i in order], [new[dam[i]] for i in order])
        at = [new[i + 4] for i in range(n)]
        yield k[np.ix_(at, at)]


def sorted_parents_first(sire, dam):
    order, seen = [], {-1}
    while len(order) < len(sire):
        ready = [i for i in range(len(sire)) if i not in seen and sire[i] in seen and dam[i] in seen]
        if not ready:
            return None
        order += ready
        seen.update(ready)
    return order


@pytest.mark.parametrize("dated", [False, True])
def test_no_way_to_fill_in_parents_lies_above_at_most(dated):
    draw = random.Random(7)
    above_usual = asked = 0
    for _ in range(16):
        p = built(erased(draw, dated))
        ways = list(completions(p))
        most = np.max(ways, axis=0)
        found = kinship.matrix(p, p.names)
        assert np.all(np.array(found.high) >= most - CLOSE), p
        assert np.all(np.array(found.high) >= np.array(found.usual) - CLOSE)
        assert np.all(np.array(found.high) <= 1 + CLOSE)
        for i, f in enumerate(kinship.inbreeding(p)):
            assert f.high >= 2 * most[i, i] - 1 - CLOSE, (p, p.names[i])
            asked += 1
            above_usual += f.usual < 2 * most[i, i] - 1 - CLOSE
    # The usual reading is no ceiling: the same check finds that of it.
    assert above_usual > asked / 10


def test_one_open_parent_gives_what_the_worst_way_gives():
    """With one parent open and days known the ceiling is reached, not only safe."""
    draw = random.Random(11)
    for _ in range(40):
        rows = erased(draw, dated=True)
        rows = [r._replace(founder=True) if not r.sires and not r.dam else r for r in rows]
        opened = [i for i, r in enumerate(rows) if not r.founder and not (r.sires and r.dam)]
        rows = [r._replace(founder=False) for r in rows]
        if len(opened) != 1:
            continue
        p = built([r._replace(founder=not r.sires and not r.dam) for r in rows])
        i = p.at[rows[opened[0]].animal]
        most = max(k[i, i] for k in completions(p))
        assert kinship.inbreeding(p)[i].high == pytest.approx(2 * most - 1, abs=CLOSE)


FULL_SIBS = (
    "c = a x b", "d = a x b", "e = c x d", "f = c x d", "g = e x f", "h = e x f", "i = g x h", "j = g x h",
)  # fmt: skip


def test_a_dam_of_sib_matings_with_an_unrecorded_sire():
    """Her full sib may be the sire: F .594, the fifth of the series of full sibs (.25 .375 .5 .594 …).

    The series stands in any handbook of breeding, e.g. Falconer & Mackay 1996, Introduction to
    Quantitative Genetics, table 5.1 (from memory).
    """
    rows = rows_of("a", "b", *FULL_SIBS, "x = ? x j")
    sexes = dict.fromkeys("acegi", "m") | dict.fromkeys("bdfhj", "f")
    rows = [r._replace(sex=sexes.get(r.animal, ""), founder=r.animal in "ab") for r in rows]
    p = built(rows)
    f = kinship.inbreeding(p)
    assert [f[p.at[x]].high for x in "egi"] == [0.25, 0.375, 0.5]
    assert f[p.at["x"]] == pytest.approx((0.0, 0.25, 0.59375, True))


def test_an_animal_from_outside_has_no_parent_of_the_house():
    """Bought animals are at most full sibs, of parents that were full sibs: F .25, kinship .375."""
    outside = Life(outside=True)
    p = built(
        [PedigreeRow("a", sex="m", line="L", life=outside), PedigreeRow("b", sex="f", line="L", life=outside)]
    )
    assert [f.high for f in kinship.inbreeding(p)] == [0.25, 0.25]
    assert kinship.matrix(p, ("a", "b")).high[0][1] == 0.375
    elder = Life(mature_from=100, grown_by=130)
    late = Life(laid_to=150, mature_from=300, grown_by=310)
    q = built(
        [
            PedigreeRow("a", sex="m", line="L", life=elder),
            PedigreeRow("b", sex="f", line="L", life=late),
            PedigreeRow("c", sex="f", line="L", life=late._replace(laid_to=120)),
        ]
    )
    # a was grown before b was laid and may be her father; before c that is not certain.
    assert [f.high for f in kinship.inbreeding(q)] == [0.25, 0.375, 0.25]


def test_a_parent_of_another_line_is_not_thought_of():
    rows = [
        PedigreeRow("m", sex="m", line="K", founder=True),
        PedigreeRow("d", ("m",), sex="f", line="L", dam="e"),
        PedigreeRow("e", sex="f", line="L", founder=True),
        PedigreeRow("x", (), "d", line="L"),
    ]
    # Her sire is of another line: the sib of her dam, a founder of line L, is the closest there can be.
    assert kinship.inbreeding(p := built(rows))[p.at["x"]].high == 0.125
    rows[0] = rows[0]._replace(line="L")
    assert kinship.inbreeding(p := built(rows))[p.at["x"]].high == 0.25


def test_a_doubted_label_takes_the_worst_of_its_line():
    rows = rows_of("a", "b", "c = a x b", "d = a x b", "v", "w = ? x ?")
    sexes = {"a": "m", "b": "f", "c": "m", "d": "f", "v": "m", "w": "f"}
    rows = [r._replace(sex=sexes[r.animal], line="L", founder=r.animal in "abvw") for r in rows]
    sure = kinship.matrix(built(rows), ("v", "d"))
    assert sure.high[0][1] == 0.0
    rows[4] = rows[4]._replace(doubt="its label may have been swapped")
    doubted = kinship.matrix(built(rows), ("v", "d"))
    assert doubted.low[0][1] == doubted.usual[0][1] == 0.0
    assert doubted.high[0][1] >= 0.25  # it may be her full sib c


def test_many_alike_are_two_of_them():
    """Brood-mates nobody bred from stand for each other: the answers are those of all of them."""
    dam = [PedigreeRow("a", sex="m", line="L", founder=True), PedigreeRow("d", ("a",), "e", "f", "L")]
    dam.append(PedigreeRow("e", sex="f", line="L", founder=True))
    sibs = [PedigreeRow(f"s{k}", ("a",), "e", "m", "L") for k in range(40)]
    few = built([*dam, *sibs[:2], PedigreeRow("x", (), "d", line="L")])
    many = built([*dam, *sibs, PedigreeRow("x", (), "d", line="L")])
    assert kinship.inbreeding(few)[few.at["x"]].high == kinship.inbreeding(many)[many.at["x"]].high == 0.25
    assert len(ceiling.Ceiling(many, (), [many.at["x"]]).nodes) < 15


def test_groups_may_be_parents():
    rows = [
        PedigreeRow("g", (), "", GROUP, "L", founder=True),
        PedigreeRow("h", ("g",), "g", GROUP, "L"),
        PedigreeRow("x", (), "", "m", "L"),
    ]
    p = built(rows)
    assert kinship.inbreeding(p)[p.at["x"]].high >= kinship.inbreeding(p)[p.at["h"]].usual


def test_plain_python_and_numpy_agree(monkeypatch):
    draw = random.Random(3)
    for dated in (False, True):
        p = built(erased(draw, dated))
        answers = []
        for rows in (kinship_rows.PlainRows, kinship_rows.NumpyRows):
            monkeypatch.setattr(ceiling, "rows_for", lambda size, most, rows=rows: rows(size))
            answers.append(kinship.matrix(p, p.names).high)
        np.testing.assert_allclose(*answers, atol=1e-12)


def test_too_many_animals_say_nothing(monkeypatch):
    monkeypatch.setattr(ceiling, "MOST_NODES", 2)
    p = built(rows_of("a", "b", "c = a x b", "d = ? x c"))
    assert kinship.inbreeding(p)[p.at["d"]].high == 1.0
