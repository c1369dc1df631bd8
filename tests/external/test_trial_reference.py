"""The sib trial's figures against published and independently computed values.

The rows, each with its source and how it was verified, stand in ``reference/trial.json``.
scipy.stats and statsmodels are second opinions here; the program itself uses neither.
"""

from __future__ import annotations

import json
import math
import warnings as python_warnings
from collections.abc import Callable
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import scipy  # its parts are loaded where they are used: this file is collected in every run

from rounds.analysis.trial import beta_binomial, inbreeding_cost
from rounds.analysis.trial import power as trial_power
from rounds.analysis.trial import survival_shares as shares
from rounds.analysis.trial.brood_counts import BroodCount
from rounds.analysis.trial.two_arm_test import Shares, brood_shares, freedom, two_arm_test, welch_p
from rounds.analysis.trial.verdict import CANNOT_TELL, verdict
from tests.external.permutations import permutation_ps, smallest_p
from tests.external.pooled import fisher, newcombe

ROWS = {
    row["id"]: row
    for row in json.loads((Path(__file__).parent / "reference" / "trial.json").read_text("utf-8"))
}
CHECKS: dict[str, Callable[[Any, Any], None]] = {}
ELSEWHERE = {"cluster.type1_error"}  # tests/external/test_trial_simulation.py


@cache
def statsmodels() -> Any:
    """Its models; loaded when they are asked for."""
    with python_warnings.catch_warnings():
        python_warnings.simplefilter("ignore")
        import statsmodels.api
    return statsmodels.api


@cache
def proportions() -> Any:
    """What statsmodels knows of proportions."""
    with python_warnings.catch_warnings():
        python_warnings.simplefilter("ignore")
        import statsmodels.stats.proportion
    return statsmodels.stats.proportion


def check(name: str) -> Callable[[Callable[[Any, Any], None]], Callable[[Any, Any], None]]:
    def keep(f: Callable[[Any, Any], None]) -> Callable[[Any, Any], None]:
        CHECKS[name] = f
        return f

    return keep


@pytest.mark.parametrize("name", sorted(ROWS.keys() - ELSEWHERE))
def test_reference(name: str) -> None:
    row = ROWS[name]
    CHECKS[name](row["inputs"], row["expected"])


def test_every_row_is_tested_and_names_source_and_tolerance() -> None:
    assert set(CHECKS) | ELSEWHERE == set(ROWS)
    assert all(row["source"] and row["how_verified"] and row["tolerance"] for row in ROWS.values())


# Morton, Crow & Muller 1956
@check("mcm.two_group")
def _(inputs: Any, expected: Any) -> None:
    rows = [inbreeding_cost.Level(*level) for level in inputs["levels"]]
    fit = inbreeding_cost.fit(rows)
    assert fit.a == pytest.approx(expected["A"], rel=1e-9)
    assert fit.b == pytest.approx(expected["B_per_gamete"], rel=1e-9)
    assert fit.lethal_equivalents == pytest.approx(expected["diploid_lethal_equivalents_2B"], rel=1e-9)
    assert fit.error_b == pytest.approx(expected["se_B"], abs=1e-6)
    b, delta = inbreeding_cost.between(0.8, 0.6, 0.25)
    assert (b, delta) == pytest.approx((expected["B_per_gamete"], expected["delta"]), rel=1e-9)


# Ralls, Ballou & Templeton 1988: their lethal equivalents are per diploid animal, 2B
@check("mcm.ralls")
def _(inputs: Any, expected: Any) -> None:
    costs = [inbreeding_cost.cost_of(x / 2, inputs["f"]) for x in inputs["2B"]]
    assert costs == pytest.approx(expected[:2], abs=1e-12)
    assert costs[0] == pytest.approx(expected[2], abs=0.01)
    assert inbreeding_cost.cost_of(inputs["2B"][0], inputs["f"]) > 0.5, "2B taken for B must not pass"


# Alvarez, Ceballos & Quinteiro 2009
@check("mcm.alvarez")
def _(inputs: Any, expected: Any) -> None:
    assert inbreeding_cost.b_of(inputs["cost"], inputs["f"]) == pytest.approx(expected, abs=1e-9)
    assert inbreeding_cost.cost_of(expected, inputs["f"]) == pytest.approx(inputs["cost"], abs=1e-12)


# Fisher 1935. The program never pools eggs; this is the test its simulation has to beat.
@check("fisher.tea")
def _(table: Any, expected: Any) -> None:
    (a, b), (c, d) = table
    assert fisher(a, a + b, c, c + d) == pytest.approx(expected["two_sided"], abs=1e-12)
    assert scipy.stats.fisher_exact(table, "greater")[1] == pytest.approx(expected["one_sided"], abs=1e-12)
    assert scipy.stats.fisher_exact([[4, 0], [0, 4]], "greater")[1] == pytest.approx(
        expected["all_correct_one_sided"], abs=1e-12
    )
    odds = scipy.stats.contingency.odds_ratio(np.array(table))
    assert odds.statistic == pytest.approx(expected["conditional_MLE_OR"], abs=1e-4)
    ends = odds.confidence_interval(0.95)
    assert (ends.low, ends.high) == pytest.approx(tuple(expected["exact_95CI"]), abs=1e-3)


# Fisher 1962
@check("fisher.convictions")
def _(table: Any, expected: Any) -> None:
    (a, b), (c, d) = table
    assert fisher(a, a + b, c, c + d) == pytest.approx(expected["two"], rel=1e-9)
    assert scipy.stats.fisher_exact(table, "less")[1] == pytest.approx(expected["less"], rel=1e-9)
    odds = scipy.stats.contingency.odds_ratio(np.array(table))
    assert odds.statistic == pytest.approx(expected["condOR"], rel=1e-3)
    ends = odds.confidence_interval(0.95)
    assert (ends.low, ends.high) == pytest.approx(tuple(expected["CI"]), rel=1e-3)
    assert scipy.stats.barnard_exact(table).pvalue == pytest.approx(expected["barnard"], rel=1e-3)
    assert scipy.stats.boschloo_exact(table).pvalue == pytest.approx(expected["boschloo"], rel=1e-2)


def differences(expected: Any) -> list[tuple[list[int], list[float]]]:
    out = []
    for name, ends in expected.items():
        one, other = name.split("-")
        out.append(([int(x) for part in (one, other) for x in part.split("/")], ends))
    return out


# Newcombe 1998, method 10
@check("newcombe.method10")
def _(_: Any, expected: Any) -> None:
    for numbers, ends in differences(expected):
        assert newcombe(*numbers) == pytest.approx(tuple(ends), abs=1e-9), numbers
        assert proportions().confint_proportions_2indep(*numbers, method="newcomb") == pytest.approx(
            tuple(ends), abs=1e-9
        )


# Agresti & Caffo 2000: a second opinion, and why the program does not use it: it leaves −1 to 1
@check("agresti_caffo")
def _(_: Any, expected: Any) -> None:
    outside = 0
    for numbers, ends in differences(expected):
        assert proportions().confint_proportions_2indep(*numbers, method="agresti-caffo") == pytest.approx(
            tuple(ends), abs=1e-6
        )
        low, high = newcombe(*numbers)
        assert -1 <= low <= high <= 1
        assert (low, high) == pytest.approx(tuple(ends), abs=0.11)
        outside += ends[1] > 1 or ends[0] < -1
    assert outside


# Newcombe 1998 (single shares); Wilson 1927
@check("wilson")
def _(_: Any, expected: Any) -> None:
    for name, ends in expected.items():
        alive, eggs = map(int, name.split("/"))
        assert shares.wilson(alive, eggs) == pytest.approx(tuple(ends["wilson"]), abs=1e-9)
        assert proportions().proportion_confint(alive, eggs, method="beta") == pytest.approx(
            tuple(ends["clopper_pearson"]), abs=1e-9
        )


@check("power.r_manual")
def _(inputs: Any, expected: Any) -> None:
    n, (p, q) = inputs["n"], inputs["p"]
    assert trial_power.power_of(n, p, q) == pytest.approx(expected["power"], abs=1e-5)
    assert trial_power.eggs_for(p, q, inputs["power"]) == pytest.approx(expected["n"], abs=1e-5)
    assert proportions().power_proportions_2indep(q - p, p, n).power == pytest.approx(
        expected["power"], abs=1e-3
    )


# Fleiss 1981; Fleiss, Tytun & Ury 1980
@check("power.fleiss")
def _(inputs: Any, expected: Any) -> None:
    for name, (p, q, power) in inputs.items():
        assert trial_power.eggs_for(p, q, power) == pytest.approx(expected[name]["n_uncorrected"], abs=1e-4)
        assert trial_power.eggs_for(p, q, power, corrected=True) == pytest.approx(
            expected[name]["n_continuity_corrected"], abs=1e-4
        )
    assert math.ceil(trial_power.eggs_for(0.25, 0.40, corrected=True)) == 165  # as printed


@check("power.design_effect")
def _(inputs: Any, expected: Any) -> None:
    found = [shares.design_effect(inputs["m"], rho) for rho in inputs["rho"]]
    assert found == pytest.approx(expected, abs=1e-12)


# Weil 1970: pooled, the litters "differ" at p = 0.003; taken as litters, nobody can tell
@check("cluster.rats")
def _(inputs: Any, expected: Any) -> None:
    arms = {name: [(n, y) for n, y in rows] for name, rows in inputs["eggs, alive"].items()}
    control, treated = arms["CTRL"], arms["TREAT"]
    for name, rows in arms.items():
        assert sum(n for n, _ in rows) == expected["totals"]["n"][name]
        assert sum(y for _, y in rows) == expected["totals"]["y"][name]
    pooled = [(sum(y for _, y in rows), sum(n for n, _ in rows)) for rows in (control, treated)]
    table = [[y, n - y] for y, n in pooled]
    assert fisher(*pooled[0], *pooled[1]) == pytest.approx(expected["naive_fisher_p"], rel=1e-6)
    assert scipy.stats.chi2_contingency(table, correction=False)[1] == pytest.approx(
        expected["naive_chi2_p"], rel=1e-6
    )

    known = expected["beta_binomial"]
    fit, flat = beta_binomial.fit([control, treated]), beta_binomial.fit([control + treated])
    assert fit.mu == pytest.approx(list(known["mu"].values()), abs=1e-5)
    assert fit.rho == pytest.approx(known["rho"], abs=1e-4)
    assert (fit.loglik, flat.loglik) == pytest.approx((known["loglik1"], known["loglik0"]), abs=1e-5)
    ratio = 2 * (fit.loglik - flat.loglik)
    assert (ratio, scipy.stats.chi2.sf(ratio, 1)) == pytest.approx((known["LR"], known["p"]), abs=1e-4)
    assert fit.rho_low < fit.rho < fit.rho_high

    a, b = ([y / n for n, y in rows] for rows in (control, treated))
    # Litters vary more than by chance, so that ours is Welch's own t; with fewer degrees of freedom.
    one, other = (
        brood_shares(*np.array([list(zip(*rows, strict=True))]).swapaxes(0, 1)) for rows in (control, treated)
    )
    second = scipy.stats.ttest_ind(b, a, equal_var=False)
    assert second.pvalue == pytest.approx(expected["welch_on_litter_proportions_p"], rel=1e-6)
    t = float((other.mean - one.mean)[0] / np.sqrt(one.error + other.error)[0])
    assert t == pytest.approx(second.statistic, rel=1e-9)
    assert satterthwaite(one, other)[0] == pytest.approx(second.df, rel=1e-9)
    assert scipy.stats.mannwhitneyu(a, b, method="asymptotic").pvalue == pytest.approx(
        expected["mann_whitney_p"], rel=1e-6
    )
    exact = float(permutation_ps([[*a, *b]], len(a))[0])
    assert exact == pytest.approx(0.065, abs=0.006), "permutation, sampled when the data were first looked at"

    _regressions(control, treated, expected)
    found = verdict(
        [BroodCount(arm, f"{arm}{i}", n, y) for arm, rows in arms.items() for i, (n, y) in enumerate(rows)],
        "CTRL",
    )
    assert found is not None
    assert found.finding == CANNOT_TELL
    assert found.p is not None
    assert found.p > expected["welch_on_litter_proportions_p"]


def satterthwaite(one: Shares, other: Shares) -> Any:
    """Welch's own degrees of freedom out of ours, which are averaged with those of the smaller arm."""
    return 1 / (2 / freedom(one, other) - 1 / (np.minimum(one.broods, other.broods) - 1))


# Student 1908 (Biometrika 6:1-25; data of Cushny & Peebles 1905): hours of sleep gained with two drugs
@check("studentised.sleep")
def _(inputs: Any, expected: Any) -> None:
    first, second = (
        Shares(np.array([np.mean(x)]), np.array([np.var(x, ddof=1) / len(x)]), np.array([len(x)]))
        for x in inputs
    )
    t = float((first.mean - second.mean)[0] / np.sqrt(first.error + second.error)[0])
    df = float(satterthwaite(first, second)[0])
    assert (t, df) == pytest.approx((expected["t"], expected["df"]), abs=6e-4)
    assert 2 * scipy.stats.t.sf(abs(t), df) == pytest.approx(expected["p"], abs=5e-6)
    half = scipy.stats.t.ppf(0.975, df) * -(first.mean - second.mean)[0] / t
    assert (first.mean - second.mean)[0] - abs(half) == pytest.approx(expected["interval"][0], abs=1e-6)
    # Ours never says more than Welch's own.
    assert float(welch_p(first, second)[0]) >= expected["p"]


def welch(one: Shares, other: Shares) -> tuple[float, float]:
    """Welch's t and degrees of freedom out of our parts."""
    t = float((one.mean - other.mean)[0] / np.sqrt(one.error + other.error)[0])
    return t, float(satterthwaite(one, other)[0])


def summary(mean: float, variance: float, n: int) -> Shares:
    return Shares(np.array([mean]), np.array([variance / n]), np.array([n]))


# R's manual page of t.test, examples
@check("studentised.r_manual")
def _(inputs: Any, expected: Any) -> None:
    for name, (a, b, c, d, more) in inputs.items():
        groups = [*range(a, b + 1)], [*range(c, d + 1), *([] if more is None else [more])]
        one, other = (summary(np.mean(x), np.var(x, ddof=1), len(x)) for x in groups)
        t, df = welch(one, other)
        known = expected[name]
        assert (t, df) == pytest.approx((known["t"], known["df"]), abs=6e-4)
        assert 2 * scipy.stats.t.sf(abs(t), df) == pytest.approx(known["p"], rel=5e-4)
        assert float(welch_p(one, other)[0]) >= known["p"], "ours never says more than Welch's own"


# NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.3
@check("studentised.auto83b")
def _(inputs: Any, expected: Any) -> None:
    one, other = (
        summary(m, s**2, n) for m, s, n in zip(inputs["mean"], inputs["sd"], inputs["n"], strict=True)
    )
    t, df = welch(one, other)
    assert t == pytest.approx(expected["t"], abs=2e-5)
    assert df == pytest.approx(expected["df"], abs=1e-3)
    theirs = scipy.stats.ttest_ind_from_stats(
        *(x for part in zip(inputs["mean"], inputs["sd"], inputs["n"], strict=True) for x in part),
        equal_var=False,
    )
    assert t == pytest.approx(theirs.statistic, rel=1e-12)


# Crowder 1978 (Applied Statistics 27:34-37), table 1: seeds germinated in three dilutions of an extract
@check("cluster.seeds")
def _(inputs: Any, expected: Any) -> None:
    plates = {name: [(n, y) for n, y in rows] for name, rows in inputs["n, germinated"].items()}
    for name, rows in plates.items():
        pooled = sum(y for _, y in rows) / sum(n for n, _ in rows)
        assert pooled == pytest.approx(expected["share"][name], abs=6e-4)
    every = [plate for rows in plates.values() for plate in rows]
    assert sum(y for _, y in every) / sum(n for n, _ in every) == pytest.approx(
        expected["share of all"], abs=6e-4
    )
    # Each arm with a rho of its own, against a general optimiser on scipy's beta-binomial.
    for weak, strong in (("1/25", "1/1"), ("1/625", "1/25")):
        found = two_arm_test(plates[strong], plates[weak])
        apart = [best_fit([plates[strong]]), best_fit([plates[weak]])]
        ratio = 2 * (sum(apart) - best_fit([plates[strong], plates[weak]]))
        assert found.likelihood == pytest.approx(scipy.stats.chi2.sf(ratio, 1), rel=0.05)
        assert (found.p <= 0.05) == (weak == "1/25")


def best_fit(arms: Any) -> float:
    """The highest log likelihood of arms with one mean and a rho for each."""

    def minus(x: Any) -> float:
        # Below that rho the library's beta functions cancel to noise, far above any likelihood.
        mean, rhos = scipy.special.expit(x[0]), np.maximum(scipy.special.expit(x[1:]), 1e-6)
        total = 0.0
        for rows, rho in zip(arms, rhos, strict=True):
            n, y = np.array(rows).T
            total += scipy.stats.betabinom.logpmf(
                y, n, mean * (1 - rho) / rho, (1 - mean) * (1 - rho) / rho
            ).sum()
        return -float(total)

    eggs, alive = np.array([row for rows in arms for row in rows]).T.sum(axis=1)
    starts = [[scipy.special.logit(alive / eggs), *rhos] for rhos in product((-4.0, 0.5), repeat=len(arms))]
    options = {"xatol": 1e-6, "fatol": 1e-9, "maxiter": 4000}
    return -min(
        float(scipy.optimize.minimize(minus, x, method="Nelder-Mead", options=options).fun) for x in starts
    )


def _regressions(control: Any, treated: Any, expected: Any) -> None:
    """Quasi-binomial, GEE, Donner and Rao-Scott: other ways to take litters into account."""
    n = np.array([n for n, _ in control + treated], float)
    y = np.array([y for _, y in control + treated], float)
    x = np.c_[np.ones(32), np.repeat([0.0, 1.0], 16)]
    quasi = statsmodels().GLM(y / n, x, statsmodels().families.Binomial(), var_weights=n).fit(scale="X2")
    known = expected["quasi_binomial"]
    # R's figures are from its last step's residuals, 4e-5 from those at the top itself.
    assert quasi.scale == pytest.approx(known["phi"], rel=1e-4)
    assert quasi.bse[1] == pytest.approx(known["se_treat"], rel=1e-4)
    assert 2 * scipy.stats.t.sf(abs(quasi.tvalues[1]), 30) == pytest.approx(known["p_t"], rel=2e-4)
    # Counts of two columns get another, far too small dispersion from the library: not to be used.
    assert (
        statsmodels().GLM(np.c_[y, n - y], x, statsmodels().families.Binomial()).fit(scale="X2").scale < 0.5
    )

    rows, of = [], []
    for litter, (size, alive) in enumerate(control + treated):
        rows += [1.0] * alive + [0.0] * (size - alive)
        of += [litter] * size
    with python_warnings.catch_warnings():
        python_warnings.simplefilter("ignore")
        gee = (
            statsmodels()
            .GEE(
                np.array(rows),
                x[np.array(of)],
                groups=np.array(of),
                family=statsmodels().families.Binomial(),
                cov_struct=statsmodels().cov_struct.Exchangeable(),
            )
            .fit()
        )
    known = expected["GEE_exchangeable"]
    assert list(gee.params) == pytest.approx(known["beta"], rel=1e-4)
    assert list(gee.bse) == pytest.approx(known["se_robust"], rel=1e-4)

    # Rao & Scott 1992: counts over a design effect for each arm, from the formula
    halves = []
    for rows_ in (control, treated):
        size, alive = sum(a for a, _ in rows_), sum(b for _, b in rows_)
        p, k = alive / size, len(rows_)
        v = k / (k - 1) / size**2 * sum((b - a * p) ** 2 for a, b in rows_)
        halves.append((size, alive, k, p, size * v / (p * (1 - p))))
    for found, wanted in zip(halves, expected["rao_scott"]["groups"], strict=True):
        assert found == pytest.approx(tuple(wanted), rel=1e-6)
    table = [[alive / d, (size - alive) / d] for size, alive, _, _, d in halves]
    chi2, p, *_ = scipy.stats.chi2_contingency(table, correction=False)
    assert (chi2, p) == pytest.approx((expected["rao_scott"]["X2"], expected["rao_scott"]["p"]), rel=1e-6)


@check("cluster.permutation_floor")
def _(inputs: Any, expected: Any) -> None:
    for k in inputs:
        assert smallest_p(k, k) == pytest.approx(expected[str(k)], abs=1e-15)
        assert float(permutation_ps([[0.9] * k + [0.1] * k], k)[0]) == pytest.approx(
            expected[str(k)], abs=1e-12
        )
    assert smallest_p(shares.FEWEST - 1, shares.FEWEST - 1) > 0.05 > smallest_p(shares.FEWEST, shares.FEWEST)


# Aitkin 1978, through R's MASS: counts that vary more than chance (no command fits them; the
# second opinions used here are held to a known answer)
@check("nb.quine")
def _(inputs: Any, expected: Any) -> None:
    rows = inputs["Eth, Sex, Age, Lrn, Days"]
    x = np.array(
        [
            [1, e == "N", s == "M", a == "F1", a == "F2", a == "F3", learner == "SL"]
            for e, s, a, learner, _ in rows
        ],
        dtype=float,
    )
    with python_warnings.catch_warnings():
        python_warnings.simplefilter("ignore")
        fit = statsmodels().NegativeBinomial(np.array([r[-1] for r in rows]), x).fit(disp=0, maxiter=500)
    assert 1 / fit.params[-1] == pytest.approx(expected["theta"], rel=1e-4)
    assert sorted(fit.params[:-1]) == pytest.approx(sorted(expected["coef"]), abs=1e-3)


# Our own arithmetic (normal approximation), from survival S(0) · exp(−B · 0.25): not from a source
@pytest.mark.parametrize(
    ("p", "q", "eggs", "power"),
    [
        (0.70, 0.64135, 1007, 0.12),
        (0.45, 0.34611, 347, 0.27),
        (0.45, 0.30391, 172, 0.49),
        (0.80, 0.54, 50, 0.95),
    ],
)
def test_what_a_rack_can_answer(p: float, q: float, eggs: int, power: float) -> None:
    assert trial_power.eggs_for(p, q) == pytest.approx(eggs, abs=1)
    effective = 240 / shares.design_effect(40, 0.05)
    assert trial_power.power_of(effective, p, q) == pytest.approx(power, abs=0.01)
    by_broods = trial_power.planned_power(6, 6, 40, 0.05, p, q)
    assert by_broods is not None
    assert by_broods < trial_power.power_of(effective, p, q), "few broods know their own spread less well"
