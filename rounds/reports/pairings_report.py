"""Whom to pair now: the pairs of each species with their reasons, and what the plan does to it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rounds.analysis.pairing import pair_sentences
from rounds.reports import pairing_list_sentences
from rounds.reports.breeding_kinds import PAIRING_PLANS, PAIRINGS
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document, listing
from rounds.reports.report_columns import CellValue
from rounds.text.cleaning import clean
from rounds.text.reading_text import range_column, reading_text, short
from rounds.values.spans import FIRST, LAST, iso

if TYPE_CHECKING:
    from rounds.analysis.pairing.book_pairings import Listed, Ranking, SpeciesGroup
    from rounds.analysis.pairing.pairing_plan import PairingPlan, RunnerUp

ALLOWED_AS_UNKNOWN = (pair_sentences.not_recorded("subspecies"), pair_sentences.not_recorded("locality"))
LONGEST_NOTE = 100_000
"""Characters of a note: everybody who is in no pair is named, in a house of hundreds too."""


def pairings_report(
    found: Ranking, listed: Sequence[Listed], plans: Sequence[PairingPlan], *, reasons: bool = False
) -> ReportDocument:
    """The pairs listed, species by species; without ``plans`` every pair that may be made.

    Below each in text stand its reasons in one sentence, or with ``reasons`` all of them.
    """
    said = [] if found.groups else [pairing_list_sentences.NOBODY_GROWN]
    parts = []
    for k, group in enumerate(found.groups):
        mine = [x for x in listed if x.species == group.name]
        males, females = len(group.table.males), len(group.table.females)
        title = pairing_list_sentences.pairs_of(group.name, len(mine), males, females, in_plan=bool(plans))
        notes = _plan_words(plans[k]) if plans else []
        if plans and not mine and (lowest := _lowest(group)) is not None:
            notes.append(pairing_list_sentences.lowest_f(lowest))
        rows = [
            ReportRow(
                _values(x),
                _line(x),
                tuple(_reasons(x)) if reasons else (_brief(x),),
            )
            for x in mine
        ]
        notes = [clean(note, LONGEST_NOTE) for note in notes]
        parts.append(
            Report(
                clean(title, 400),
                PAIRINGS.table(ROWS).columns,
                rows,
                tuple(notes),
                _in_common(group) if mine else (),
                empty=pairing_list_sentences.NO_PAIR,
            )
        )
    return document(PAIRINGS, "", *parts, said=said)


def plans_report(rows: Sequence[tuple[CellValue, ...]]) -> ReportDocument:
    """Open plans with where and when a round offers them, and what stands in their way.

    Each row holds the values of :data:`rounds.reports.breeding_kinds.PAIRING_PLANS`.
    """
    made = []
    for row in rows:
        plan, male, female, _, stands_in, meant_for, _, earliest, latest, withheld, why = row
        offered = pairing_list_sentences.offered(str(stands_in or ""), _day(earliest), _day(latest))
        below = [clean(offered, 200)]
        below += [clean(str(why), 400)] if why else []
        below += [clean(pairing_list_sentences.withheld(str(withheld)), 300)] if withheld else []
        line = pairing_list_sentences.planned(str(plan), str(male), str(female), str(meant_for or ""))
        made.append(ReportRow(row, clean(line, 200), tuple(below)))
    return listing(PAIRING_PLANS, made, empty=pairing_list_sentences.NOTHING_PLANNED)


def _in_common(group: SpeciesGroup) -> tuple[str, ...]:
    """What is to be minded of many pairs, said once."""
    lines = tuple(sorted(group.of_unknown_origin))
    said = pairing_list_sentences.mind(pair_sentences.origins_not_recorded(lines)) if lines else ""
    return (clean(said, 400),) if said else ()


def _line(x: Listed) -> str:
    f = reading_text(*x.pair.f[:3])
    until = iso(x.until) if x.until is not None else ""
    return pairing_list_sentences.pair(x.number, x.pair.male, x.pair.female, f, until)


def _brief(x: Listed) -> str:
    return clean("; ".join(x.pair.brief), 800)


def _reasons(x: Listed) -> list[str]:
    """What is said below a pair: its reasons, who else could be taken, and what to mind."""
    pair = x.pair
    out = list(pair.why)
    for whom, r in (
        (pairing_list_sentences.INSTEAD_FOR_HER, pair.runner_up),
        (pairing_list_sentences.INSTEAD_FOR_HIM, pair.for_him),
    ):
        if r is not None:
            out.append(pairing_list_sentences.instead(whom, r.animal, r.more, *r.f[:3], taken=r.taken))
    return [clean(text, 400) for text in [*out, *map(pairing_list_sentences.mind, pair.warnings)]]


def _values(x: Listed) -> tuple[CellValue, ...]:
    """The values of :data:`rounds.reports.breeding_kinds.PAIRINGS`."""
    pair = x.pair

    def second(r: RunnerUp | None) -> tuple[CellValue, ...]:
        return (None,) * 6 if r is None else (r.animal, r.more, *r.f[:3], r.taken)

    return (
        x.species,
        x.number,
        pair.male,
        pair.female,
        *pair.f,
        range_column(pair.f.low, pair.f.usual),
        short(pair.f.high),
        pair.cost,
        pair.why,
        pair.warnings,
        _brief(x),
        *second(pair.runner_up),
        *second(pair.for_him),
        pair.change.low,
        pair.change.high,
        x.until,
    )


def _plan_words(plan: PairingPlan) -> list[str]:
    """What the plan does to the mean kinship, and what is not in it for which reason."""
    kinship = pairing_list_sentences.mean_kinship(*plan.before[:3])
    if plan.pairs:
        kinship = pairing_list_sentences.mean_kinship_after(kinship, *plan.after[:3])
    out = [kinship]
    if plan.pairs:
        out.append(pairing_list_sentences.of_offspring(plan.score.kinship, plan.score.inbreeding))
        out += [pairing_list_sentences.STOPPED] if plan.stopped else []
        proven = plan.gap <= 1e-6
        out.append(
            pairing_list_sentences.NO_BETTER_PLAN
            if proven
            else pairing_list_sentences.at_most_better(plan.gap)
        )
    for reason, n in plan.barred.items():
        allowed = reason in ALLOWED_AS_UNKNOWN
        out.append(pairing_list_sentences.not_allowed(n, reason, unknown_can_be_allowed=allowed))
    if plan.left_out:
        by_reason: dict[str, list[str]] = {}
        for animal, reason in plan.left_out:
            by_reason.setdefault(reason, []).append(animal)
        out.append(pairing_list_sentences.not_now(tuple((tuple(a), why) for why, a in by_reason.items())))
    out += map(pairing_list_sentences.mind, plan.warnings)
    if not plan.exact:
        out.append(pairing_list_sentences.OUTER_BOUNDS)
    return out


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


def _day(day: CellValue) -> str:
    """A day as 2026-03-01; "" for an open end."""
    return iso(day) if isinstance(day, int) and day not in (FIRST, LAST) else ""
