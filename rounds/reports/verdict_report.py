"""What a trial found, and the cost over several levels of F: sentences for people, named figures for programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from rounds.analysis.trial import cost_sentences, survival_plot
from rounds.analysis.trial.cost_words import cost_lines, finding
from rounds.analysis.trial.power import POWER
from rounds.analysis.trial.trial_words import doubled, verdict_lines
from rounds.reports import trial_report_sentences
from rounds.reports.report import ReportDocument, TextBlock, document
from rounds.reports.report_columns import CellValue
from rounds.reports.trial_kinds import COST, VERDICT
from rounds.text.cleaning import clean

if TYPE_CHECKING:
    from rounds.analysis.trial.inbreeding_cost import Cost, Level
    from rounds.analysis.trial.verdict import Amount, Arm, Verdict


def verdict_report(v: Verdict, after: Sequence[str] = (), mind: Sequence[str] = ()) -> ReportDocument:
    """A verdict; ``after`` is said after the finding, ``mind`` is what to mind about it."""
    said = verdict_lines(v)
    said[1:1] = [clean(line, 300) for line in after]
    said += [f"! {clean(line, 400)}" for line in mind]
    result = {**verdict_fields(v), "notes": [*v.notes, *after, *mind]}
    return document(VERDICT, "", TextBlock("", tuple(survival_plot.as_text(v))), said=said, result=result)


def running_report(lines: Sequence[str], days_left: int) -> ReportDocument:
    """What may be told before the last day of a trial: that it runs, not how it goes."""
    result: dict[str, CellValue] = {
        "finding": trial_report_sentences.NOT_YET,
        "days_left": days_left,
        "notes": list(lines),
    }
    return document(VERDICT, "", said=lines, result=result)


def cost_report(rows: Sequence[Level], c: Cost) -> ReportDocument:
    """The line through several levels of F."""
    how = trial_report_sentences.AS_IF_INDEPENDENT if c.independent else cost_sentences.WIDENED
    if c.low is None or c.high is None:
        how = trial_report_sentences.NO_INTERVAL
    error = trial_report_sentences.standard_error(c.error_a) if c.error_a is not None else None
    twice = (None if c.low is None else 2 * c.low, None if c.high is None else 2 * c.high)
    result: dict[str, CellValue] = {
        "finding": finding(c),
        "a": _range(c.a, how=error),
        "b_per_gamete": _range(c.b, c.low, c.high, how),
        "b_per_animal": _range(2 * c.b, *twice, how),
        "error_of_b": _range(c.error_b, how=trial_report_sentences.EXPECTED_INFORMATION),
        "phi": _range(c.phi, how=trial_report_sentences.CHI_SQUARE),
    }
    return document(COST, "", said=cost_lines(list(rows), c), result=result)


def verdict_fields(v: Verdict) -> dict[str, CellValue]:
    """The fields of :data:`rounds.reports.trial_kinds.VERDICT`; a number without limit counts as not known."""
    out: dict[str, CellValue] = {
        "finding": v.finding,
        **_arm("reference", v.reference),
        **_arm("other", v.other),
    }
    if v.interval is not None:
        out["difference"] = _range(v.difference, v.interval.low, v.interval.high, v.interval.method)
    out["p"] = {"value": v.p, "how": v.method if v.p is not None else v.no_p}
    if v.means is not None and v.rhos is not None:
        for word, mean, rho in zip(("reference", "other"), v.means, v.rhos, strict=True):
            out[f"{word}_fit"] = _range(mean, how=trial_report_sentences.MAXIMUM_LIKELIHOOD)
            out[f"{word}_rho"] = _range(rho, how=trial_report_sentences.MAXIMUM_LIKELIHOOD)
    if v.rho is not None:
        out["rho"] = _range(
            v.rho.rho, v.rho.rho_low, v.rho.rho_high, trial_report_sentences.PROFILE_LIKELIHOOD
        )
    out["delta"] = _amount(v.delta)
    out["b_per_gamete"] = _amount(v.b)
    out["b_per_animal"] = _amount(v.b and doubled(v.b))
    if v.f is not None:
        how = trial_report_sentences.F_FROM_NAMES if v.f_assumed else trial_report_sentences.F_AS_GIVEN
        out["difference_in_f"] = _range(v.f, how=how)
    if v.detectable is not None:
        how = trial_report_sentences.found_in(POWER, v.assumed_rho)
        out["detectable_difference"] = _range(v.detectable, how=how)
    out["females_needed"] = v.repeat
    out["dropped_out"] = [{"female": b.female, "why": why, "arm": b.arm} for b, why in v.dropped]
    out["counted_as_one"] = v.merged
    return {**out, "notes": v.notes}


def _arm(word: str, arm: Arm) -> dict[str, CellValue]:
    return {
        f"{word}_arm": arm.name,
        f"{word}_broods": len(arm.units),
        f"{word}_eggs": sum(u.eggs for u in arm.units),
        f"{word}_alive": sum(u.alive for u in arm.units),
        f"{word}_mean": _range(arm.mean, arm.interval.low, arm.interval.high, arm.interval.method),
    }


def _amount(a: Amount | None) -> Mapping[str, CellValue] | None:
    return None if a is None else _range(a.value, a.low, a.high, a.method)


def _range(
    value: float | None, low: float | None = None, high: float | None = None, how: str | None = None
) -> Mapping[str, CellValue]:
    return {"value": value, "low": low, "high": high, "how": how or None}
