"""A trial that the books keep in words: what it has fixed, how far it is, what to mind beside its verdict."""

from __future__ import annotations

from datetime import date

from rounds.acts.running_trials import written
from rounds.analysis.trial.book_trial import Progress, When
from rounds.analysis.trial.power import POWER, planned_detectable
from rounds.records.column import Row
from rounds.text.cleaning import clean

PEEKING = (
    "looked at {days} before its last day: this is peeking. Whoever looks before the end, and stops when it "
    "suits, finds differences that are not there more often than the p-value says"
)


def fixed_lines(trial: Row, far: Progress) -> list[str]:
    """What a trial of the books has fixed and what was changed since, and how far it is; no arm."""
    opened, stops, closed = (_day(trial[c]) for c in ("opened", "stops", "closed"))
    out = [
        f"{clean(trial['name'], 60)}: opened {opened}, {clean(trial['species'], 60)}",
        f"endpoint, fixed then: {clean(trial['endpoint'], 40)}; last day {stops}",
    ]
    if trial["eggs"] is not None:
        drawn = f", drawn with the seed {trial['seed']}" if trial["seed"] is not None and closed else ""
        out.append(f"{far.females} females, {trial['eggs']} eggs each{drawn}")
    out.append(f"{far.paired} paired, {far.searched} of them searched, {far.out} dropped out")
    out += [f"! {clean(words, 300)}" for words in written(trial)]
    if closed:
        out.append(f"closed {closed}: {clean(trial['closed_why'], 200)}")
    return out


def running_lines(trial: Row, at: When, far: Progress) -> list[str]:
    """What is said of a trial before its last day: no arm, no share, no p-value."""
    return [
        f"not yet: {clean(trial['name'], 60)} runs until {_day(trial['stops'])} ({days(at.left)} to go); nothing is judged before",
        *fixed_lines(trial, far)[1:],
        "--early looks all the same, and the verdict will say that it was a look before the end",
    ]


def kept_notes(trial: Row, at: When) -> list[str]:
    """What has to be said beside the verdict of a trial of the books, the gravest first."""
    out = []
    if at.running:
        out.append(PEEKING.format(days=days(at.left)))
    if at.closed_early:
        why = clean(trial["closed_why"], 200)
        out.append(f"closed {_day(trial['closed'])}, {days(at.closed_early)} before its last day: {why}")
    out += [clean(words, 300) for words in written(trial)]
    if at.closed is None and not at.running:
        out.append(f"it is over and still open: rounds record trial-close {clean(trial['name'], 60)}")
    return out


def planned_line(trial: Row, females: tuple[int, int]) -> str:
    """What a trial of the books was planned to be able to detect; ``females`` drawn for sibs, cross."""
    eggs, rho, survival = trial["eggs"], trial["rho"], trial["survival"]
    if None in (eggs, rho, survival) or not min(females):
        return ""
    lowest = planned_detectable(*females, eggs, rho, survival)
    size = f"planned with {females[0]} + {females[1]} females, {eggs} eggs each"
    if lowest is None:
        return f"{size}: it could not even have detected that nothing survives, {POWER * 10:.0f} times of 10"
    return f"{size}: it could only detect a fall from {survival:.0%} to {lowest:.0%} or lower (rho {rho:g})"


def days(n: int) -> str:
    return f"{n} day" if n == 1 else f"{n} days"


def _day(day: int | None) -> str:
    return "" if day is None else date.fromordinal(day).isoformat()
