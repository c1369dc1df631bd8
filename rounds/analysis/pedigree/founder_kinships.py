"""Kinships of founders that the keeper declares: checked one by one, and together."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from math import sqrt

from rounds.analysis.pedigree import pedigree_sentences as sentences
from rounds.named_tuple import NamedTuple
from rounds.problems import Refusal

FOUNDER = 0.5
"""Kinship of a founder with itself, unless declared otherwise: (1 + F) / 2 with F = 0."""

_LEAST = -1e-9  # what rounding leaves of a pivot that is 0


class Declared(NamedTuple):
    """Kinships by the indices of two founders, sorted; and what is wrong."""

    kinships: dict[tuple[int, int], float]
    wrong: list[Refusal]


def declared(
    related: Iterable[tuple[str, str, float]], index: Mapping[str, int], founder: Callable[[int], bool]
) -> Declared:
    """Check pairs of founders and their kinship (0.25 for full sibs; an animal twice: with itself).

    ``index`` gives the animals, ``founder`` says whether one has no recorded parents.
    """
    out: dict[tuple[int, int], float] = {}
    wrong: list[Refusal] = []
    for first, second, kinship in related:
        a, b = _full(first, index), _full(second, index)
        for name in dict.fromkeys((a, b)):
            i = index.get(name)
            if i is None and len(fits := _fits(name, index)) > 1:
                wrong.append(sentences.number_of_several(name, tuple(fits)))
            elif i is None:
                wrong.append(sentences.not_in_pedigree(name, tuple(index)))
            elif not founder(i):
                wrong.append(sentences.no_founder(name))
        least, most = (0.5, 1.0) if a == b else (0.0, 0.75)
        if not least <= kinship <= most:
            wrong.append(sentences.no_such_kinship(a, b, kinship, least, most))
        if a in index and b in index:
            i, j = sorted((index[a], index[b]))
            # A value that is no number equals nothing, itself included.
            if not (out.setdefault((i, j), kinship) == kinship or kinship != kinship):
                wrong.append(sentences.declared_twice(a, b))
    if not wrong:
        wrong = list(_together(out, {i: name for name, i in index.items()} if out else {}))
    return Declared(out, wrong)


def _fits(name: str, index: Mapping[str, int]) -> list[str]:
    """The animals whose number a name is, without their line."""
    return [n for n in index if "/" in n and n.rpartition("/")[2] == name]


def _full(name: str, index: Mapping[str, int]) -> str:
    """A bare number as the one LINE/NUMBER it stands for; else as it is."""
    fits = [] if name in index else _fits(name, index)
    return fits[0] if len(fits) == 1 else name


def _together(kinships: Mapping[tuple[int, int], float], names: Mapping[int, str]) -> Iterable[Refusal]:
    """What cannot be true together: no two are closer than either is to itself, and the whole is a
    matrix of kinships only if it is positive semidefinite."""

    def of(i: int, j: int) -> float:
        return kinships.get((min(i, j), max(i, j)), FOUNDER if i == j else 0.0)

    pairs = [(i, j) for i, j in kinships if i != j]
    close = [(i, j) for i, j in pairs if of(i, j) > sqrt(of(i, i) * of(j, j)) + 1e-12]
    for i, j in close:
        yield sentences.closer_than_to_itself(names[i], names[j], of(i, j), of(i, i), of(j, j))
    if close:
        return
    for group in _groups(pairs):
        if not _semidefinite([[of(i, j) for j in group] for i in group]):
            yield sentences.not_all_true(tuple(names[i] for i in group))


def _groups(pairs: Sequence[tuple[int, int]]) -> list[list[int]]:
    """Those tied to each other by some pair, directly or through others."""
    beside: dict[int, list[int]] = {}
    for i, j in pairs:
        beside.setdefault(i, []).append(j)
        beside.setdefault(j, []).append(i)
    seen: set[int] = set()
    out = []
    for start in sorted(beside):
        if start in seen:
            continue
        group = [start]
        seen.add(start)
        for i in group:  # grows while it is walked
            fresh = [j for j in beside[i] if j not in seen]
            seen.update(fresh)
            group += dict.fromkeys(fresh)
        out.append(sorted(group))
    return out


def _semidefinite(m: list[list[float]]) -> bool:
    """Whether a symmetric matrix has no negative eigenvalue: by elimination, the largest pivot next. O(n³)."""
    m = [row.copy() for row in m]
    left = list(range(len(m)))
    while left:
        k = max(left, key=lambda i: m[i][i])
        pivot = m[k][k]
        left.remove(k)
        if min((m[i][i] for i in left), default=0.0) < _LEAST or pivot < _LEAST:
            return False
        if pivot <= -_LEAST:  # nothing left on the diagonal: nothing may be left beside it
            return all(abs(m[i][j]) <= 1e-6 for i in (k, *left) for j in (k, *left))
        for i in left:
            share = m[i][k] / pivot
            for j in left:
                m[i][j] -= share * m[k][j]
    return True
