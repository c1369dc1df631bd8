"""Pedigrees for tests, and a second road to every kinship: everything written out in full.

The oracle here shares no code with the product: unknown parents, lines' founders and
members of groups become explicit animals, and the whole matrix is filled in by the
definition.
"""

from __future__ import annotations

import itertools

import numpy as np
from hypothesis import strategies as st

from rounds.analysis.pedigree.kinship_engine import kinships
from rounds.analysis.pedigree.pedigree_checks import build
from rounds.analysis.pedigree.pedigree_table import GROUP, SOMEONE, Pedigree, PedigreeRow
from rounds.analysis.pedigree.worlds import SHARED, low
from rounds.problems import Problem


def built(rows: list[PedigreeRow], related=()) -> Pedigree:
    pedigree, problems = build(rows, "rows", None, related)
    assert pedigree is not None, "\n".join(map(str, problems))
    return pedigree


def rows_of(*parents: str) -> list[PedigreeRow]:
    """``rows_of("a", "b", "c = a x b")``; ``?`` for an unknown parent, ``a|b`` for several sires."""
    out = []
    for text in parents:
        name, _, rest = text.partition("=")
        sire, _, dam = (part.strip() for part in rest.partition(" x "))
        sires = tuple(sire.split("|")) if sire not in ("", "?") else ()
        out.append(PedigreeRow(name.strip(), sires, "" if dam == "?" else dam))
    return out


def inbreeding_low(p: Pedigree, way: str = "") -> list[float]:
    """F of every animal where parents that nobody recorded are unrelated, by one of the engine's ways."""
    view = low(p)
    matings = list(zip(view.sire, view.dam, strict=True))
    out = list(kinships(view, matings, (), way)[0])
    for i, own in view.diag.items():
        if own != SHARED:
            out[i] = max(0.0, own - 1)
    return out


def filled_in(
    sire: list[int], dam: list[int], declared: dict[tuple[int, int], float] | None = None
) -> np.ndarray:
    """The kinship matrix of explicit animals, parents first, by the definition."""
    n = len(sire)
    k = np.zeros((n + 1, n + 1))
    for i in range(n):
        k[i] = k[:, i] = (k[sire[i]] + k[dam[i]]) / 2
        k[-1] = k[:, -1] = 0
        k[i, i] = (1 + k[sire[i], dam[i]]) / 2
        for (a, b), value in (declared or {}).items():
            if i in (a, b) and max(a, b) <= i:
                k[a, b] = k[b, a] = value
    return k[:-1, :-1]


def written_out(
    p: Pedigree, high: bool, open_sires: frozenset[int] = frozenset()
) -> tuple[np.ndarray, list[int]]:
    """Kinships with every unknown animal written out; and where each animal of ``p`` is.

    An animal in ``open_sires`` is no founder even where its sire is settled as someone unknown.
    """
    sire: list[int] = []
    dam: list[int] = []

    def add(s: int, d: int) -> int:
        sire.append(s)
        dam.append(d)
        return len(sire) - 1

    couples: dict[str, tuple[int, int]] = {}

    def couple(line: str) -> tuple[int, int]:
        if line not in couples:
            couples[line] = (add(-1, -1), add(-1, -1))
        return couples[line]

    at: list[int] = []
    females: dict[int, int] = {}

    def member(g: int) -> int:
        """Another member of a group, whose parents are, where they are groups, other members again."""
        return add(*parents_of(g))

    def parents_of(i: int) -> tuple[int, int]:
        both = []
        for parent, role in ((p.sire[i], "sire"), (p.dam[i], "dam")):
            if parent >= 0:
                if p.sex[parent] != GROUP:
                    both.append(at[parent])
                elif high:
                    both.append(females[parent] if role == "dam" else at[parent])
                else:
                    both.append(member(parent))
            elif high and (p.parents(i) or i in open_sires):
                both.append(add(*couple(p.line[i])))  # an unknown parent: another full sib of the founders
            else:
                both.append(-1)
        if high and not p.parents(i) and i not in p.founders and i not in open_sires:
            return couple(p.line[i])
        return both[0], both[1]

    for i in range(len(p.names)):
        s, d = parents_of(i)
        at.append(add(s, d))
        females[i] = add(s, d) if p.sex[i] == GROUP else at[-1]
    return filled_in(sire, dam), at


def settled(p: Pedigree) -> list[Pedigree]:
    """The pedigree once for every way to settle its open sires."""
    open_ones = sorted(p.sires)
    out = []
    for choice in itertools.product(*(p.sires[i] for i in open_ones)):
        sire = p.sire.copy()
        for i, s in zip(open_ones, choice, strict=True):
            sire[i] = s
        out.append(p._replace(sire=sire, sires={}))
    return out


@st.composite
def pedigrees(
    draw, most: int = 14, lines: int = 2, groups: bool = True, open_sires: bool = True, founders: bool = False
):
    """Small pedigrees of every kind the product takes, as rows with parents first."""
    n = draw(st.integers(2, most))
    rows: list[PedigreeRow] = []
    sex = draw(st.lists(st.sampled_from("mfmfmfg" if groups else "mf"), min_size=n, max_size=n))
    opened = 0
    for i in range(n):
        males = [f"a{j}" for j in range(i) if sex[j] in "mg"]
        females = [f"a{j}" for j in range(i) if sex[j] in "fg"]
        sires: tuple[str, ...] = ()
        if males and draw(st.integers(0, 4)):
            sires = (draw(st.sampled_from(males)),)
            plain = [m for m in males if sex[int(m[1:])] == "m"]
            if open_sires and opened < 3 and len(plain) > 1 and not draw(st.integers(0, 3)):
                sires = tuple(draw(st.permutations(plain))[: draw(st.integers(2, 3))])
                if draw(st.booleans()):
                    sires = (*sires[:1], SOMEONE)
                opened += 1
        dam = draw(st.sampled_from(females)) if females and draw(st.integers(0, 4)) else ""
        line = f"line {draw(st.integers(1, lines))}"
        founder = founders and not sires and not dam and draw(st.booleans())
        rows.append(PedigreeRow(f"a{i}", sires, dam, GROUP if sex[i] == "g" else sex[i], line, founder))
    return rows


def warnings(problems: list[Problem]) -> list[Problem]:
    """Those problems that do not stop the computing."""
    return [p for p in problems if p.message.startswith("Check this:")]
