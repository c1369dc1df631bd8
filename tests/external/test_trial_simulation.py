"""How often a verdict finds a difference where there is none, by simulation.

Eggs per female Poisson(30), survival 0.65 on average, beta-distributed over females with an
intraclass correlation rho. Seeded. The same data are given to Fisher's exact test on pooled
eggs, which must fail: it takes sisters for strangers.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from rounds.analysis import trial_shares as shares
from rounds.analysis.trial_counts import Brood
from rounds.analysis.trial_verdict import CANNOT_TELL, verdict
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
    p = shares.permutation_ps(alive / eggs, k)
    found = float((p <= 0.05).mean())
    assert found <= MOST
    assert found >= 0.02, "a test that never finds anything proves nothing"
    known = REFERENCE.get(f"k={k},rho={rho:g}") if k == m else None
    if known is not None:
        assert found == pytest.approx(known["perm"], abs=0.012)

    # The whole verdict says what the p-values say.
    for t in range(0, REPLICATES, REPLICATES // 4):
        broods = [
            Brood("outcross" if j < k else "sib", f"f{j}", int(eggs[t, j]), int(alive[t, j]))
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
    worst = [Brood("sib", f"s{i}", 40, 0) for i in range(3)] + [
        Brood("outcross", f"o{i}", 40, 40) for i in range(3)
    ]
    v = verdict(worst, "outcross")
    assert v is not None
    assert (v.p, v.finding) == (None, CANNOT_TELL)
    assert "0.1 at the least" in v.no_p
