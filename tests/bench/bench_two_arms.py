"""How often the test of two arms errs where there is no difference, and what it finds where there is one.

    python -m tests.bench.bench_two_arms [--trials 2000] [--seed 1]

Printed and never asserted. Every cell simulates trials of beta-binomial broods with uneven eggs
and barren females; "errs" is the share found different though both arms survive alike, "covers"
the share of intervals that hold the true difference.
"""

from __future__ import annotations

import argparse
from itertools import product
from typing import Any

import numpy as np

from rounds.analysis.trial.two_arm_test import two_arm_test

SIZES = ((4, 4), (4, 10), (10, 4), (6, 6), (4, 12), (8, 8), (12, 12))
RHOS = ((0.02, 0.02), (0.3, 0.02), (0.02, 0.3), (0.1, 0.1), (0.3, 0.3))
MEANS = (0.05, 0.2, 0.5, 0.8, 0.95)


def broods(draw: np.random.Generator, count: int, mean: float, rho: float) -> list[tuple[int, int]]:
    """Broods of 5 to 60 eggs, one female in twelve barren (and so not counted)."""
    while True:
        eggs = draw.integers(5, 61, count)
        found = eggs[draw.random(count) > 1 / 12]
        if len(found) >= 2:
            break
    theta = (1 - rho) / rho
    p = draw.beta(mean * theta, (1 - mean) * theta, len(found))
    return [(int(n), int(draw.binomial(n, q))) for n, q in zip(found, p, strict=True)]


def cell(draw: np.random.Generator, trials: int, sizes: Any, means: Any, rhos: Any) -> tuple[float, float]:
    """Shares found different and of intervals that cover."""
    found = covered = 0
    for _ in range(trials):
        one, other = (broods(draw, *x) for x in zip(sizes, means, rhos, strict=True))
        t = two_arm_test(one, other)
        found += t.p <= 0.05
        covered += t.interval.low <= means[1] - means[0] <= t.interval.high
    return found / trials, covered / trials


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--trials", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    draw = np.random.default_rng(asked.seed)
    worst, least = [], []
    for sizes, rhos, mean in product(SIZES, RHOS, MEANS):
        errs, covers = cell(draw, asked.trials, sizes, (mean, mean), rhos)
        worst.append((errs, sizes, rhos, mean))
        least.append((covers, sizes, rhos, mean))
    print("errs most:", *sorted(worst, reverse=True)[:8], sep="\n  ")
    print("covers least:", *sorted(least)[:8], sep="\n  ")
    for means in ((0.8, 0.5), (0.9, 0.6), (0.6, 0.3)):
        print(f"8 + 8, rho .1, {means}: finds, covers", cell(draw, asked.trials, (8, 8), means, (0.1, 0.1)))


if __name__ == "__main__":
    main()
