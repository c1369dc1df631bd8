"""A plan and a verdict in lines for the keeper."""

from __future__ import annotations

from math import isfinite

from rounds.analysis.trial import trial_plan_sentences, verdict_sentences
from rounds.analysis.trial.beta_binomial import MOST_RHO
from rounds.analysis.trial.brood_counts import Unit
from rounds.analysis.trial.power import POWER
from rounds.analysis.trial.survival_shares import FEWEST, MOST_TRIED, MOST_UNEVEN
from rounds.analysis.trial.trial_plan import TrialPlan
from rounds.analysis.trial.verdict import CANNOT_TELL, DESCRIBED, LOWER, Amount, Arm, Verdict
from rounds.text.cleaning import clean, day_and_year

OPTIMISTIC = 10
"""Females per arm below which likelihood intervals of a beta-binomial are too narrow."""

OF_TEN = POWER * 10


def plan_lines(p: TrialPlan) -> list[str]:
    """A plan as it is settled before anything is set up, without its places."""
    say, d = trial_plan_sentences, p.design
    other, reference = (sum(x.arm == a for x in p.layout) for a in d.arms)
    size = say.females_of(other, reference)
    out = [
        say.endpoint(clean(d.endpoint, 120)),
        say.ends_on(day_and_year(d.ends)),
        say.size(size, (clean(d.arms[0], 40), clean(d.arms[1], 40)), d.eggs),
        say.alike(d.rho, p.design_effect, d.eggs, p.effective_eggs),
    ]
    if p.detectable is not None and p.b is not None:
        found = say.found_in(OF_TEN)
        out.append(say.detects(size, d.survival, p.detectable, found, p.b))
    else:
        out.append(say.detects_nothing(size, OF_TEN))
    out += [say.chance(c.b, d.survival, c.survival, c.power, c.females, POWER) for c in p.chances]
    alone = [
        (c.claimed - c.power, c.claimed, c.b)
        for c in p.chances
        if c.claimed is not None and c.power is not None and c.claimed - c.power >= 0.05
    ]
    if alone:
        _, claimed, b = max(alone, key=lambda x: x[0])
        out.append(say.eggs_alone(claimed, b))
    return out + [say.mind(clean(check, 200)) for check in p.checks]


def verdict_lines(v: Verdict) -> list[str]:
    """What was found, in sentences; the first line is the finding."""
    return [_finding(v), *_what_was_seen(v), *_what_it_costs(v), *_what_it_could_show(v), *_to_mind(v)]


def _finding(v: Verdict) -> str:
    other, reference = clean(v.other.name, 40), clean(v.reference.name, 40)
    if v.finding == DESCRIBED:
        return verdict_sentences.only_described(other, reference)
    if v.finding == CANNOT_TELL:
        return verdict_sentences.cannot_tell(other, reference)
    return verdict_sentences.survival_was(other, reference, lower=v.finding == LOWER)


def _what_was_seen(v: Verdict) -> list[str]:
    say = verdict_sentences
    out = [
        say.arm(clean(arm.name, 40), len(arm.units), arm.mean, *arm.interval)
        for arm in (v.reference, v.other)
    ]
    if v.finding == DESCRIBED:
        out.append(_described(v))
    if v.interval is not None:
        out.append(say.difference(v.difference, *v.interval))
    out.append(say.p_value(v.p, v.method) if v.p is not None else say.no_p(v.no_p))
    if v.rho is not None and v.means is not None:
        few = min(len(v.reference.units), len(v.other.units)) < OPTIMISTIC
        known = say.rho_between(v.rho.rho_low, v.rho.rho_high, few=few)
        if v.rho.rho_low == 0 and v.rho.rho_high >= MOST_RHO:
            known = say.RHO_NOT_KNOWN
        out.append(say.fitted(*v.means, v.rho.rho, known))
    return out


def _described(v: Verdict) -> str:
    lone, rest = (v.other, v.reference) if len(v.other.units) == 1 else (v.reference, v.other)
    u, parts = lone.units[0], rest.shares
    if len(parts) == 1:
        return verdict_sentences.set_against_one(_brood(u), _brood(rest.units[0]))
    worse, better = sum(s < u.share for s in parts), sum(s > u.share for s in parts)
    return verdict_sentences.set_against_rest(_brood(u), len(parts), min(parts), max(parts), worse, better)


def _brood(u: Unit) -> str:
    return verdict_sentences.one_brood(clean(u.name, 40), u.alive, u.eggs)


def _what_it_costs(v: Verdict) -> list[str]:
    say, out = verdict_sentences, []
    if v.delta is not None:
        out.append(say.share_lost(_amount(v.delta)))
    if v.b is not None and v.f is not None:
        out.append(say.cost(v.f, _amount(v.b), f_assumed=v.f_assumed))
        out.append(say.cost_per_animal(_amount(doubled(v.b))))
    elif v.finding != DESCRIBED:
        out.append(say.no_cost(_no_b(v.reference, v.other)))
    return out


def _no_b(one: Arm, other: Arm) -> str:
    """Why there is no B, and what would give one."""
    reference, name = clean(one.name, 40), clean(other.name, 40)
    if not one.mean:
        return verdict_sentences.nothing_to_lose(reference)
    if one.f is None or other.f is None:
        unknown = [said for arm, said in ((one, reference), (other, name)) if arm.f is None]
        return verdict_sentences.f_not_known(tuple(unknown))
    if one.f > other.f:
        return verdict_sentences.reference_has_higher_f(reference, name)
    return verdict_sentences.same_f(other.f)


def _what_it_could_show(v: Verdict) -> list[str]:
    say, out = verdict_sentences, []
    if v.detectable is not None:
        out.append(say.finds(v.detectable, OF_TEN, v.assumed_rho))
    elif v.p is not None:
        out.append(say.FINDS_NOTHING)
    if v.repeat is not None:
        out.append(say.females_to_repeat(v.repeat))
    if v.finding != DESCRIBED:
        out.append(say.where_it_holds(FEWEST, MOST_UNEVEN, MOST_TRIED))
    return out


def _to_mind(v: Verdict) -> list[str]:
    say = verdict_sentences
    out = [say.dropped_out(clean(b.arm, 30), clean(b.female, 40), clean(why, 200)) for b, why in v.dropped]
    out += [say.counted_as_one(clean(words, 200)) for words in v.merged]
    return out + [trial_plan_sentences.mind(clean(words, 200)) for words in v.notes]


def _amount(a: Amount) -> str:
    value, low, high = (x if isfinite(x) else None for x in a[:3])
    return verdict_sentences.amount(value, low, high, a.method)


def doubled(a: Amount) -> Amount:
    return Amount(2 * a.value, 2 * a.low, 2 * a.high, a.method)
