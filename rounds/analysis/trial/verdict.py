"""The verdict of a sib trial: what was found, how sure, and what could have been found at all.

One test is made, settled beforehand: the exact permutation test of the difference of mean
brood shares, or Welch's where there are too many broods to go through every arrangement.
The beta-binomial fit describes; its likelihood-ratio p would be too hopeful for few females
and is not given. Below four females an arm there is no p-value at all.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import exp, inf, log, sqrt
from typing import NamedTuple

from rounds.analysis.trial import beta_binomial as betabinomial
from rounds.analysis.trial import survival_shares as shares
from rounds.analysis.trial import verdict_sentences as sentences
from rounds.analysis.trial.brood_counts import REFERENCES, SIBS, BroodCount, Unit, Units, units
from rounds.analysis.trial.inbreeding_cost import between
from rounds.analysis.trial.power import POWER, detectable, females_to_find
from rounds.analysis.trial.survival_shares import FEWEST, LEVEL, Interval, design_effect
from rounds.analysis.trial.trial_plan import Pair, unequal
from rounds.analysis.trial.trial_plan_sentences import FEMALES, MALES

RHO = 0.1
"""The intraclass correlation taken where a trial cannot tell its own (estimate)."""

LOWER, HIGHER, CANNOT_TELL, DESCRIBED = "lower", "higher", "cannot tell", "described"


class Arm(NamedTuple):
    """One arm: its independent broods, their mean share with an interval, and F as far as known."""

    name: str
    units: list[Unit]
    mean: float
    interval: Interval
    f: float | None

    @property
    def shares(self) -> list[float]:
        return [u.share for u in self.units]


class Amount(NamedTuple):
    """A figure with its range; an end is None where there is none."""

    value: float
    low: float | None
    high: float | None
    method: str


class Verdict(NamedTuple):
    """``finding``: the other arm's survival is lower, higher, cannot tell, or only described.

    ``p`` is None with ``no_p`` saying why. ``detectable`` is the smallest difference found in
    8 of 10 such trials with broods as variable as these; ``repeat`` females per arm would find
    the difference seen. ``f`` is the difference in F that B stands on, None where not known.
    """

    reference: Arm
    other: Arm
    finding: str
    p: float | None
    no_p: str
    method: str
    difference: float
    interval: Interval | None
    fit: betabinomial.Fit | None
    delta: Amount | None
    b: Amount | None
    f: float | None
    f_assumed: bool
    detectable: float | None
    repeat: int | None
    dropped: list[tuple[BroodCount, str]]
    merged: list[str]
    notes: list[str]


def verdict(
    broods: Sequence[BroodCount], reference: str, f: Mapping[str, float] | None = None
) -> Verdict | None:
    """Judge a trial of two arms; ``f`` gives an arm's F where the counts do not.

    None when an arm is left without a brood to compare: :func:`trial_counts.units` says why.
    """
    found = units(broods, reference)
    names = list(found.arms)
    if len(names) != 2 or not all(found.arms.values()):
        return None
    known = dict(f or {})
    assumed = False
    for name, some in found.arms.items():
        if name in known or any(u.f is not None for u in some):
            continue
        if name.casefold() in SIBS or name.casefold() in REFERENCES:
            known[name], assumed = 0.25 if name.casefold() in SIBS else 0.0, True
    one, other = (_arm(name, found.arms[name], known) for name in names)
    gone = {id(b) for b, _ in found.dropped}
    kept = [
        Pair(b.arm, b.female, b.male, b.female_age, b.male_age, b.batch) for b in broods if id(b) not in gone
    ]
    v = _judge(one, other, found, assumed=assumed)
    if v.finding != DESCRIBED:
        v.notes.extend(_doubtful(kept))
        v.notes.extend(map(sentences.differ_otherwise, unequal(kept)))
    return v


def _doubtful(kept: Sequence[Pair]) -> Iterator[str]:
    """Possible dependence between broods that are treated as independent, as far as their names tell."""
    if nameless := sum(not p.male for p in kept):
        yield sentences.males_not_given(nameless)
    males = [m.strip() for p in kept for m in p.male.split("|")]
    for what, names in ((FEMALES, [p.female for p in kept]), (MALES, males)):
        alike: dict[str, str] = {}
        for name in dict.fromkeys(names):
            other = alike.setdefault(name.casefold().replace(" ", ""), name)
            if other != name:
                yield sentences.names_alike(what, other, name)


def _arm(name: str, some: list[Unit], f: Mapping[str, float]) -> Arm:
    own = [u.f for u in some if u.f is not None]
    parts = [u.share for u in some]
    return Arm(
        name,
        some,
        shares.mean(parts),
        shares.of_arm(parts, sum(u.eggs for u in some), RHO),
        f.get(name, shares.mean(own) if len(own) == len(some) else None),
    )


def _judge(one: Arm, other: Arm, found: Units, *, assumed: bool) -> Verdict:
    a, b = one.shares, other.shares
    k, m = len(a), len(b)
    test, no_p = _test(one, other)
    interval: Interval | None = test.interval if test is not None else _interval(one, other)
    difference = other.mean - one.mean
    finding = CANNOT_TELL
    if min(k, m) == 1:
        finding, interval = DESCRIBED, None
    elif test is not None and test.p <= 1 - LEVEL:
        finding = LOWER if difference < 0 else HIGHER
    fit = None
    if min(k, m) > 1:
        fit = betabinomial.fit([[(u.eggs, u.alive) for u in arm.units] for arm in (one, other)])
    f = other.f - one.f if one.f is not None and other.f is not None and other.f > one.f else None
    # One brood's cost would be its own mother's and tub's as much as its arm's.
    delta, cost = _costs(one, other, f) if finding != DESCRIBED else (None, None)
    notes = []
    smallest = repeat = None
    if min(k, m) > 1:
        v = _pooled(a, b)
        if v == 0:
            v = _assumed_variance(one, other)
        smallest = detectable(k, m, v)
        if finding == CANNOT_TELL and abs(difference) > 1e-9:
            repeat = females_to_find(difference, v)
    if interval is not None and (interval.low > 0 or interval.high < 0):
        if test is None:
            notes.append(sentences.leans_on_few(k, m))
    elif finding in (LOWER, HIGHER):
        notes.append(sentences.range_holds_none(RHO))
    sizes = [u.eggs for u in (*one.units, *other.units)]
    if min(k, m) > 1 and max(sizes) > 5 * min(sizes):
        notes.append(sentences.uneven_broods(min(sizes), max(sizes)))
    if min(k, m) > 1 and abs(k - m) > max(k, m) / 3:
        notes.append(sentences.uneven_arms(k, m))
    return Verdict(
        one,
        other,
        finding,
        test.p if test is not None else None,
        no_p,
        test.method if test is not None else "",
        difference,
        interval,
        fit,
        delta,
        cost,
        f,
        assumed and f is not None,
        smallest,
        repeat,
        found.dropped,
        found.merged,
        notes,
    )


def _test(one: Arm, other: Arm) -> tuple[shares.Test | None, str]:
    a, b = one.shares, other.shares
    k, m = len(a), len(b)
    if min(k, m) == 1:
        lone = one if k == 1 else other
        return None, sentences.lone_brood(lone.units[0].name)
    if min(k, m) < FEWEST:
        return None, sentences.too_few_for_p(k, m, FEWEST)
    if shares.permutations_feasible(k, m):
        test = shares.permutation_test(a, b)
        if shares.variance(a) + shares.variance(b) > 0:
            return test, ""
        # Broods that came out alike do not make the difference certain to the last egg.
        return test._replace(interval=_interval(one, other)), ""
    if shares.variance(a) + shares.variance(b) > 0:
        return shares.welch_test(a, b), ""
    if shares.mean(a) == shares.mean(b):
        return None, sentences.ALL_ALIKE
    # Neither arm varies and they differ: of all arrangements only this one and its mirror do so.
    d = shares.mean(b) - shares.mean(a)
    p = shares.smallest_p(k, m)
    return shares.Test(d, p, sentences.EXACT_TEST, _interval(one, other)), ""


def _interval(one: Arm, other: Arm) -> Interval:
    """An interval of the difference where no test is made; always wide."""
    a, b = one.shares, other.shares
    if min(len(a), len(b)) > 1 and shares.variance(a) + shares.variance(b) > 0:
        return shares.welch_test(a, b).interval
    n = [
        sum(u.eggs for u in arm.units) / design_effect(sum(u.eggs for u in arm.units) / len(arm.units), RHO)
        for arm in (one, other)
    ]
    low, high = shares.newcombe(other.mean * n[1], n[1], one.mean * n[0], n[0])
    return Interval(low, high, sentences.newcombe(RHO))


def _pooled(a: Sequence[float], b: Sequence[float]) -> float:
    return ((len(a) - 1) * shares.variance(a) + (len(b) - 1) * shares.variance(b)) / (len(a) + len(b) - 2)


def _assumed_variance(one: Arm, other: Arm) -> float:
    """What broods would vary by if nothing but chance and :data:`RHO` made them differ."""
    sizes = [u.eggs for u in (*one.units, *other.units)]
    # (y + 1) / (n + 2): a share of exactly 0 or 1 would not vary at all.
    alive = sum(u.alive for u in (*one.units, *other.units))
    p, m = (alive + 1) / (sum(sizes) + 2), sum(sizes) / len(sizes)
    return p * (1 - p) / m * design_effect(m, RHO)


def _costs(one: Arm, other: Arm, f: float | None) -> tuple[Amount | None, Amount | None]:
    """delta and B, with intervals of the log ratio of the mean shares by the delta method and t."""
    if one.mean == 0:
        return None, None
    if other.mean == 0:
        return Amount(1.0, None, None, sentences.NOTHING_SURVIVED), (
            Amount(inf, None, None, sentences.NOTHING_SURVIVED) if f else None
        )
    b, delta = between(one.mean, other.mean, f or 1.0)
    low = high = None
    method = sentences.BROODS_ALL_ALIKE
    parts = [(shares.variance(x.shares), len(x.units), x.mean) for x in (one, other)]
    if all(k > 1 for _, k, _ in parts) and any(v > 0 for v, _, _ in parts):
        errors = [v / (k * mean * mean) for v, k, mean in parts]
        df = sum(errors) ** 2 / sum(
            e * e / (k - 1) for e, (_, k, _) in zip(errors, parts, strict=True) if e > 0
        )
        half = shares.t_quantile(df) * sqrt(sum(errors))
        middle = log(one.mean / other.mean)
        low, high = middle - half, middle + half
        method = sentences.DELTA_METHOD
    if low is None or high is None:
        return Amount(delta, None, None, method), Amount(b, None, None, method) if f else None
    return (
        Amount(delta, 1 - exp(-low), 1 - exp(-high), method),
        Amount(b, low / f, high / f, method) if f else None,
    )


__all__ = [
    "CANNOT_TELL",
    "DESCRIBED",
    "HIGHER",
    "LOWER",
    "POWER",
    "Amount",
    "Arm",
    "Verdict",
    "verdict",
]
