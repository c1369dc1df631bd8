"""A plan and a verdict in words for the keeper."""

from __future__ import annotations

from datetime import date
from math import isfinite

from rounds.analysis.trial.beta_binomial import MOST_RHO
from rounds.analysis.trial.power import POWER, ROUGH
from rounds.analysis.trial.trial_plan import TrialPlan
from rounds.analysis.trial.verdict import CANNOT_TELL, DESCRIBED, LOWER, Amount, Verdict
from rounds.text.cleaning import clean

BLINDING = (
    "This is not fully blinded: whoever walks does not see arm or F on the round, but can know whose tub it is. "
    "Give both arms the same disturbance, and decide now where surplus animals go."
)

BLINDED = "This was not fully blinded: no arm and no F was told on the round, but the keeper could know whose tub it was."

OPTIMISTIC = 10
"""Females per arm below which likelihood intervals of a beta-binomial are too narrow."""


def fewer(*females: int) -> str:
    """What to add to a power where an arm has too few females for it to hold."""
    return "" if min(females) >= ROUGH else f", in fewer with less than {ROUGH} females an arm"


def plan_lines(p: TrialPlan) -> list[str]:
    """A plan as it is settled before anything is set up, without its places."""
    d = p.design
    other, reference = d.arms
    each = {a: sum(x.arm == a for x in p.layout) for a in d.arms}
    size = f"{each[other]} + {each[reference]} females"
    out = [
        f"endpoint, fixed now: {clean(d.endpoint, 120)}",
        f"it ends on {date.fromordinal(d.ends).isoformat()}, fixed now; nothing is judged before",
        f"{size} ({clean(other, 40)}, {clean(reference, 40)}), {d.eggs} eggs each, counted at first sight",
        f"eggs of one female are alike (rho {d.rho:g}, design effect {p.design_effect:.2f}): {d.eggs} of them tell as much "
        f"as {d.eggs / p.design_effect:.1f} independent ones, and an arm as much as {p.effective_eggs:.0f}",
    ]
    if p.detectable is not None and p.b is not None:
        out.append(
            f"with {size} you could only detect a fall from {d.survival:.0%} to {p.detectable:.0%} or lower "
            f"(found in about {POWER * 10:.0f} of 10 such trials{fewer(*each.values())}; "
            f"B {p.b:.2f} per gamete, 2B {2 * p.b:.2f})"
        )
    else:
        out.append(
            f"with {size} you could not even detect that nothing survives, {POWER * 10:.0f} times of 10"
        )
    for c in p.chances:
        power = (
            "no p-value"
            if c.power is None
            else "found nearly always"
            if c.power > 0.995
            else f"found {c.power:.0%} of the time"
        )
        need = (
            "more than anybody has"
            if c.females is None
            else f"{c.females} + {c.females} females for {POWER:.0%}"
        )
        out.append(f"  a cost of B {c.b:g} ({d.survival:.0%} to {c.survival:.0%}): {power}; {need}")
    alone = [
        c for c in p.chances if c.claimed is not None and c.power is not None and c.claimed - c.power >= 0.05
    ]
    if alone:
        c = max(alone, key=lambda c: (c.claimed or 0) - (c.power or 0))
        out.append(
            f"  counting eggs as if each stood alone would claim {c.claimed:.0%} for B {c.b:g}: eggs of one female are alike"
        )
    out += [f"! {clean(check, 200)}" for check in p.checks]
    return out


def verdict_lines(v: Verdict) -> list[str]:
    """What was found, in sentences; the first line is the finding."""
    out = [_finding(v)]
    for arm in (v.reference, v.other):
        n = len(arm.units)
        out.append(
            f"{clean(arm.name, 40)}: {n} {'brood' if n == 1 else 'broods'}, mean {arm.mean:.1%} "
            f"({arm.interval.low:.1%} to {arm.interval.high:.1%}, {arm.interval.method})"
        )
    if v.finding == DESCRIBED:
        out.append(_described(v))
    if v.interval is not None:
        out.append(
            f"difference {_points(v.difference)} percentage points, from {_points(v.interval.low)} to "
            f"{_points(v.interval.high)} ({v.interval.method}, 95%)"
        )
    out.append(
        f"p = {v.p:.4f} ({v.method}): {_by_chance(v.p)}" if v.p is not None else f"no p-value: {v.no_p}"
    )
    if v.fit is not None:
        few = min(len(v.reference.units), len(v.other.units)) < OPTIMISTIC
        known = (
            f"{v.fit.rho_low:.3f} to {v.fit.rho_high:.3f}{', too narrow with so few females' if few else ''}"
        )
        if v.fit.rho_low == 0 and v.fit.rho_high >= MOST_RHO:
            known = "anything fits: these counts do not tell how alike eggs of a brood are"
        out.append(
            f"beta-binomial estimate: {v.fit.mu[0]:.1%} and {v.fit.mu[1]:.1%}, rho {v.fit.rho:.3f} ({known})"
        )
    if v.delta is not None:
        out.append(f"delta, the share of survivors lost: {_amount(v.delta)}")
    if v.b is not None and v.f is not None:
        taken = ", taken from the names of the arms" if v.f_assumed else ""
        out.append(f"lethal equivalents at a difference in F of {v.f:g}{taken}: B per gamete {_amount(v.b)}")
        out.append(f"  2B per animal {_amount(doubled(v.b))}")
    elif v.finding != DESCRIBED:
        out.append(f"no lethal equivalents: {_no_b(v)}")
    if v.detectable is not None:
        few_words = fewer(len(v.reference.units), len(v.other.units))
        out.append(
            f"a trial like this finds a difference of {100 * v.detectable:.1f} percentage points or more in about "
            f"{POWER * 10:.0f} of 10 cases{few_words}; smaller ones less often"
        )
    if v.repeat is not None:
        out.append(
            f"to find a difference as large as seen here would take about {v.repeat} + {v.repeat} females"
        )
    out += [
        f"dropped out: {clean(b.arm, 30)} {clean(b.female, 40)}, {clean(why, 200)}" for b, why in v.dropped
    ]
    out += [f"counted as one: {clean(words, 200)}" for words in v.merged]
    return out + [f"! {clean(words, 200)}" for words in v.notes]


def _finding(v: Verdict) -> str:
    name, reference = clean(v.other.name, 40), clean(v.reference.name, 40)
    if v.finding == DESCRIBED:
        return f"cannot tell: a single brood against the rest is only described ({name}, {reference})"
    if v.finding == CANNOT_TELL:
        return f"cannot tell whether survival in {name} differs from {reference}"
    word = "lower" if v.finding == LOWER else "higher"
    return f"survival in {name} was {word} than in {reference}"


def _points(share: float) -> str:
    return f"{100 * share + 0.0:+.1f}"


def _by_chance(p: float) -> str:
    """A p-value as a keeper can take it: how often chance alone comes out so far apart."""
    of = 100 if p >= 0.01 else 1000 if p >= 0.001 else 10_000
    many = f"about {p * of:.0f} of {of:,}" if p * of >= 1 else f"fewer than 1 of {of:,}"
    return f"without any difference {many} such trials would come out as far apart or further"


def _no_b(v: Verdict) -> str:
    """Why there is no B, and what would give one."""
    if not v.reference.mean:
        return f"nothing survived in {clean(v.reference.name, 40)}, so there is no survival to lose"
    unknown = [clean(a.name, 40) for a in (v.reference, v.other) if a.f is None]
    if unknown or v.reference.f is None or v.other.f is None:
        return f"F of {' and '.join(unknown)} is not known (--f ARM F)"
    if v.reference.f > v.other.f:
        return f"F of {clean(v.reference.name, 40)}, the arm compared with, is the higher (--reference {clean(v.other.name, 40)})"
    return f"F of both arms is {v.other.f:g}"


def _described(v: Verdict) -> str:
    lone, rest = (v.other, v.reference) if len(v.other.units) == 1 else (v.reference, v.other)
    u, parts = lone.units[0], rest.shares
    if len(parts) == 1:
        w = rest.units[0]
        return (
            f"{clean(u.name, 40)}: {u.alive} of {u.eggs} ({u.share:.1%}); the one brood it is set against, "
            f"{clean(w.name, 40)}: {w.alive} of {w.eggs} ({w.share:.1%})"
        )
    below, above = sum(s < u.share for s in parts), sum(s > u.share for s in parts)
    return (
        f"{clean(u.name, 40)}: {u.alive} of {u.eggs} ({u.share:.1%}); of the {len(parts)} other broods "
        f"({min(parts):.1%} to {max(parts):.1%}) {below} did worse and {above} better"
    )


def _amount(a: Amount) -> str:
    value = f"{a.value:.3f}" if isfinite(a.value) else "without limit"
    if a.low is None or a.high is None:
        return f"{value} ({a.method})"
    return f"{value}, from {a.low:.3f} to {a.high:.3f} ({a.method})"


def doubled(a: Amount) -> Amount:
    low, high = (None if x is None else 2 * x for x in (a.low, a.high))
    return Amount(2 * a.value, low, high, a.method)
