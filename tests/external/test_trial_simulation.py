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

from rounds.analysis.trial import power
from rounds.analysis.trial import survival_shares as shares
from rounds.analysis.trial.brood_counts import BroodCount
from rounds.analysis.trial.verdict import CANNOT_TELL, verdict
from tests.external.permutations import permutation_ps
from tests.external.pooled import fisher

REPLICATES = 5_000
MOST = 0.06
REFERENCE = next(
    row["expected"]
    for row in json.loads((Path(__file__).parent / "reference" / "trial.json").read_text("utf-8"))
    if row["id"] == "cluster.type1_error"
)


def trials(k: int, m: int, rho: float, replicates: int, seed: int) -> tuple[Any, Any]:
    """(eggs, alive), each replicates × (k + m), no difference between the arms."""
    draw = np.random.default_rng(seed)
    eggs = np.maximum(1, draw.poisson(30, (replicates, k + m)))
    a = 0.65 * (1 - rho) / rho
    return eggs, draw.binomial(eggs, draw.beta(a, a * 0.35 / 0.65, (replicates, k + m)))


@pytest.mark.long
@pytest.mark.parametrize(
    ("k", "m", "rho"),
    [
        (5, 5, 0.05),
        (5, 5, 0.15),
        (5, 5, 0.3),
        (7, 7, 0.15),
        (5, 8, 0.3),
        (10, 10, 0.05),
        (10, 10, 0.15),
        (10, 10, 0.3),
    ],
)
def test_a_verdict_finds_nothing_where_there_is_nothing(k: int, m: int, rho: float) -> None:
    eggs, alive = trials(k, m, rho, REPLICATES, seed=1000 * k + m)
    p = permutation_ps(alive / eggs, k)
    found = float((p <= 0.05).mean())
    assert found <= MOST
    assert found >= 0.02, "a test that never finds anything proves nothing"
    known = REFERENCE.get(f"k={k},rho={rho:g}") if k == m else None
    if known is not None:
        assert found == pytest.approx(known["perm"], abs=0.012)

    # The whole verdict says what the p-values say.
    for t in range(0, REPLICATES, REPLICATES // 4):
        broods = [
            BroodCount("outcross" if j < k else "sib", f"f{j}", int(eggs[t, j]), int(alive[t, j]))
            for j in range(k + m)
        ]
        v = verdict(broods, "outcross")
        assert v is not None
        assert v.p == pytest.approx(p[t], abs=1e-12)
        assert (v.finding == CANNOT_TELL) == (p[t] > 0.05)

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


@pytest.mark.long
@pytest.mark.parametrize("rho", [0.05, 0.3])
def test_welchs_test_holds_too_where_arrangements_are_too_many(rho: float) -> None:
    k = 12
    assert not shares.permutations_feasible(k, k)
    eggs, alive = trials(k, k, rho, REPLICATES, seed=12)
    x = alive / eggs
    one, other = x[:, :k], x[:, k:]
    found = np.mean([shares.welch(list(a), list(b))[2] <= 0.05 for a, b in zip(one, other, strict=True)])
    assert 0.02 <= found <= MOST


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


@pytest.mark.parametrize(("k", "m"), [(4, 4), (4, 6), (5, 5), (6, 6), (8, 8)])
def test_what_a_trial_can_detect_is_found_that_often(k: int, m: int) -> None:
    """Brood shares drawn from the normal with the difference said to be found in 8 of 10."""
    d = power.detectable(k, m, 1.0)
    assert d is not None
    x = np.random.default_rng(97 * k + m).normal(size=(3_000, k + m))
    x[:, k:] -= d
    found = float((permutation_ps(x, k) <= 0.05).mean())
    assert 0.72 < found < 0.84
    if (k, m) == (4, 4):
        # The control: what a test at 0.05 sharp would detect, the exact one of 4 + 4 broods mostly misses.
        sharp = 2.380754 - d
        assert sharp < -0.2
        x[:, k:] -= sharp
        assert float((permutation_ps(x, k) <= 0.05).mean()) < 0.70


def test_the_interval_of_the_difference_holds_the_true_one_as_often_as_it_says() -> None:
    """Survival 0.75 against 0.5, rho 0.1, 30 eggs: 95% of ranges should hold the 25 points."""
    k, rho, held, narrow = 6, 0.1, 0, 0
    draw = np.random.default_rng(5)
    replicates = 400
    for _ in range(replicates):
        arms = [
            draw.binomial(30, draw.beta(p * (1 - rho) / rho, (1 - p) * (1 - rho) / rho, k)) / 30
            for p in (0.75, 0.5)
        ]
        ends = shares.permutation_test(list(map(float, arms[0])), list(map(float, arms[1]))).interval
        held += ends.low <= -0.25 <= ends.high
        # The control: an interval that takes each egg to be independent.
        low, high = shares.newcombe(arms[1].mean() * 180, 180, arms[0].mean() * 180, 180)
        narrow += low <= -0.25 <= high
    assert held / replicates > 0.92
    assert narrow / replicates < 0.85
