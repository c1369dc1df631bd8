"""Kinship without a table: tracing one mating's ancestors at a time, in little memory.

A = T D T': each animal's variance is what its ancestors' Mendelian variances D bring to it.
Meuwissen & Luo (1992) trace that for one animal after another, youngest ancestor first;
Colleau (2002) multiplies A by a vector in two passes without forming A. Used where the
moving front would need too many rows, for mean kinships, and to check the front by another
road.
"""

from __future__ import annotations

import heapq
from collections.abc import Sequence

from rounds.analysis.pedigree.worlds import SHARED, View


class Traced:
    """Kinships of one view, with everything found so far remembered by mating.

    Sires must be settled: an open sire counts as unrelated.
    """

    def __init__(self, view: View) -> None:
        self.view = view
        self.known: dict[tuple[int, int], float] = {}
        self.own: dict[int, float] = {-1: 0.0}  # A(i, i)
        self.mendel: dict[int, float] = {}  # D(i)
        self.tied: dict[int, list[tuple[int, float]]] = {}
        for (i, j), e in view.extra.items():
            self.tied.setdefault(i, []).append((j, e))
            self.tied.setdefault(j, []).append((i, e))

    def kinship(self, a: int, b: int) -> float:
        """Kinship of two nodes."""
        return self._between(a, b) / 2

    def variance(self, i: int) -> float:
        """D(i): the part of A(i, i) that does not come from the parents."""
        self._settle([i])
        return self.mendel[i]

    def _between(self, a: int, b: int) -> float:
        """A(a, b), by the variance of their imagined offspring."""
        if a < 0 or b < 0:
            return 0.0
        key = (a, b) if a < b else (b, a)
        found = self.known.get(key)
        if found is None:
            self._settle(key)
            found = self.known[key] = self._trace(a, b)
        return found

    def _settle(self, wanted: Sequence[int]) -> None:
        """Find D and A(i, i) of all ancestors, oldest first, without recursion."""
        missing: set[int] = set()
        stack = [i for i in wanted if i not in self.own]
        sire, dam = self.view.sire, self.view.dam
        while stack:
            i = stack.pop()
            if i in missing:
                continue
            missing.add(i)
            stack.extend(p for p in (sire[i], dam[i]) if p not in self.own and p not in missing)
        for i in sorted(missing):
            s, d = sire[i], dam[i]
            parents = (self.own[s] + self.own[d]) / 4
            given = self.view.diag.get(i)
            if given is not None and given != SHARED and s < 0 and d < 0:
                self.own[i], self.mendel[i] = given, given
                continue
            key = (s, d) if s < d else (d, s)
            if s < 0 or d < 0:
                both = 0.0
            else:
                found = self.known.get(key)
                if found is None:
                    found = self.known[key] = self._trace(s, d)
                both = found
            if given is None:
                self.own[i] = 1 + both / 2
            elif given == SHARED:
                self.own[i] = parents + both / 2
            else:
                self.own[i] = given
            self.mendel[i] = self.own[i] - parents - both / 2

    def _trace(self, a: int, b: int) -> float:
        """A(a, b) = 2 (sum over ancestors c of share(c)² D(c) − (A(a, a) + A(b, b)) / 4)."""
        sire, dam, mendel = self.view.sire, self.view.dam, self.mendel
        share = {a: 0.5}
        share[b] = share.get(b, 0.0) + 0.5
        heap = [-i for i in share]
        heapq.heapify(heap)
        total = 0.0
        met: dict[int, float] = {}
        while heap:
            i = -heapq.heappop(heap)
            x = share.pop(i)
            total += x * x * mendel[i]
            if i in self.tied:
                met[i] = x
            x /= 2
            for p in (sire[i], dam[i]):
                if p >= 0:
                    if p in share:
                        share[p] += x
                    else:
                        share[p] = x
                        heapq.heappush(heap, -p)
        for i, x in met.items():
            total += x * sum(e * met[j] for j, e in self.tied[i] if j in met)
        return 2 * (total - (self.own[a] + self.own[b]) / 4)


def product(view: View, mendel: Sequence[float], x: Sequence[float]) -> list[float]:
    """A·x over all nodes, given every node's D: two passes (Colleau 2002). O(nodes)."""
    n = len(view.sire)
    sire, dam = view.sire, view.dam
    down = [*x, 0.0]  # the last place, index −1, takes what goes to unknown parents
    for i in range(n - 1, -1, -1):
        half = down[i] / 2
        if half:
            down[sire[i]] += half
            down[dam[i]] += half
    out = [v * m for v, m in zip(down, mendel, strict=False)]
    out.append(0.0)
    for (i, j), e in view.extra.items():
        out[i] += e * down[j]
        out[j] += e * down[i]
    for i in range(n):
        out[i] += (out[sire[i]] + out[dam[i]]) / 2
    out.pop()
    return out
