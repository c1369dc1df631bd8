"""What a plan is judged by: mean kinship of the next generation, and F within it.

With ``n`` the offspring groups each candidate is parent of and ``k`` the pairs, each parent
contributes ``c = n / 2k`` to the offspring, whose mean kinship is ``c'Kc`` (K with each
animal's kinship to itself, (1 + F) / 2, on its diagonal). Animals that stay beside the
offspring count with their share ``s`` of the generation. A plan is the better the smaller

    s² KSS + 2 s (1 − s) c'KS + (1 − s)² c'Kc + w × mean (F + a) of the chosen pairs

with a the share of the days wanted together that a pair will not have, KSS the mean kinship of
those who stay and KS each candidate's with them: contributions and matings in one step (Meuwissen
1997, J. Anim. Sci. 75; Caballero & Toro 2000, Genet. Res. 75; Fernández, Toro & Caballero 2001,
Anim. Biodivers. Conserv. 24.2). Kinships are those of the reading that pairs are ranked by: what
they are at most unless another is asked for, so that unknown parents are never rewarded.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from rounds.named_tuple import NamedTuple

Cell = tuple[int, int]
"""A male's place among the males and a female's among the females."""

Enough = Callable[[], bool]
"""Has whoever waits for a search had enough of it? Then it gives the best it has found so far."""


def never() -> bool:
    """Search to the end."""
    return False


Array = Any  # of numpy, which is imported only while a plan is worked out


class Score(NamedTuple):
    """The parts of what a plan is judged by, their weighted sum, and the part of it for days not awake together."""

    kinship: float
    inbreeding: float
    total: float
    days: float = 0.0


class NextGeneration(NamedTuple):
    """All that scores a plan of ``pairs`` pairs.

    ``kinship`` is (males + females) square, males first. ``linear`` (one a candidate) and
    ``square`` turn numbers of offspring groups n into mean kinship: ``fixed + linear·n +
    square × n'Kn``. ``f`` is males × females; ``weight`` is w; ``each`` is what a pair costs by itself,
    w × (F + a).
    """

    kinship: Array
    f: Array
    linear: Array
    fixed: float
    square: float
    weight: float
    pairs: int
    each: Array

    @property
    def males(self) -> int:
        """How many males there are: females follow them in every array."""
        return int(self.f.shape[0])

    def groups(self, cells: Iterable[Cell]) -> Array:
        """Offspring groups of each candidate under a plan."""
        import numpy as np

        n = np.zeros(len(self.kinship))
        for i, j in cells:
            n[i] += 1
            n[self.males + j] += 1
        return n

    def score(self, cells: Sequence[Cell]) -> Score:
        """What a plan of ``pairs`` cells costs; no cells cost nothing but what stays."""
        n = self.groups(cells)
        kinship = float(self.fixed + self.linear @ n + self.square * (n @ self.kinship @ n))
        inbreeding = float(sum(self.f[i, j] for i, j in cells)) / max(1, self.pairs)
        each = float(sum(self.each[i, j] for i, j in cells)) / max(1, self.pairs)
        return Score(kinship, inbreeding, kinship + each, each - self.weight * inbreeding)


def next_generation(
    kinship: Array,
    males: int,
    pairs: int,
    weight: float,
    *,
    days_missed: Sequence[Sequence[float]] = (),
    stay_kinship: Array | None = None,
    stay_mean: float = 0.0,
    stay_share: float = 0.0,
) -> NextGeneration:
    """The score of plans of ``pairs`` pairs among candidates, males first in ``kinship``.

    ``days_missed`` is a, males × females (0 unless given). ``stay_kinship`` is each candidate's mean
    kinship with those who stay, ``stay_mean`` theirs among themselves, ``stay_share`` their share of
    the next generation (0 to 1).
    """
    import numpy as np

    k = np.asarray(kinship, dtype=float).reshape(len(kinship), len(kinship))
    each = 1.0 / (2 * max(1, pairs))
    come = 1.0 - stay_share
    with_them = np.zeros(len(k)) if stay_kinship is None else np.asarray(stay_kinship, dtype=float)
    f = k[:males, males:]
    apart = (
        np.zeros(f.shape) if not len(days_missed) else np.asarray(days_missed, dtype=float).reshape(f.shape)
    )
    return NextGeneration(
        kinship=k,
        f=f,
        linear=2 * stay_share * come * each * with_them,
        fixed=stay_share**2 * stay_mean,
        square=(come * each) ** 2,
        weight=weight,
        pairs=pairs,
        each=weight * (f + apart),
    )


class Limits(NamedTuple):
    """Which plans there are: ``allowed`` is males × females, ``uses`` how often each male at most.

    ``forced`` cells are in every plan; of each wish (its cells, at least how many) so many are.
    """

    allowed: Array
    uses: tuple[int, ...]
    forced: frozenset[Cell] = frozenset()
    wishes: tuple[tuple[frozenset[Cell], int], ...] = ()

    def hold(self, cells: Sequence[Cell]) -> bool:
        """Is this one of the plans?"""
        sires, dams = [i for i, _ in cells], [j for _, j in cells]
        return (
            len(set(dams)) == len(dams)
            and all(sires.count(i) <= self.uses[i] for i in set(sires))
            and all(self.allowed[i, j] for i, j in cells)
            and self.forced <= set(cells)
            and all(sum(c in wish for c in cells) >= least for wish, least in self.wishes)
        )
