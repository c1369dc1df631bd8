"""How often the test of two arms errs, how often its interval holds the truth, and what it finds.

    nice python -m tests.bench.bench_two_arms [--trials 2000] [--seed 1]

Printed and never asserted. Every cell simulates trials of beta-binomial broods of 5 to 60 eggs,
one female in twelve barren (her brood does not count). The means and the correlations of the
arms, rho, are unequal where two stand side by side. Trials in which the test is not made
(fewer than four broods with eggs in an arm) count as "cannot tell". The likelihood ratio is worked out
only where Welch's test rejects, over a grid: what ``two_arm_test`` itself says of such trials is
held against it in ``tests/analysis/trial/test_two_arm_test.py``.
"""

from __future__ import annotations

import argparse
import time
from itertools import product
from typing import Any, NamedTuple

import numpy as np

from rounds.analysis.trial.brood_likelihood import even_rhos, falls, loglik, profiles
from rounds.analysis.trial.power import planned_power, testable
from rounds.analysis.trial.survival_shares import FEWEST, LEVEL
from rounds.analysis.trial.two_arm_test import brood_shares, welch_p

SIZES = ((4, 4), (4, 6), (4, 12), (5, 5), (5, 12), (12, 5), (6, 6), (6, 10), (8, 8), (8, 12), (12, 12))
RHOS = ((0.02, 0.02), (0.1, 0.1), (0.3, 0.3), (0.3, 0.1), (0.3, 0.02), (0.02, 0.3))
MEANS = (0.05, 0.1, 0.2, 0.5, 0.8, 0.9, 0.95)
PAIRS = ((0.05, 0.95), (0.5, 0.05), (0.05, 0.2), (0.8, 0.5), (0.5, 0.8), (0.2, 0.35), (0.95, 0.8))
OUTSIDE = ((5, 20), (5, 30), (4, 30), (20, 20), (30, 30))
"""Sizes beyond 12, and of more than four times each other."""

MOST_EGGS = 60
CHANCE_OF_BARREN = 1 / 12
MOST = 3.841458820694124  # 0.95 quantile of chi-square with 1 degree of freedom
AGAIN = 10
STEPS = 100  # of the grid of means

Array = np.ndarray[Any, Any]


class Arm(NamedTuple):
    """One arm of many trials: eggs (0 of a barren female) and survivors, trials × females."""

    eggs: Array
    alive: Array


def arm(draw: np.random.Generator, trials: int, females: int, mean: float, rho: float, eggs: int = 0) -> Arm:
    """``eggs`` each, or uneven broods with barren females among them."""
    laid = draw.integers(5, MOST_EGGS + 1, (trials, females))
    laid = np.where(draw.random((trials, females)) < CHANCE_OF_BARREN, 0, laid)
    if eggs:
        laid = np.full((trials, females), eggs)
    theta = (1 - rho) / rho
    return Arm(laid, draw.binomial(laid, draw.beta(mean * theta, (1 - mean) * theta, (trials, females))))


class Likelihoods:
    """The likelihood of every brood of up to :data:`MOST_EGGS` eggs, worked out once."""

    def __init__(self) -> None:
        eggs = np.concatenate([np.full(n + 1, n) for n in range(1, MOST_EGGS + 1)])
        alive = np.concatenate([np.arange(n + 1) for n in range(1, MOST_EGGS + 1)])
        rhos = even_rhos(18, 1e-3, 0.9)
        self.table = loglik(eggs, alive, np.linspace(0, 1, STEPS + 1), rhos).astype(np.float32)

    def fall(self, one: Arm, other: Arm, difference: float) -> Array:
        """Twice the fall of the log likelihood where the means differ by ``difference``."""
        rows = [np.where(a.eggs > 0, a.eggs * (a.eggs + 1) // 2 - 1 + a.alive, -1) for a in (one, other)]
        out = [np.zeros(0)]
        for begin in range(0, len(one.eggs), 500):
            a, b = (profiles(self.table, row[begin : begin + 500]) for row in rows)
            out.append(falls(a, b, round(difference * STEPS)))
        return np.concatenate(out)


def rejected(likelihoods: Likelihoods, one: Arm, other: Arm, difference: float, fewest: int) -> Array:
    """Do both tests reject that the means differ by ``difference``? Never with fewer broods than ``fewest``."""
    a, b = brood_shares(*one), brood_shares(*other)
    enough = np.minimum(a.broods, b.broods) >= fewest
    with np.errstate(divide="ignore", invalid="ignore"):
        out = enough & (welch_p(a, b, difference=difference) <= 1 - LEVEL)
    some = np.flatnonzero(out)
    few, fewer = (Arm(x.eggs[some], x.alive[some]) for x in (one, other))
    out[some] = likelihoods.fall(few, fewer, difference) >= MOST
    return out


class Cell(NamedTuple):
    """What a trial is like."""

    sizes: tuple[int, int]
    rhos: tuple[float, float]
    means: tuple[float, float]


def both(draw: np.random.Generator, trials: int, cell: Cell, eggs: int = 0) -> tuple[Arm, Arm]:
    one, other = (
        arm(draw, trials, n, mean, rho, eggs)
        for n, mean, rho in zip(cell.sizes, cell.means, cell.rhos, strict=True)
    )
    return one, other


def found(
    likelihoods: Likelihoods, draw: np.random.Generator, trials: int, cell: Cell, eggs: int = 0
) -> float:
    """The share of trials whose verdict is "lower" or "higher"."""
    return float(rejected(likelihoods, *both(draw, trials, cell, eggs), 0.0, FEWEST).mean())


def covered(likelihoods: Likelihoods, draw: np.random.Generator, trials: int, cell: Cell) -> float:
    """The share of intervals that hold the true difference, of trials that give one (two broods an arm)."""
    one, other = both(draw, trials, cell)
    given = np.minimum((one.eggs > 0).sum(axis=1), (other.eggs > 0).sum(axis=1)) >= 2
    truth = cell.means[1] - cell.means[0]
    return 1 - float(rejected(likelihoods, one, other, truth, 2).sum() / given.sum())


def table(title: str, sizes: Any, columns: Any, worth: Any, *, worst: Any) -> None:
    """A row for each size and pair of rhos, a column for each of ``columns``; the worst of all below."""
    print(f"\n{title}\n{'females':>9} {'rho':>11} " + " ".join(f"{name:>9}" for name in columns))
    every = []
    for size, rhos in product(sizes, RHOS):
        row = [worth(Cell(size, rhos, means)) for means in columns.values()]
        every += [(x, size, rhos, name) for x, name in zip(row, columns, strict=True)]
        name = f"{size[0]} + {size[1]}"
        mark = "" if testable(*size) else "  never tested: always cannot tell"
        print(
            f"{name:>9} {rhos[0]:>5g} {rhos[1]:>5g} " + " ".join(f"{x:>9.3f}" for x in row) + mark, flush=True
        )
    print(f"worst of {len(every)}; each of them drawn anew, {AGAIN} times as many:")
    for x, size, rhos, name in sorted(every, reverse=worst is max)[:4]:
        more = sum(worth(Cell(size, rhos, columns[name])) for _ in range(AGAIN)) / AGAIN
        print(
            f"  {x:.4f}, {more:.4f} at {size[0]} + {size[1]}, rho {rhos[0]:g} and {rhos[1]:g}, {name}",
            flush=True,
        )


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--trials", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    draw, n = np.random.default_rng(asked.seed), asked.trials
    likelihoods, began = Likelihoods(), time.process_time()
    error = 100 * (0.05 * 0.95 / n) ** 0.5
    print(f"{n} trials a cell (standard error {error:.2f} points at 5%), seed {asked.seed}")
    same = {f"{m:g}": (m, m) for m in MEANS}
    apart = {f"{p:g}, {q:g}": (p, q) for p, q in PAIRS}

    def errs(cell: Cell) -> float:
        return found(likelihoods, draw, n, cell)

    table("found although both arms survive alike, by survival", SIZES, same, errs, worst=max)
    table("the same beyond 12 females an arm", OUTSIDE, same, errs, worst=max)
    table(
        "intervals that hold the true difference, by survival in either arm",
        SIZES,
        {**apart, "0.5, 0.5": (0.5, 0.5)},
        lambda cell: covered(likelihoods, draw, n, cell),
        worst=min,
    )
    print(
        "\nfound where there is a difference, 8 + 8 females, rho 0.1: uneven broods and barren females; 40 eggs each"
    )
    for means in ((0.8, 0.5), (0.9, 0.6), (0.6, 0.3), (0.5, 0.2)):
        cell = Cell((8, 8), (0.1, 0.1), means)
        rates = [found(likelihoods, draw, 4 * n, cell, eggs) for eggs in (0, 40)]
        print(f"  {means[0]:g}, {means[1]:g}: {rates[0]:.3f}; {rates[1]:.3f}", flush=True)
    print("\npower as a plan says it, and simulated; females, eggs, rho, survival")
    gaps = []
    for sizes, eggs, rho, means in product(
        ((4, 4), (6, 6), (8, 8), (12, 12), (4, 8), (10, 5)),
        (15, 40),
        (0.02, 0.1, 0.3),
        ((0.95, 0.8), (0.8, 0.5), (0.3, 0.1), (0.5, 0.39)),
    ):
        said = planned_power(*sizes, eggs, rho, *means) or 0.0
        seen = found(likelihoods, draw, 2 * n, Cell(sizes, (rho, rho), means), eggs)
        gaps.append((abs(said - seen), said, seen, sizes, eggs, rho, means))
    for gap, said, seen, *what in sorted(gaps, reverse=True)[:8]:
        print(f"  {said:.3f} {seen:.3f} ({100 * gap:.1f} points) {what}")
    over = sum(g[0] > 0.03 for g in gaps)
    print(
        f"{len(gaps)} cells, {over} more than 3 points apart; {time.process_time() - began:.0f} s of processor time"
    )


if __name__ == "__main__":
    main()
