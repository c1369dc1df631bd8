"""A colony as a whole: how related its living animals are, and what keeps it going.

Definitions (each figure names its own on the screen):

- mean kinship of an animal: mean of its kinship with every living animal, itself included;
- gene diversity: 1 − mean of the mean kinships (share of the founders' heterozygosity);
- founder genome equivalents from mean kinship: 1 / (2 × mean kinship);
- founder equivalents: 1 / sum of squared founder shares (Lacy 1989);
- founder genome equivalents from retention: 1 / sum(share² / retention) (Lacy 1989), which
  also counts alleles already lost: another number than the one from mean kinship;
- effective size from the sexes: 4 Nm Nf / (Nm + Nf) (Wright 1931), a ceiling: it takes all of a
  sex to leave equally many offspring;
- effective size as realised: from each animal's own increase in F over its known
  generations (Gutiérrez, Cervantes & Goyache 2009).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from rounds.analysis.pedigree.ceiling import Ceiling, unrecorded_behind
from rounds.analysis.pedigree.kinship import LOW, MOST, USUAL, KinshipRange
from rounds.analysis.pedigree.kinship_engine import diagonals, mendelian
from rounds.analysis.pedigree.open_paternity import matrix_end, open_behind
from rounds.analysis.pedigree.path_tracing import product
from rounds.analysis.pedigree.pedigree_table import Pedigree
from rounds.analysis.pedigree.unrecorded_parents import alike
from rounds.analysis.pedigree.worlds import View, low, usual_reading
from rounds.named_tuple import NamedTuple


class Means(NamedTuple):
    """Mean kinships with a living group in each reading, by animal (names, in the order asked).

    The first ``living`` animals are the group; others may follow that only look at it.
    ``exact`` is False where, with open sires, low or the usual reading is only an outer bound.
    """

    animals: tuple[str, ...]
    low: list[float]
    usual: list[float]
    high: list[float]
    exact: bool
    living: int

    def by(self, reading: str) -> list[float]:
        """The means in one of the readings."""
        return {LOW: self.low, USUAL: self.usual, MOST: self.high}[reading]

    @property
    def mean(self) -> KinshipRange:
        """The group's mean kinship."""
        n = self.living
        low, usual, high = (sum(each[:n]) / n for each in (self.low, self.usual, self.high))
        return KinshipRange(low, usual, high, self.exact)

    @property
    def gene_diversity(self) -> KinshipRange:
        mean = self.mean
        return KinshipRange(1 - mean.high, 1 - mean.usual, 1 - mean.low, self.exact)

    @property
    def founder_genomes(self) -> KinshipRange:
        """Founder genome equivalents from mean kinship, 1 / (2 MK)."""
        mean = self.mean
        least, usual, most = (
            1 / (2 * k) if k > 0 else float("inf") for k in (mean.high, mean.usual, mean.low)
        )
        return KinshipRange(least, usual, most, self.exact)


def mean_kinships(p: Pedigree, living: Sequence[str], others: Sequence[str] = ()) -> Means:
    """Mean kinship with the living group: of each of them, itself included, then of ``others``.

    O(animals) by one product with A for low and the usual reading (Colleau 2002); where sires
    are open, and for what it is at most, the matrix among two animals of each brood is bounded
    instead. Raises ValueError for an empty group and NoSuchAnimal for animals not in the pedigree.
    """
    if not living:
        raise ValueError("a mean kinship needs at least one living animal.")
    which = p.find_all([*living, *others])
    lows, exact_low = _means(low(p), which, len(living), largest=False)
    usual, exact_usual = _means(usual_reading(p), which, len(living), largest=True)
    highs = _most_means(p, which, len(living), usual)
    return Means((*living, *others), lows, usual, highs, exact_low and exact_usual, len(living))


def _means(view: View, which: Sequence[int], living: int, *, largest: bool) -> tuple[list[float], bool]:
    nodes = [view.node[i] for i in which]
    if view.options:
        return _bounded_means(view, nodes, living, largest=largest)
    x = [0.0] * len(view.sire)
    for i in nodes[:living]:
        x[i] += 0.5 / living  # kinship is half of A
    each = product(view, mendelian(view, diagonals(view)), x)
    return [each[i] for i in nodes], True


def _most_means(p: Pedigree, which: Sequence[int], living: int, usual: list[float]) -> list[float]:
    """Mean kinships at most, never below the usual reading."""
    unsure = unrecorded_behind(p)
    if not any(unsure[i] for i in which):
        return usual
    parents = {x for i in range(len(p.names)) for x in p.parents(i)}.union(p.doubts)
    keys: list[Key] = [alike(p, i) if i not in parents else (i,) for i in which]
    highs = _means_by_brood(which, keys, living, lambda some: Ceiling(p, some).matrix(some))
    return [max(pair) for pair in zip(highs, usual, strict=True)]


def _bounded_means(
    view: View, nodes: Sequence[int], living: int, *, largest: bool
) -> tuple[list[float], bool]:
    """Mean kinships where sires are open."""
    parents = {*view.sire, *view.dam}.union(*view.options.values())
    keys: list[Key] = []
    for i in nodes:
        brood = i not in parents and i not in view.diag
        keys.append((view.options.get(i, view.sire[i]), view.dam[i]) if brood else (i,))
    means = _means_by_brood(nodes, keys, living, lambda some: matrix_end(view, some, largest=largest)[0])
    # Each pair's end stands alone; no one settlement of the open sires need give them all.
    return means, not open_behind(view, nodes)


Key = tuple[object, ...]
"""Of one brood: the same for animals that are alike."""


def _means_by_brood(
    nodes: Sequence[int],
    keys: Sequence[Key],
    living: int,
    matrix: Callable[[Sequence[int]], list[list[float]]],
) -> list[float]:
    """Mean kinships with the first ``living`` of some, from the matrix of two animals of each brood.

    Animals of one brood that have no offspring are alike: two of them tell the kinship of
    any two, so the matrix grows with the broods, not with the animals.
    """
    broods: dict[Key, list[int]] = {}
    for i, key in zip(nodes, keys, strict=True):
        members = broods.setdefault(key, [])
        if i not in members and len(members) < 2:
            members.append(i)
    counts = dict.fromkeys(broods, 0)
    for key in keys[:living]:
        counts[key] += 1
    keep = [i for members in broods.values() for i in members]
    found = matrix(keep)
    at = {i: k for k, i in enumerate(keep)}
    alive = set(nodes[:living])
    total: dict[tuple[Key, bool], float] = {}
    for key, members in broods.items():
        row = found[at[members[0]]]
        others = sum(counts[b] * row[at[m[0]]] for b, m in broods.items() if b is not key)
        own, sib = row[at[members[0]]], row[at[members[-1]]]
        total[key, True] = others + own + (counts[key] - 1) * sib
        total[key, False] = others + counts[key] * sib
    return [total[key, i in alive] / living for i, key in zip(nodes, keys, strict=True)]


def founder_shares(p: Pedigree, living: Sequence[str]) -> dict[str, float]:
    """The share of the living group's genes from each founder, and from unknown parents (``""``).

    A founder is an animal without recorded parents. Several possible sires share equally.
    Sums to 1. O(animals). Largest first.
    """
    share = [0.0] * (len(p.names) + 1)
    for name in living:
        share[p.find(name)] += 1 / len(living)
    out: dict[str, float] = {}
    for i in range(len(p.names) - 1, -1, -1):
        x = share[i]
        if not x:
            continue
        sires = p.sires.get(i, (p.sire[i],))
        if not p.parents(i):
            out[p.names[i]] = x
            continue
        for s in sires:
            share[s] += x / 2 / len(sires)  # share[-1] collects unknown parents
        share[p.dam[i]] += x / 2
    if share[-1]:
        out[""] = share[-1]
    return dict(sorted(out.items(), key=lambda item: (-item[1], item[0])))


def founder_equivalents(shares: Mapping[str, float]) -> float:
    """1 / sum p² over founders (Lacy 1989); unknown parents (``""``) are left out."""
    total = sum(x for name, x in shares.items() if name)
    squares = sum(x * x for name, x in shares.items() if name)
    return total * total / squares if squares else 0.0


def founder_genomes_retained(shares: Mapping[str, float], retention: Mapping[str, float]) -> float:
    """1 / sum p² / r over founders (Lacy 1989), r from :func:`rounds.analysis.pedigree.gene_drop.retention`.

    A founder whose genome is gone (r = 0, see :func:`lost_founders`) contributes nothing any
    more: its p counts as 0 as well, so its term is 0. The result is 0 where no founder is left.
    """
    left = [(x, retention[name]) for name, x in shares.items() if name and retention[name] > 0]
    parts = sum(x * x / r for x, r in left)
    total = sum(x for x, _ in left)
    return total * total / parts if parts else 0.0


def lost_founders(shares: Mapping[str, float], retention: Mapping[str, float]) -> list[str]:
    """Founders of whose genome nothing is left in the living, in the order of ``shares``.

    Where retention is drawn, none of the drops had kept an allele: the pedigree still gives such
    a founder a share, but one so small that it is most probably gone.
    """
    return [name for name in shares if name and not retention[name] > 0]


class Breeders(NamedTuple):
    """Recorded parents of some animals: the fewest and the most males there can be among them, females."""

    fewest_males: int
    most_males: int
    females: int


def breeders(p: Pedigree, living: Sequence[str]) -> Breeders:
    """Who the recorded parents of the living are. O(animals).

    A sire named among several possible ones need not be one. The fewest: those that are
    certain, and one more for each brood none of whose possible sires is certain or possible
    for another counted so (a lower bound; 0 only where no sire is recorded at all).
    """
    which = p.find_all(living)
    certain = {p.sire[i] for i in which if p.sire[i] >= 0}
    could = {frozenset(p.sires[i]) for i in which if i in p.sires}
    fewest, used = len(certain), set(certain)
    for options in sorted(could, key=lambda o: (len(o), sorted(o))):
        if not options & used:
            fewest += 1
            used |= options
    most = certain.union(*could) - {-1}
    return Breeders(fewest, max(fewest, len(most)), len({p.dam[i] for i in which if p.dam[i] >= 0}))


def effective_size(males: int, females: int) -> float:
    """4 Nm Nf / (Nm + Nf) from the animals that breed (Wright 1931); 0 without both sexes."""
    return 4 * males * females / (males + females) if males and females else 0.0


def increase_per_generation(size: float) -> float:
    """dF = 1 / (2 Ne). Raises ValueError for a size that is not positive."""
    if size <= 0:
        raise ValueError(f"an effective size is more than 0, not {size:g}.")
    return 1 / (2 * size)


def expected_f(size: float, generations: float, now: float = 0.0) -> float:
    """F after so many more generations of the same pairing: 1 − (1 − F now)(1 − dF)^t."""
    left: float = (1 - increase_per_generation(size)) ** generations
    return 1 - (1 - now) * left


class Realised(NamedTuple):
    """Effective size as it has been: ``size`` is None while no inbreeding has built up.

    ``error`` is the standard error of the mean per-generation increase in F, over the
    ``animals`` with more than one known generation.
    """

    size: float | None
    error: float | None
    animals: int


def realised_size(f: Sequence[float], equivalent: Sequence[float]) -> Realised:
    """Effective size from each animal's F and equivalent complete generations t.

    dF(i) = 1 − (1 − F(i))^(1 / (t(i) − 1)) and Ne = 1 / (2 mean dF), animals with t ≤ 1 left
    out (Gutiérrez, Cervantes & Goyache 2009).
    """
    steps = [1 - (1 - x) ** (1 / (t - 1)) for x, t in zip(f, equivalent, strict=True) if t > 1 and x < 1]
    n = len(steps)
    if not n:
        return Realised(None, None, 0)
    mean = sum(steps) / n
    error = (sum((s - mean) ** 2 for s in steps) / (n - 1) / n) ** 0.5 if n > 1 else None
    return Realised(1 / (2 * mean) if mean > 0 else None, error, n)
