"""How far the linear pairing plan is from the best resulting mean kinship, and how long a ranking takes.

    python -m tests.bench.bench_pairing            150 random small cases, every plan of each tried
    python -m tests.bench.bench_pairing --house    150 × 150 candidates of a house of 10,000 animals

Printed and never asserted; what the first printed last stands in the docstring of
:mod:`rounds.analysis.pairing.exhaustive_check`, the second in :mod:`rounds.analysis.pairing.book_pairings`.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from itertools import pairwise

from rounds.analysis.pairing.exhaustive_check import quadratic_gap

from rounds.analysis.pairing import book_pairings, pairing_plan
from rounds.analysis.pairing.restrictions import Candidate, Wishes
from rounds.analysis.pedigree.pedigree_checks import build
from rounds.analysis.pedigree.pedigree_table import PedigreeRow
from rounds.husbandry.species import Species, SpeciesRange
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Content, Enclosure, Line
from rounds.values.spans import Span
from tests.bench.bench_pedigree import KINDS, peak

CASES = 150


def case(rng: random.Random, males: int, females: int, weight: float) -> tuple[float, int]:
    """Share of the best by which the plan lies above it, and how many plans there were."""
    founders = rng.choice((4, 6, 8))
    rows = [PedigreeRow(f"f{k}", (), "", "mf"[k % 2], "UMBER", True) for k in range(founders)]
    for i in range(rng.choice((24, 40))):
        sires = [r.animal for r in rows[-14:] if r.sex == "m"]
        dams = [r.animal for r in rows[-14:] if r.sex == "f"]
        rows.append(PedigreeRow(f"x{i}", (rng.choice(sires),), rng.choice(dams), "mf"[i % 2], "UMBER"))
    p, problems = build(rows)
    assert p is not None, problems
    some = (
        [r.animal for r in rows if r.sex == "m"][-males:],
        [r.animal for r in rows if r.sex == "f"][-females:],
    )
    candidates = [Candidate(x, sex, "UMBER") for sex, xs in zip("mf", some, strict=True) for x in xs]
    living = [r.animal for r in rows[-20:]]
    wishes = Wishes(weight=weight)
    t = pairing_plan.table(p, candidates, living, wishes)
    found = pairing_plan.choose(t, candidates, wishes)
    at = {c.animal: k for side in (t.males, t.females) for k, c in enumerate(side)}
    cells = [(at[x.male], at[x.female]) for x in found.pairs]
    gap = quadratic_gap(t, cells, [1] * males)
    return gap.share, gap.plans


def run(cases: int = CASES, seed: int = 11) -> str:
    out = []
    for weight in (1.0, 0.0):
        rng, shares, plans = random.Random(seed), [], 0
        started = time.perf_counter()
        for _ in range(cases):
            share, tried = case(rng, rng.randint(2, 8), rng.randint(2, 8), weight)
            shares.append(share)
            plans += tried
        shares.sort()
        out.append(
            f"{cases} cases up to 8 × 8, weight of F {weight:g}: linear plan above the best resulting mean kinship by "
            f"{statistics.mean(shares):.2%} in the mean, {statistics.median(shares):.2%} in the median, "
            f"{shares[int(0.95 * len(shares))]:.2%} at the 95th of a hundred, {shares[-1]:.2%} at the worst; "
            f"the very best in {sum(s < 1e-12 for s in shares)}; {plans} plans tried in {time.perf_counter() - started:.0f} s"
        )
    return "\n".join(out)


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
    print(timed() if sys.argv[1:] == ["--house"] else run())
