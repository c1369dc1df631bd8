"""A trial's plan, the trials of the book, the females of one, and its counts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from rounds.analysis.trial.trial_plan_sentences import BLINDING
from rounds.analysis.trial.trial_words import plan_lines
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document, listing
from rounds.reports.report_columns import CellValue, data_columns
from rounds.reports.trial_kinds import PLAN, SEATS, TALLY, TALLY_KEPT_BACK, TRIALS
from rounds.text.cleaning import clean

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
        Report(
            f"positions, drawn with the seed {d.seed}:", PLAN.table("layout").columns, places, name="layout"
        ),
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


def trials_report(trials: Sequence[Mapping[str, CellValue]]) -> ReportDocument:
    """Every trial with how far it is: the values of :data:`rounds.reports.trial_kinds.TRIALS` by name."""
    rows = []
    for r in trials:
        state = f"closed {_iso(r['closed'])}" if r["closed"] else f"runs until {_iso(r['stops'])}"
        far = f"{r['females']} females: {r['paired']} paired, {r['searched']} searched, {r['out']} out"
        line = clean(f"{r['name']}: {r['species']}, {r['endpoint']}, {state}; {far}", 300)
        rows.append(ReportRow(tuple(r[c.name] for c in TRIALS.table(ROWS).columns), line))
    return listing(TRIALS, rows, empty="no trial was opened in this book: rounds trial plan NAME … --record")


def females_report(
    females: Sequence[Mapping[str, CellValue]], said: Sequence[str], blinded: bool
) -> ReportDocument:
    """The females of a trial in the order of their places; ``said`` is what was fixed and changed."""
    rows = []
    for r in females:
        at = [str(x) for x in (r["place"], r["pairing"], r["arm"]) if x]
        who = f"{r['female']} × {r['male'] or 'unknown'}"
        note = f"; {r['note']}" if r["note"] else ""
        line = clean(f"{who}: {', '.join([*at, str(r['state'])])}{note}", 400)
        rows.append(ReportRow(tuple(r[c.name] for c in SEATS.table(ROWS).columns), line))
    notes = [f"Arms are not shown while it runs (--arms). {BLINDING}"] if blinded else []
    return document(SEATS, "", Report("", SEATS.table(ROWS).columns, rows), said=said, notes=notes)


def tally_report(broods: Sequence[BroodCount], merged: Sequence[str], *, kept_back: bool) -> ReportDocument:
    """The counts of broods; ``kept_back`` leaves out what tells how the arms of a running trial do."""
    kind = TALLY_KEPT_BACK if kept_back else TALLY
    columns = kind.table(ROWS).columns
    rows = []
    for b in broods:
        f = "" if b.f is None else f", F {b.f:.3f}"
        pair = f"{b.female} × {b.male or 'unknown'}"
        told = f"{pair}: {b.eggs} eggs" if kept_back else f"{b.arm}: {pair}: {b.alive} of {b.eggs}{f}"
        below = [f"{word}: {text}" for word, text in (("left out", b.left_out), ("note", b.note)) if text]
        cells = tuple(getattr(b, c.name) for c in data_columns(columns))
        rows.append(ReportRow(cells, clean(told, 200), tuple(clean(text, 300) for text in below)))
    notes = [clean(f"counted as one: {words}", 300) for words in merged]
    notes.append(f"{len(broods)} broods, {sum(bool(b.left_out) for b in broods)} of them left out")
    if kept_back:
        notes.append("Its last day has not come: arms and survivors are kept back (--early shows them).")
    return document(kind, "", Report("", columns, rows, tuple(notes)))


def _iso(day: CellValue) -> str:
    """A day as 2026-03-01; "" for none."""
    return date.fromordinal(day).isoformat() if isinstance(day, int) else ""
