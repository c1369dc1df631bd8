"""Whom to pair now: the pairs of each species with their reasons, and what the plan does to it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from rounds.analysis.pairing import pair_sentences
from rounds.reports.breeding_kinds import PAIRING_PLANS, PAIRINGS
from rounds.reports.range_text import range_text
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document, listing
from rounds.reports.report_columns import CellValue
from rounds.text.cleaning import clean
from rounds.values.spans import FIRST, LAST

if TYPE_CHECKING:
    from rounds.analysis.pairing.book_pairings import Listed, Ranking, SpeciesGroup
    from rounds.analysis.pairing.pairing_plan import PairingPlan, RunnerUp

ALLOWED_AS_UNKNOWN = (pair_sentences.not_recorded("subspecies"), pair_sentences.not_recorded("locality"))
NO_PAIR = "no pair can be made now"
LEFT_OUT = 12
"""Animals that cannot breed now listed by name in the text; JSON and CSV of pairs do not list them."""


def pairings_report(found: Ranking, listed: Sequence[Listed], plans: Sequence[PairingPlan]) -> ReportDocument:
    """The pairs listed, species by species; without ``plans`` every pair that may be made."""
    said = [] if found.groups else ["the book holds no grown animal that is alive"]
    parts = []
    for k, group in enumerate(found.groups):
        mine = [x for x in listed if x.species == group.name]
        able = f"of {_many(len(group.table.males), 'male')} and {_many(len(group.table.females), 'female')} that can breed now"
        title = f"{group.name}: {_many(len(mine), 'pair')} {'' if plans else 'may be made '}{able}"
        notes = _plan_words(plans[k]) if plans else []
        if plans and not mine and (lowest := _lowest(group)) is not None:
            notes.append(f"the lowest F any of them could have is {lowest:.3f} (high end)")
        rows = [
            ReportRow(_values(x), f"{x.number}. {x.pair.male} × {x.pair.female}", tuple(_reasons(x)))
            for x in mine
        ]
        notes = [clean(note, 400) for note in notes]
        parts.append(
            Report(clean(title, 400), PAIRINGS.table(ROWS).columns, rows, tuple(notes), empty=NO_PAIR)
        )
    return document(PAIRINGS, "", *parts, said=said)


def plans_report(rows: Sequence[tuple[CellValue, ...]]) -> ReportDocument:
    """Open plans with where and when a round offers them, and what stands in their way.

    Each row holds the values of :data:`rounds.reports.breeding_kinds.PAIRING_PLANS`.
    """
    made = []
    for row in rows:
        plan, male, female, _, stands_in, meant_for, _, earliest, latest, withheld, why = row
        into = f" into {meant_for}" if meant_for else ""
        until = f" to {_iso(latest)}" if _iso(latest) else " on"
        below = [clean(f"offered at {stands_in or 'no enclosure'} from {_iso(earliest)}{until}", 200)]
        below += [clean(str(why), 400)] if why else []
        below += [clean(f"withheld: {withheld}", 300)] if withheld else []
        made.append(ReportRow(row, clean(f"{plan}  {male} × {female}{into}", 200), tuple(below)))
    return listing(PAIRING_PLANS, made, empty="no pairing is planned")


def _reasons(x: Listed) -> list[str]:
    """What is said below a pair: its reasons, who else could be taken, and what to mind."""
    pair = x.pair
    out = list(pair.why)
    for whose, second in (("instead for her", pair.runner_up), ("instead for him", pair.for_him)):
        if second is not None:
            out.append(f"{whose}: {_instead(second)}")
    if x.until is not None:
        out.append(f"to be made by {date.fromordinal(x.until).isoformat()} at the latest")
    return [clean(text, 400) for text in [*out, *(f"! {warning}" for warning in pair.warnings)]]


def _instead(r: RunnerUp) -> str:
    taken = ", taken elsewhere in this plan" if r.taken else ""
    return f"{r.animal}{taken}, cost {r.more:+.4f}, F {range_text(r.f.low, r.f.high)}"


def _values(x: Listed) -> tuple[CellValue, ...]:
    """The values of :data:`rounds.reports.breeding_kinds.PAIRINGS`."""
    pair = x.pair

    def second(r: RunnerUp | None) -> tuple[CellValue, ...]:
        return (None,) * 5 if r is None else (r.animal, r.more, r.f.low, r.f.high, r.taken)

    return (
        x.species,
        x.number,
        pair.male,
        pair.female,
        pair.f.low,
        pair.f.high,
        pair.f.exact,
        range_text(pair.f.low, pair.f.high),
        pair.cost,
        pair.why,
        pair.warnings,
        *second(pair.runner_up),
        *second(pair.for_him),
        pair.change.low,
        pair.change.high,
        x.until,
    )


def _plan_words(plan: PairingPlan) -> list[str]:
    """What the plan does to the mean kinship, and what is not in it for which reason."""
    after = (
        f", with one offspring of each pair {range_text(plan.after.low, plan.after.high)}"
        if plan.pairs
        else ""
    )
    out = [f"mean kinship of the living {range_text(plan.before.low, plan.before.high)}{after}"]
    if plan.pairs:
        out.append(
            f"mean kinship of their offspring {plan.score.kinship:.3f}, mean F {plan.score.inbreeding:.3f} (high ends)"
        )
        best = f"no plan can be more than {plan.gap:.1%} better" if plan.gap > 1e-6 else "no plan is better"
        out.append(f"{best} with the weights set")
    for reason, n in plan.barred.items():
        allow = " (--across unknown allows them)" if reason in ALLOWED_AS_UNKNOWN else ""
        out.append(f"{_many(n, 'pair')} not allowed: {reason}{allow}")
    for animal, reason in plan.left_out[:LEFT_OUT]:
        out.append(f"not now: {animal}, {reason}")
    if len(plan.left_out) > LEFT_OUT:
        out.append(f"not now: {len(plan.left_out) - LEFT_OUT} more")
    for warning in plan.warnings:
        out.append(f"! {warning}")
    if not plan.exact:
        out.append("some F are outer bounds: too many possible sires to go through every combination")
    return out


def _many(n: int, what: str) -> str:
    return f"{n} {what}{'' if n == 1 else 's'}"


def _lowest(group: SpeciesGroup) -> float | None:
    """The lowest F (high end) among pairs that only the limit on F forbids; None where there are none."""
    t = group.table
    high = [
        t.f(i, j).high
        for i, row in enumerate(t.barred)
        for j, why in enumerate(row)
        if why is not None and why.kind == pair_sentences.F_TOO_HIGH
    ]
    return min(high, default=None)


def _iso(day: CellValue) -> str:
    """A day as 2026-03-01; "" for an open end."""
    if not isinstance(day, int) or day in (FIRST, LAST):
        return ""
    return date.fromordinal(day).isoformat()
