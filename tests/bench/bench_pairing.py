"""What plans of pairs are worth over generations, how close they are to the best, and how long they take.

    python -m tests.bench.bench_pairing               ten generations of 30 animals, by how pairs are chosen
    python -m tests.bench.bench_pairing --large       60 x 60 candidates, 12 pairs, a tenth forbidden
    python -m tests.bench.bench_pairing --house       150 x 150 candidates of a house of 10,000 animals

Printed and never asserted; the third's figures stand in :mod:`rounds.analysis.pairing.book_pairings`.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Callable
from itertools import pairwise

import numpy as np

from rounds.analysis.pairing import book_pairings
from rounds.analysis.pairing.exchange_search import exchange_search
from rounds.analysis.pairing.integer_programme import solve
from rounds.analysis.pairing.next_generation import Cell, Limits, next_generation
from rounds.analysis.pairing.pairing_plan import best_plan
from rounds.analysis.pairing.plan_bound import plan_bound
from rounds.husbandry.species import Species, SpeciesRange
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Content, Enclosure, Line
from rounds.values.spans import Span
from tests.bench.bench_pedigree import KINDS, peak

Chooser = Callable[[np.ndarray, int, random.Random], list[Cell]]
"""Kinship of males then females, how many pairs, a source of chance: the pairs."""

SIZE, GENERATIONS, HOUSES = 30, 10, 30


def planned(k: np.ndarray, pairs: int, _: random.Random) -> list[Cell]:
    half = len(k) // 2
    limits = Limits(np.ones((half, half), dtype=bool), (1,) * half)
    mean = k.mean(axis=0)
    start = solve(
        (mean[:half, None] + mean[None, half:]).tolist(), limits.allowed.tolist(), limits.uses, pairs
    )
    assert start is not None
    judged = next_generation(k, half, pairs, 0.1)
    if pairs <= 3:
        return best_plan(judged, limits, start.cells)[0]
    return exchange_search(judged, limits, start.cells)  # without the bound, which changes no choice


def least_kinship(k: np.ndarray, pairs: int, _: random.Random) -> list[Cell]:
    """Greedy: each pair in turn the one that leaves those chosen least related; no look at F."""
    half = len(k) // 2
    chosen: list[Cell] = []
    for _ in range(pairs):
        judged = next_generation(k, half, len(chosen) + 1, 0.0)
        free = [(i, j) for i in range(half) for j in range(half) if all(i != a and j != b for a, b in chosen)]
        chosen.append(min(free, key=lambda c: judged.score([*chosen, c]).total))
    return chosen


def least_f(k: np.ndarray, pairs: int, _: random.Random) -> list[Cell]:
    half = len(k) // 2
    found = solve(k[:half, half:].tolist(), [[True] * half] * half, [1] * half, pairs)
    assert found is not None
    return found.cells


def added_up(k: np.ndarray, pairs: int, _: random.Random) -> list[Cell]:
    """What was done before: mean kinships and F of pairs added up one by one."""
    half, mean = len(k) // 2, k.mean(axis=0)
    cost = k[:half, half:] + mean[:half, None] + mean[None, half:]
    found = solve(cost.tolist(), [[True] * half] * half, [1] * half, pairs)
    assert found is not None
    return found.cells


def at_random(k: np.ndarray, pairs: int, draw: random.Random) -> list[Cell]:
    half = len(k) // 2
    return list(zip(draw.sample(range(half), pairs), draw.sample(range(half), pairs), strict=True))


CHOOSERS: dict[str, Chooser] = {
    "plan": planned,
    "greedy least kinship": least_kinship,
    "added up": added_up,
    "least F": least_f,
    "random": at_random,
}


def kept(choose: Chooser, pairs: int, seed: int) -> float:
    """Expected gene diversity (1 less mean kinship, selves included) after :data:`GENERATIONS`.

    Founders are unrelated. Each pair has as many offspring as any other, shared out by chance
    where they do not come out even.
    """
    draw = random.Random(seed)
    k = np.eye(SIZE) * 0.5
    for _ in range(GENERATIONS):
        cells = choose(k, pairs, draw)
        half = len(k) // 2
        of = [cells[n % pairs] for n in range(SIZE)]
        draw.shuffle(of)
        parents = np.zeros((SIZE, len(k)))
        for n, (i, j) in enumerate(of):
            parents[n, i] += 0.5
            parents[n, half + j] += 0.5
        born = parents @ k @ parents.T
        for n, (i, j) in enumerate(of):
            born[n, n] = 0.5 * (1 + k[i, half + j])
        k = born
    return 1 - float(k.mean())


def generations() -> str:
    out = [f"gene diversity after {GENERATIONS} generations of {SIZE}, mean of {HOUSES} houses; by pairs:"]
    counts = (2, 4, 8, 12)
    out.append(f"{'':22}" + "".join(f"{n:>8}" for n in counts))
    for name, choose in CHOOSERS.items():
        means = [statistics.mean(kept(choose, n, seed) for seed in range(HOUSES)) for n in counts]
        out.append(f"{name:22}" + "".join(f"{m:8.3f}" for m in means))
    return "\n".join(out)


def large() -> str:
    out = []
    for founders, born, seed in ((20, 4, 5), (6, 3, 6), (10, 5, 7), (4, 2, 8), (12, 8, 9)):
        draw = random.Random(seed)
        k = kinships_of_last(draw, founders, born, 120)
        allowed = np.array([[draw.random() > 0.1 for _ in range(60)] for _ in range(60)])
        limits = Limits(allowed, (1,) * 60)
        mean = k.mean(axis=0)
        began = time.perf_counter()
        start = solve((mean[:60, None] + mean[None, 60:]).tolist(), allowed.tolist(), limits.uses, 12)
        assert start is not None
        judged = next_generation(k, 60, 12, 0.1)
        plan = exchange_search(judged, limits, start.cells)
        found = time.perf_counter()
        bound = plan_bound(judged, limits, plan)
        proven = time.perf_counter()
        total = judged.score(plan).total
        out.append(
            f"{founders} founders, {born} generations: plan {total:.4f} in {found - began:.1f} s, "
            f"at most {1 - bound / total:.1%} from the best after {proven - found:.1f} s"
        )
    return "\n".join(out)


def kinships_of_last(draw: random.Random, founders: int, generations: int, size: int) -> np.ndarray:
    """Kinship of the last generation, parents drawn at random; every second animal a female, males first."""
    count = founders + generations * size
    k = np.zeros((count, count))
    k[range(founders), range(founders)] = 0.5
    last, at = list(range(founders)), founders
    for _ in range(generations):
        born = list(range(at, at + size))
        for child in born:
            sire, dam = draw.choice(last[::2]), draw.choice(last[1::2])
            k[child, :child] = k[:child, child] = (k[sire, :child] + k[dam, :child]) / 2
            k[child, child] = (1 + k[sire, dam]) / 2
        last, at = born, at + size
    order = last[::2] + last[1::2]
    return k[np.ix_(order, order)]


SPECIES = "Eudicella smithi"
DAY = 739_000


def house(kind: str) -> Ledger:
    """10,000 animals in the books, the last 500 alive, 150 males and 150 females of them ready to breed."""
    sire, dam = KINDS[kind](10_000)
    alive, draw = range(9_500, 10_000), random.Random(3)
    ready = {*draw.sample(alive[0::2], 150), *draw.sample(alive[1::2], 150)}
    ready_since = {
        "emerged": Span(DAY - 60, DAY - 60),
        "first_feed": Span(DAY - 40, DAY - 40),
        "mature": Span(DAY - 20, DAY - 20),
    }
    animals = {
        i + 1: Animal(
            id=i + 1,
            line=1,
            number=str(i),
            sex="fm"[i % 2 == 0],
            sire=s + 1 if s >= 0 else None,
            dam=d + 1 if d >= 0 else None,
            state="alive" if i in alive else "dead",
            **(ready_since if i in ready else {}),
        )
        for i, (s, d) in enumerate(zip(sire, dam, strict=True))
    }
    return Ledger(
        {
            "line": {1: Line(id=1, name="UMBER", species=SPECIES)},
            "animal": animals,
            "enclosure": {i: Enclosure(id=i, code=f"T-{i}", number=i, stage="holding") for i in alive},
            "content": {i: Content(id=i, enclosure=i, animal=i + 1, line=1) for i in alive},
        }
    )


def timed() -> str:
    presets = {SPECIES: Species(SPECIES, ranges={"active_days": SpeciesRange(60, 120, None, "estimate")})}
    out = []
    for kind in KINDS:
        ledger, told = house(kind), [time.perf_counter()]
        ranking = book_pairings.rank(
            ledger, presets, DAY, tell=lambda _, told=told: told.append(time.perf_counter())
        )
        ranked = time.perf_counter()
        ranking[:40]
        shown = time.perf_counter()
        book_pairings.look(ranking, 100)
        looked = time.perf_counter()
        longest = max(b - a for a, b in pairwise([*told, ranked]))
        out.append(
            f"{len(ranking)} pairs, {kind:<6} 10k: ranked in {ranked - told[0]:.2f} s (longest step {longest:.2f} s), 40 pairs "
            f"made in {shown - ranked:.3f} s, one looked at in {looked - shown:.2f} s; {peak()} MB"
        )
    return "\n".join(out)


if __name__ == "__main__":
    print({"--house": timed, "--large": large}.get("".join(sys.argv[1:]), generations)())
