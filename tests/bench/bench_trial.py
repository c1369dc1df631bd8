"""Speed of the trial's sums and of the cold commands, printed and never asserted.

    python -m tests.bench.bench_trial

Ours and the floor beside it run in turn, so that a busy minute slows both. Floors: for the
comparison of two arms and for the beta-binomial fit a general optimiser on the same likelihood; for a cold command the imports it cannot do without.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy import optimize, special

from rounds.analysis.trial import beta_binomial as betabinomial
from rounds.analysis.trial.brood_counts import BroodCount
from rounds.analysis.trial.two_arm_test import two_arm_test
from rounds.analysis.trial.verdict import verdict
from tests.bench.bench_pedigree import RECORDED, rack

PAIRS = 15


def in_turn(what: str, ours: Callable[[], object], floor: Callable[[], object], pairs: int = PAIRS) -> None:
    """Median seconds of both and the median of their ratios."""
    ours(), floor()  # the first time pays for imports
    times = []
    for k in range(pairs):
        pair = {}
        for name, run in (("ours", ours), ("floor", floor)) if k % 2 else (("floor", floor), ("ours", ours)):
            began = time.perf_counter()
            run()
            pair[name] = time.perf_counter() - began
        times.append((pair["ours"], pair["floor"]))
    a, b = (statistics.median(t[k] for t in times) for k in (0, 1))
    ratio = statistics.median(x / y for x, y in times)
    print(f"{what:<52} ours {a * 1e3:8.1f} ms   floor {b * 1e3:8.1f} ms   ratio {ratio:6.2f}", flush=True)


def broods(k: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    draw = np.random.default_rng(seed)
    eggs = np.maximum(1, draw.poisson(30, 2 * k))
    return eggs, draw.binomial(eggs, draw.beta(3.7, 2.0, 2 * k))


def general_fit(eggs: np.ndarray, alive: np.ndarray, k: int) -> float:
    """The same likelihood by the gamma function and Nelder-Mead."""

    def minus(x: np.ndarray) -> float:
        mu = special.expit(np.repeat(x[:2], k))
        rho = special.expit(x[2])
        a, b = mu * (1 - rho) / rho, (1 - mu) * (1 - rho) / rho
        return -float(np.sum(special.betaln(alive + a, eggs - alive + b) - special.betaln(a, b)))

    return float(
        optimize.minimize(
            minus,
            [0.5, 0.5, -2.0],
            method="Nelder-Mead",
            options={"xatol": 1e-8, "fatol": 1e-10, "maxiter": 4000},
        ).fun
    )


def cold(*argv: str) -> Callable[[], object]:
    return lambda: subprocess.run([sys.executable, *argv], check=True, stdout=subprocess.DEVNULL)


def main() -> None:
    for k in (6, 8, 10):
        eggs, alive = broods(k, k)
        arms = [
            [(int(n), int(v)) for n, v in zip(eggs[s], alive[s], strict=True)]
            for s in (slice(k), slice(k, None))
        ]
        in_turn(
            f"two arms compared, with both ranges, {k} + {k}",
            lambda arms=arms: two_arm_test(arms[0], arms[1]),
            lambda eggs=eggs, alive=alive, k=k: general_fit(eggs, alive, k),
        )
        in_turn(
            f"beta-binomial fit with interval of rho, {k} + {k}",
            lambda arms=arms: betabinomial.fit(arms),
            lambda eggs=eggs, alive=alive, k=k: general_fit(eggs, alive, k),
        )
        rows = [
            BroodCount("sib" if j < k else "outcross", f"f{j}", int(eggs[j]), int(alive[j]))
            for j in range(2 * k)
        ]
        in_turn(
            f"a whole verdict, {k} + {k} (floor: the fit alone)",
            lambda rows=rows: verdict(rows, "outcross"),
            lambda eggs=eggs, alive=alive, k=k: general_fit(eggs, alive, k),
            5,
        )
    with tempfile.TemporaryDirectory() as folder:
        counts = Path(folder) / "counts.csv"
        eggs, alive = broods(6, 1)
        lines = [f"{'sib' if j < 6 else 'outcross'},f{j},{eggs[j]},{alive[j]}" for j in range(12)]
        counts.write_text("arm,female,eggs,alive\n" + "\n".join(lines) + "\n")
        bare = cold("-c", "import click, numpy, scipy.special")
        in_turn(
            "cold `rounds trial verdict` (floor: its imports)",
            cold("-m", "rounds", "trial", "verdict", "--counts", str(counts)),
            bare,
        )
        sire, dam = rack(10_000)
        table = Path(folder) / "rack.csv"
        table.write_text(
            "animal,sire,dam\n"
            + "".join(
                f"A{i},{'' if s < 0 else f'A{s}'},{'' if d < 0 else f'A{d}'}\n"
                for i, (s, d) in enumerate(zip(sire, dam, strict=True))
            )
        )
        began = []
        run = cold("-m", "rounds", "kinship", "--pedigree", str(table), "--as", "csv")
        in_turn("cold `rounds kinship` of 10,000 (floor: click)", run, cold("-c", "import click"))
        for _ in range(PAIRS):
            start = time.perf_counter()
            run()
            began.append(time.perf_counter() - start)
        warm, first, _ = RECORDED["rack", 10_000]
        mine = statistics.median(began)
        print(
            f"{'':<4}recorded for a statistical-genetics library, cold: {first:.1f} s, {first / mine:.0f} times ours"
        )
        print(f"{'':<4}(warm, in a process that had paid for its start: {warm:.3f} s)")


if __name__ == "__main__":
    main()
