"""A plan and a verdict in words for the keeper, and as rows for programs."""

from __future__ import annotations

from datetime import date
from math import isfinite
from typing import Any

from rounds.analysis.trial_betabinomial import MOST_RHO
from rounds.analysis.trial_cost import Cost, Level
from rounds.analysis.trial_plan import Plan
from rounds.analysis.trial_power import POWER
from rounds.analysis.trial_verdict import CANNOT_TELL, DESCRIBED, LOWER, Amount, Arm, Verdict
from rounds.shown import clean

COLUMNS = ("what", "value", "low", "high", "how")
"""Columns of a verdict as rows: one figure each, with its range and how it was found."""

BLINDING = (
    "This is not fully blinded: whoever walks does not see arm or F on the round, but can know whose tub it is. "
    "Give both arms the same disturbance, and decide now where surplus animals go."
)

BLINDED = "This was not fully blinded: no arm and no F was told on the round, but the keeper could know whose tub it was."

OPTIMISTIC = 10
"""Females per arm below which likelihood intervals of a beta-binomial are too narrow."""


def plan_lines(p: Plan) -> list[str]:
    """A plan as it is settled before anything is set up."""
    d = p.design
    other, reference = d.arms
    each = {a: sum(x.arm == a for x in p.layout) for a in d.arms}
    size = f"{each[other]} + {each[reference]} females"
    out = [
        f"endpoint, fixed now: {clean(d.endpoint, 120)}",
        f"it ends on {date.fromordinal(d.ends).isoformat()}, fixed now; nothing is judged before",
        f"{size} ({clean(other, 40)}, {clean(reference, 40)}), {d.eggs} eggs each, counted at first sight",
        f"eggs of one female are alike (rho {d.rho:g}): {d.eggs} of them tell {p.design_effect:.2f} times less than "
        f"independent ones, so an arm is worth {p.effective_eggs:.0f} eggs",
    ]
    if p.detectable is not None and p.b is not None:
        out.append(
            f"with {size} you could only detect a fall from {d.survival:.0%} to {p.detectable:.0%} or lower "
            f"(found in {POWER * 10:.0f} of 10 such trials; B {p.b:.2f} per gamete, 2B {2 * p.b:.2f})"
        )
    else:
        out.append(
            f"with {size} you could not even detect that nothing survives, {POWER * 10:.0f} times of 10"
        )
    for c in p.chances:
        power = "no p-value" if c.power is None else f"found {c.power:.0%} of the time"
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
    out += ["", f"positions, drawn with the seed {d.seed}:"]
    for x in p.layout:
        pair = f"{x.female} × {x.male}" if x.male else x.female
        out.append(f"  {clean(x.position, 12):<12} {clean(x.arm, 20):<20} {clean(pair, 60)}")
    return [*out, "", BLINDING]


def plan_record(p: Plan) -> dict[str, Any]:
    """A plan as one JSON object; ``ends`` as YYYY-MM-DD. A verdict reads it back."""
    d = p.design
    return {
        "endpoint": d.endpoint, "ends": date.fromordinal(d.ends).isoformat(), "arms": list(d.arms),
        "females": [sum(x.arm == a for x in p.layout) for a in d.arms], "eggs": d.eggs, "rho": d.rho,
        "survival": d.survival, "seed": d.seed, "design_effect": p.design_effect,
        "effective_eggs": p.effective_eggs, "detectable_survival": p.detectable, "detectable_b": p.b,
        "chances": [c._asdict() for c in p.chances], "layout": [x._asdict() for x in p.layout], "checks": p.checks,
    }  # fmt: skip


def layout_records(p: Plan) -> list[dict[str, object]]:
    return [{**x._asdict(), "seed": p.design.seed} for x in p.layout]


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
            f"difference {v.difference:+.1%}, from {v.interval.low:+.1%} to {v.interval.high:+.1%} "
            f"({v.interval.method}, 95%)"
        )
    out.append(f"p = {v.p:.4f} ({v.method})" if v.p is not None else f"no p-value: {v.no_p}")
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
        out.append(f"lethal equivalents at a difference in F of {v.f:g}{taken}: B {_amount(v.b)} per gamete")
        out.append(f"  2B {_amount(_doubled(v.b))} per animal")
    elif v.finding != DESCRIBED:
        out.append("no lethal equivalents: F of the arms is not known, or does not differ (--f ARM F)")
    if v.detectable is not None:
        out.append(
            f"a trial like this finds a difference of {v.detectable:.1%} or more in {POWER * 10:.0f} of 10 cases, "
            "smaller ones less often"
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


def _described(v: Verdict) -> str:
    lone, rest = (v.other, v.reference) if len(v.other.units) == 1 else (v.reference, v.other)
    u, parts = lone.units[0], rest.shares
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


def _doubled(a: Amount) -> Amount:
    low, high = (None if x is None else 2 * x for x in (a.low, a.high))
    return Amount(2 * a.value, low, high, a.method)


def verdict_records(v: Verdict) -> list[dict[str, object]]:
    """A verdict as rows with the fields :data:`COLUMNS`; a number without limit is empty (null)."""
    out: list[dict[str, object]] = []

    def row(
        what: str, value: object, low: float | None = None, high: float | None = None, how: str = ""
    ) -> None:
        if isinstance(value, float) and not isfinite(value):
            value = None
        out.append(dict(zip(COLUMNS, (what, value, low, high, how or None), strict=True)))

    row("finding", v.finding)
    arms: tuple[tuple[str, Arm], ...] = (("reference", v.reference), ("other", v.other))
    for word, arm in arms:
        row(f"{word} arm", arm.name)
        row(f"{word} broods", len(arm.units))
        row(f"{word} eggs", sum(u.eggs for u in arm.units))
        row(f"{word} alive", sum(u.alive for u in arm.units))
        row(
            f"{word} mean of brood shares", arm.mean, arm.interval.low, arm.interval.high, arm.interval.method
        )
    if v.interval is not None:
        row("difference", v.difference, v.interval.low, v.interval.high, v.interval.method)
    row("p", v.p, how=v.method if v.p is not None else v.no_p)
    if v.fit is not None:
        for (word, _), mu in zip(arms, v.fit.mu, strict=True):
            row(f"{word} beta-binomial mean", mu, how="maximum likelihood, one rho for both arms")
        row("rho", v.fit.rho, v.fit.rho_low, v.fit.rho_high, "profile likelihood")
    for word, amount in (("delta", v.delta), ("B per gamete", v.b), ("2B per animal", v.b and _doubled(v.b))):
        if amount is not None:
            row(word, amount.value, amount.low, amount.high, amount.method)
    if v.f is not None:
        row("difference in F", v.f, how="taken from the names of the arms" if v.f_assumed else "as given")
    if v.detectable is not None:
        row("detectable difference", v.detectable, how=f"found in {POWER:.0%} of such trials, two-sided 0.05")
    if v.repeat is not None:
        row("females per arm for the difference seen", v.repeat)
    for b, why in v.dropped:
        row("dropped out", b.female, how=why)
    for words in v.merged:
        row("counted as one", words)
    for words in v.notes:
        row("note", words)
    return out


def cost_lines(rows: list[Level], c: Cost) -> list[str]:
    """The line through several levels of F, in words."""
    if c.b == float("inf"):
        return ["B has no upper limit: nothing survived above the lowest F"]
    told = c.low is not None and c.high is not None and (c.low > 0 or c.high < 0)
    out = [
        f"-ln S = A + B·F by maximum likelihood over {len(rows)} rows: A {c.a:.4f}, B {c.b:.4f} per gamete, "
        f"2B {c.lethal_equivalents:.4f} per animal"
    ]
    if c.low is None or c.high is None:
        out.append("no interval: survival is 100% at one end, where the likelihood has no top")
    else:
        how = (
            "as if every egg were independent, so too narrow"
            if c.independent
            else "t over rows, widened by phi"
        )
        out.append(f"B from {c.low:.3f} to {c.high:.3f} (95%, {how})")
        if not told:
            out.append("cannot tell whether inbreeding costs anything here: the interval holds 0")
    if c.phi is not None:
        out.append(
            f"phi {c.phi:.2f}: rows vary {'more' if c.phi > 1 else 'no more'} than independent eggs would"
        )
    for f in sorted({r.f for r in rows}):
        eggs, alive = sum(r.n for r in rows if r.f == f), sum(r.survived for r in rows if r.f == f)
        out.append(
            f"  F {f:g}: {alive} of {eggs} survived ({alive / eggs:.1%}), the line says {c.survival(f):.1%}"
        )
    return out


def cost_records(c: Cost) -> list[dict[str, object]]:
    """The same as rows with the fields :data:`COLUMNS`."""
    finite = isfinite(c.b)
    how = "as if every egg were independent" if c.independent else "t over rows, widened by phi"
    values: list[tuple[object, ...]] = [
        ("A", c.a, None, None, f"standard error {c.error_a}" if c.error_a is not None else None),
        ("B per gamete", c.b if finite else None, c.low, c.high, how),
        ("2B per animal", 2 * c.b if finite else None, c.low and 2 * c.low, c.high and 2 * c.high, how),
        ("standard error of B", c.error_b, None, None, "expected information, eggs independent"),
        ("phi", c.phi, None, None, "Pearson chi-square over rows - 2"),
    ]
    return [dict(zip(COLUMNS, v, strict=True)) for v in values]
