"""A square table of kinships that rows are entered into and raised in: in plain Python, or with numpy."""

from __future__ import annotations

import sys
from collections.abc import Collection, Sequence
from typing import Any, Protocol

SMALL = 120
"""Up to so many rows plain Python is done before numpy is imported."""

NO_PAIR = -1.0
"""The largest kinship of no pair at all."""


class Rows(Protocol):
    """A symmetric n × n table, all 0 at first."""

    size: int

    def mean(self, sires: Sequence[int], dams: Sequence[int]) -> Any:
        """Half the largest of the rows of ``sires`` plus half that of ``dams``, column by column; no row is 0."""

    def pair(self, sires: Sequence[int], dams: Sequence[int]) -> float:
        """The largest value of a sire and a dam that are not the same; :data:`NO_PAIR` where there are none."""

    def enter(self, k: int, row: Any, own: float) -> None:
        """Write a row and its column, with ``own`` where they cross."""

    def lift(self, k: int, row: Any, own: float, skip: Collection[int]) -> float:
        """Raise a row and its column, the columns of ``skip`` left alone, to a new one; by how much at most."""

    def get(self, a: int, b: int) -> float:
        """One value."""

    def square(self, which: Sequence[int]) -> list[list[float]]:
        """The values among some rows."""

    def put(self, a: int, b: int, value: float) -> None:
        """Write one value, on both sides."""


def rows_for(size: int, most_plain: int) -> Rows:
    """A table of ``size`` rows; without numpy one of none where there are more than ``most_plain``."""
    if size <= SMALL and "numpy" not in sys.modules:
        return PlainRows(size)
    try:
        return NumpyRows(size)
    except ImportError:  # an install without the analysis extra
        return PlainRows(size if size <= most_plain else 0)


class PlainRows:
    """The table as lists."""

    def __init__(self, size: int) -> None:
        self.size = size
        self.m = [[0.0] * size for _ in range(size)]

    def mean(self, sires: Sequence[int], dams: Sequence[int]) -> list[float]:
        return [(a + b) / 2 for a, b in zip(self._most(sires), self._most(dams), strict=True)]

    def _most(self, which: Sequence[int]) -> list[float]:
        if not which:
            return [0.0] * self.size
        if len(which) == 1:
            return self.m[which[0]]
        return list(map(max, *(self.m[i] for i in which)))

    def pair(self, sires: Sequence[int], dams: Sequence[int]) -> float:
        return max((self.m[s][d] for s in sires for d in dams if s != d), default=NO_PAIR)

    def enter(self, k: int, row: list[float], own: float) -> None:
        row = list(row)
        row[k] = own
        self.m[k] = row
        for other, value in zip(self.m, row, strict=True):
            other[k] = value

    def lift(self, k: int, row: list[float], own: float, skip: Collection[int]) -> float:
        mine, most = self.m[k], 0.0
        for j, value in enumerate(row):
            if value > mine[j] and j not in skip:
                most = max(most, value - mine[j])
                mine[j] = self.m[j][k] = value
        if own > mine[k]:
            most = max(most, own - mine[k])
            mine[k] = own
        return most

    def get(self, a: int, b: int) -> float:
        return self.m[a][b]

    def square(self, which: Sequence[int]) -> list[list[float]]:
        return [[self.m[a][b] for b in which] for a in which]

    def put(self, a: int, b: int, value: float) -> None:
        self.m[a][b] = self.m[b][a] = value


class NumpyRows:
    """The table as an array. Raises ImportError without numpy."""

    def __init__(self, size: int) -> None:
        import numpy

        self.size = size
        self.np: Any = numpy
        self.m: Any = numpy.zeros((size, size))

    def mean(self, sires: Sequence[int], dams: Sequence[int]) -> Any:
        return (self._most(sires) + self._most(dams)) / 2

    def _most(self, which: Sequence[int]) -> Any:
        if not which:
            return self.np.zeros(self.size)
        return self.m[which[0]] if len(which) == 1 else self.m[list(which)].max(axis=0)

    def pair(self, sires: Sequence[int], dams: Sequence[int]) -> float:
        if not sires or not dams:
            return NO_PAIR
        np = self.np
        some = self.m[np.ix_(list(sires), list(dams))]
        some[np.array(sires)[:, None] == np.array(dams)[None, :]] = NO_PAIR
        return float(some.max())

    def enter(self, k: int, row: Any, own: float) -> None:
        self.m[k] = row
        self.m[:, k] = row
        self.m[k, k] = own

    def lift(self, k: int, row: Any, own: float, skip: Collection[int]) -> float:
        before = self.m[k].copy()
        raised = self.np.maximum(before, row)
        left = list(skip)
        raised[left] = before[left]
        raised[k] = max(own, before[k])
        self.m[k] = raised
        self.m[:, k] = raised
        return float((raised - before).max())

    def get(self, a: int, b: int) -> float:
        return float(self.m[a, b])

    def square(self, which: Sequence[int]) -> list[list[float]]:
        found: list[list[float]] = self.m[self.np.ix_(list(which), list(which))].tolist()
        return found

    def put(self, a: int, b: int, value: float) -> None:
        self.m[a, b] = self.m[b, a] = value
