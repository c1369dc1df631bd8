"""A trial's plan, the trials of the book, the females of one, and its counts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from rounds.analysis.trial import verdict_sentences
from rounds.analysis.trial.trial_plan_sentences import BLINDING
from rounds.analysis.trial.trial_words import plan_lines
from rounds.reports import trial_report_sentences
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document, listing
from rounds.reports.report_columns import CellValue, data_columns
from rounds.reports.trial_kinds import PLAN, SEATS, TALLY, TALLY_KEPT_BACK, TRIALS
from rounds.text.cleaning import clean
from rounds.values.spans import iso

if TYPE_CHECKING:
    from rounds.analysis.trial.brood_counts import BroodCount
    from rounds.analysis.trial.trial_plan import TrialPlan


def plan_report(p: TrialPlan, more: Sequence[str] = ()) -> ReportDocument:
    """A plan as it is settled, and who stands where; ``more`` is said at the end."""
    d = p.design
    places = [ReportRow((x.position, x.arm, x.female, x.male, d.seed)) for x in p.layout]
    chances = [ReportRow((c.b, c.survival, c.power, c.females, c.claimed)) for c in p.chances]
    return document(
        PLAN,
        "",
        Report(trial_report_sentences.positions(d.seed), PLAN.table("layout").columns, places, name="layout"),
        Report("", PLAN.table("chances").columns, chances, name="chances"),
        said=plan_lines(p),
        notes=[BLINDING, *(clean(line, 300) for line in more)],
        result={
            "endpoint": d.endpoint,
            "ends": d.ends,
            "arms": d.arms,
            "females": [sum(x.arm == a for x in p.layout) for a in d.arms],
            "eggs": d.eggs,
            "rho": d.rho,
            "survival": d.survival,
            "seed": d.seed,
            "design_effect": p.design_effect,
            "effective_eggs": p.effective_eggs,
            "detectable_survival": p.detectable,
            "detectable_b": p.b,
            "checks": p.checks,
        },
    )


def trials_report(trials: Sequence[Mapping[str, Any]]) -> ReportDocument:
    """Every trial with how far it is: the values of :data:`rounds.reports.trial_kinds.TRIALS` by name."""
    rows = []
    for r in trials:
        far = trial_report_sentences.how_far(r["females"], r["paired"], r["searched"], r["out"])
        state = trial_report_sentences.runs_until(_day(r["stops"]))
        if r["closed"]:
            state = trial_report_sentences.closed(_day(r["closed"]))
        line = clean(trial_report_sentences.trial(r["name"], r["species"], r["endpoint"], state, far), 300)
        rows.append(ReportRow(tuple(r[c.name] for c in TRIALS.table(ROWS).columns), line))
    return listing(TRIALS, rows, empty=trial_report_sentences.NO_TRIAL)


def females_report(
    females: Sequence[Mapping[str, Any]], said: Sequence[str], *, blinded: bool
) -> ReportDocument:
    """The females of a trial in the order of their places; ``said`` is what was fixed and changed."""
    rows = []
    for r in females:
        state = tuple(str(r[name]) for name in ("place", "pairing", "arm", "state") if r[name])
        who = trial_report_sentences.pair(r["female"], r["male"] or "")
        line = clean(trial_report_sentences.seat(who, state, r["note"] or ""), 400)
        rows.append(ReportRow(tuple(r[c.name] for c in SEATS.table(ROWS).columns), line))
    notes = [trial_report_sentences.arms_hidden(BLINDING)] if blinded else []
    return document(SEATS, "", Report("", SEATS.table(ROWS).columns, rows), said=said, notes=notes)


def tally_report(broods: Sequence[BroodCount], merged: Sequence[str], *, kept_back: bool) -> ReportDocument:
    """The counts of broods; ``kept_back`` leaves out what tells how the arms of a running trial do."""
    kind = TALLY_KEPT_BACK if kept_back else TALLY
    columns = kind.table(ROWS).columns
    rows = []
    for b in broods:
        pair = trial_report_sentences.pair(b.female, b.male)
        told = trial_report_sentences.survivors(b.arm, pair, b.alive, _counted(b), b.f)
        if kept_back:
            told = trial_report_sentences.counted(pair, _counted(b))
        below = [trial_report_sentences.left_out(b.left_out)] if b.left_out else []
        below += [trial_report_sentences.note(b.note)] if b.note else []
        cells = tuple(getattr(b, c.name) for c in data_columns(columns))
        rows.append(ReportRow(cells, clean(told, 200), tuple(clean(text, 300) for text in below)))
    notes = [clean(verdict_sentences.counted_as_one(words), 300) for words in merged]
    notes.append(trial_report_sentences.broods(len(broods), sum(bool(b.left_out) for b in broods)))
    if kept_back:
        notes.append(trial_report_sentences.KEPT_BACK)
    return document(kind, "", Report("", columns, rows, tuple(notes)))


def _counted(b: BroodCount) -> str:
    larvae = b.larvae or 0
    return trial_report_sentences.eggs_and_larvae(b.eggs - larvae, larvae)


def _day(day: CellValue) -> str:
    """A day as 2026-03-01; "" for none."""
    return iso(day) if isinstance(day, int) else ""
