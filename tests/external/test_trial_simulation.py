"""How often a verdict finds a difference where there is none, by simulation.

Eggs per female Poisson(30), survival 0.65 on average, beta-distributed over females with an
intraclass correlation rho. Seeded. The same data are given to Fisher's exact test on pooled
eggs, which must fail: it takes full sibs for strangers.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from rounds.analysis.trial.brood_counts import BroodCount
from rounds.analysis.trial.power import planned_power
from rounds.analysis.trial.verdict import CANNOT_TELL, verdict
from tests.bench import bench_two_arms as bench
from tests.bench.bench_two_arms import Arm, Cell
from tests.external.permutations import permutation_ps
from tests.external.pooled import fisher, newcombe
from tests.sampled import sampled

REPLICATES = 5_000
MOST, LEAST = 0.06, 0.93
NOTHING_THERE = ((5, 5, 0.3), (5, 8, 0.3), (10, 10, 0.15), (5, 5, 0.05), (5, 5, 0.15), (7, 7, 0.15))
"""Females in either arm and rho of trials without a difference; half of them by default."""
REFERENCE = next(
    row["expected"]
    for row in json.loads((Path(__file__).parent / "reference" / "trial.json").read_text("utf-8"))
    if row["id"] == "cluster.type1_error"
)


@pytest.fixture(scope="module")
def likelihoods() -> bench.Likelihoods:
    return bench.Likelihoods()


def trials(k: int, m: int, rho: float, replicates: int, seed: int) -> tuple[Any, Any]:
    """(eggs, alive), each replicates × (k + m), no difference between the arms."""
    draw = np.random.default_rng(seed)
    eggs = np.maximum(1, draw.poisson(30, (replicates, k + m)))
    a = 0.65 * (1 - rho) / rho
    return eggs, draw.binomial(eggs, draw.beta(a, a * 0.35 / 0.65, (replicates, k + m)))


@pytest.mark.long
@pytest.mark.parametrize(("k", "m", "rho"), NOTHING_THERE[: sampled(3, 6)])
def test_a_verdict_finds_nothing_where_there_is_nothing(
    likelihoods: bench.Likelihoods, k: int, m: int, rho: float
) -> None:
    eggs, alive = trials(k, m, rho, REPLICATES, seed=1000 * k + m)
    arms = Arm(eggs[:, :k], alive[:, :k]), Arm(eggs[:, k:], alive[:, k:])
    out = bench.rejected(likelihoods, *arms, 0.0, 4)
    assert 0.01 <= out.mean() <= MOST, "and a test that never finds anything proves nothing"
    known = REFERENCE.get(f"k={k},rho={rho:g}") if k == m else None
    if known is not None:
        p = permutation_ps(alive / eggs, k)
        assert float((p <= 0.05).mean()) == pytest.approx(known["perm"], abs=0.012)

    # The whole verdict says what the simulation says.
    for t in range(0, REPLICATES, REPLICATES // sampled(1, 4)):
        broods = [
            BroodCount("outcross" if j < k else "sib", f"f{j}", int(eggs[t, j]), int(alive[t, j]))
            for j in range(k + m)
        ]
        v = verdict(broods, "outcross")
        assert v is not None
        assert v.p is None or (v.finding == CANNOT_TELL) == (not out[t])

    # The control: eggs pooled.
    some = slice(0, 500)
    pooled = [
        fisher(int(y[:k].sum()), int(n[:k].sum()), int(y[k:].sum()), int(n[k:].sum()))
        for n, y in zip(eggs[some], alive[some], strict=True)
    ]
    wrong = float(np.mean(np.array(pooled) <= 0.05))
    assert wrong > 2 * MOST, "the simulation must catch a test that ignores broods"
    if known is not None:
        assert wrong == pytest.approx(known["fisher"], abs=0.07)


def test_arms_of_other_sizes_and_spreads_do_not_make_a_difference(likelihoods: bench.Likelihoods) -> None:
    """The worst cells of ``bench_two_arms``; a permutation of brood shares must fail where arms differ most."""
    n = 3_000
    error = (MOST * (1 - MOST) / n) ** 0.5
    cells = [
        Cell((5, 12), (0.3, 0.02), (0.5, 0.5)),
        Cell((12, 5), (0.02, 0.3), (0.2, 0.2)),
        Cell((6, 6), (0.3, 0.02), (0.2, 0.2)),
        Cell((4, 12), (0.3, 0.3), (0.95, 0.95)),
    ]
    draw = np.random.default_rng(11)
    for cell in cells:
        assert bench.found(likelihoods, draw, n, cell) <= MOST + 2.5 * error, cell
        assert bench.covered(likelihoods, draw, n, cell) >= LEAST - 2.5 * error, cell
    one, other = bench.both(draw, 1_000, Cell((4, 10), (0.3, 0.02), (0.5, 0.5)), eggs=30)
    shares = np.hstack([one.alive / one.eggs, other.alive / other.eggs])
    assert float((permutation_ps(shares, 4) <= 0.05).mean()) > 0.12, "the control finds nothing wrong"


def test_a_difference_that_is_there_is_found(likelihoods: bench.Likelihoods) -> None:
    """8 + 8 females, 0.8 against 0.5, rho 0.1, uneven broods and a barren female in twelve: 8 times of 10."""
    n = 3_000
    cell = Cell((8, 8), (0.1, 0.1), (0.8, 0.5))
    found = bench.found(likelihoods, np.random.default_rng(12), n, cell)
    assert found >= 0.8 - 2.5 * (0.8 * 0.2 / n) ** 0.5


@pytest.mark.parametrize(
    ("sizes", "eggs", "rho", "means"),
    [
        ((4, 4), 40, 0.1, (0.8, 0.5)),
        ((8, 8), 40, 0.1, (0.5, 0.3)),
        ((4, 8), 15, 0.02, (0.95, 0.8)),
        ((12, 12), 15, 0.3, (0.8, 0.5)),
        ((4, 8), 40, 0.1, (0.95, 0.8)),  # near 1, where a coarse grid of means says three points too few
    ],
)
def test_a_plan_says_how_often_a_trial_finds_it(
    likelihoods: bench.Likelihoods,
    sizes: tuple[int, int],
    eggs: int,
    rho: float,
    means: tuple[float, float],
) -> None:
    """To three points, of trials drawn another way."""
    said = planned_power(*sizes, eggs, rho, *means)
    cell = Cell(sizes, (rho, rho), means)
    assert said == pytest.approx(
        bench.found(likelihoods, np.random.default_rng(13), 4_000, cell, eggs), abs=0.03
    )


def test_below_four_females_nothing_is_found_whatever_happens() -> None:
    rates = REFERENCE["k=3,rho=0.15"]
    assert rates["perm"] == 0.0
    worst = [BroodCount("sib", f"s{i}", 40, 0) for i in range(3)] + [
        BroodCount("outcross", f"o{i}", 40, 40) for i in range(3)
    ]
    v = verdict(worst, "outcross")
    assert v is not None
    assert (v.p, v.finding) == (None, CANNOT_TELL)
    assert "0.1 at the least" in v.no_p


def test_the_interval_of_the_difference_holds_the_true_one_as_often_as_it_says(
    likelihoods: bench.Likelihoods,
) -> None:
    """Survival 0.75 against 0.5, rho 0.1; the control takes each of 30 eggs to be independent."""
    draw, cell = np.random.default_rng(5), Cell((6, 6), (0.1, 0.1), (0.75, 0.5))
    assert bench.covered(likelihoods, draw, 2_000, cell) > LEAST
    one, other = bench.both(draw, 400, cell, eggs=30)
    narrow = 0
    for a, b in zip(one.alive.sum(axis=1), other.alive.sum(axis=1), strict=True):
        low, high = newcombe(float(b), 180, float(a), 180)
        narrow += low <= -0.25 <= high
    assert narrow / 400 < 0.85
