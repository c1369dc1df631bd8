"""How far the linear pairing plan is from the best resulting mean kinship, on many random small cases.

    python -m tests.bench.bench_pairing

Every plan of as many pairs is tried. Printed and never asserted; what it printed last stands
in the docstring of :mod:`rounds.analysis.pairing_check`.
"""

from __future__ import annotations

import random
import statistics
import time

from rounds.analysis import pairing
from rounds.analysis.pairing_check import quadratic_gap
from rounds.analysis.pairing_rules import Candidate, Wishes
from rounds.analysis.pedigree import Row, build

CASES = 150


def case(rng: random.Random, males: int, females: int, weight: float) -> tuple[float, int]:
    """Share of the best by which the plan lies above it, and how many plans there were."""
    founders = rng.choice((4, 6, 8))
    rows = [Row(f"f{k}", (), "", "mf"[k % 2], "UMBER", True) for k in range(founders)]
    for i in range(rng.choice((24, 40))):
        sires = [r.animal for r in rows[-14:] if r.sex == "m"]
        dams = [r.animal for r in rows[-14:] if r.sex == "f"]
        rows.append(Row(f"x{i}", (rng.choice(sires),), rng.choice(dams), "mf"[i % 2], "UMBER"))
    p, problems = build(rows)
    assert p is not None, problems
    some = (
        [r.animal for r in rows if r.sex == "m"][-males:],
        [r.animal for r in rows if r.sex == "f"][-females:],
    )
    candidates = [Candidate(x, sex, "UMBER") for sex, xs in zip("mf", some, strict=True) for x in xs]
    living = [r.animal for r in rows[-20:]]
    wishes = Wishes(weight=weight)
    t = pairing.table(p, candidates, living, wishes)
    found = pairing.choose(t, candidates, wishes)
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


if __name__ == "__main__":
    print(run())
