"""A trial that the books keep, in lines: what it has fixed, how far it is, what to mind beside its verdict."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.acts.running_trials import ENDPOINT, LAST_DAY, changed, written
from rounds.analysis.trial import kept_trial_sentences as sentences
from rounds.analysis.trial.book_trial import Progress, Stands, When
from rounds.analysis.trial.power import POWER, planned_detectable
from rounds.records.tables import Trial
from rounds.text.cleaning import clean
from rounds.values.spans import iso


def fixed_lines(trial: Trial, far: Progress) -> list[str]:
    """What a trial of the books has fixed and what was changed since, and how far it is; no arm."""
    opened, closed = _day(trial.opened), _day(trial.closed)
    out = [
        sentences.opened(clean(trial.name, 60), opened, clean(trial.species, 60)),
        settled_line(trial, far),
    ]
    if trial.eggs is not None:
        out.append(sentences.size(far.females, trial.eggs, trial.seed if closed else None))
    out.append(sentences.how_far(far.paired, far.searched, far.out))
    out += [sentences.mind(clean(words, 300)) for words in written(trial)]
    if closed:
        out.append(sentences.closed(closed, clean(trial.closed_why, 200)))
    return out


def settled_line(trial: Trial, far: Progress) -> str:
    """Endpoint and last day as they are now, each fixed from the beginning or changed since."""
    now = {ENDPOINT: clean(trial.endpoint, 40), LAST_DAY: _day(trial.stops) or sentences.NO_LAST_DAY}
    said = []
    for what, value in now.items():
        change = changed(trial, what)
        if change is None:
            said.append(sentences.fixed(value))
        else:
            counted = sum(day is not None and iso(day) <= change.day for day in far.counted)
            said.append(sentences.changed(value, change.day, clean(change.before, 40), counted, far.females))
    return sentences.settled(*said)


def place_lines(places: Sequence[Stands]) -> list[str]:
    """Places drawn against places used, first in all and then each that differs; nothing where none were drawn."""
    if not places:
        return []
    elsewhere = place_notes(places)
    gone = sum(not p.now for p in places)
    out = [sentences.places_used(len(places) - len(elsewhere) - gone, len(elsewhere), gone)]
    return out + [sentences.mind(words) for words in elsewhere]


def place_notes(places: Sequence[Stands]) -> list[str]:
    """Each brood that stands elsewhere than was drawn."""
    return [
        sentences.stands_elsewhere(clean(p.female, 40), p.drawn, p.now)
        for p in places
        if p.now and p.now != p.drawn
    ]


def running_lines(trial: Trial, at: When, far: Progress) -> list[str]:
    """What is said of a trial before its last day: no arm, no share, no p-value."""
    return [
        sentences.not_yet(clean(trial.name, 60), _day(trial.stops), at.left),
        *fixed_lines(trial, far)[1:],
        sentences.LOOK_EARLY,
    ]


def kept_notes(trial: Trial, at: When) -> list[str]:
    """What has to be said beside the verdict of a trial of the books, the gravest first."""
    out = []
    if at.running:
        out.append(sentences.peeking(at.left))
    if at.closed_early:
        why = clean(trial.closed_why, 200)
        out.append(sentences.closed_early(_day(trial.closed), at.closed_early, why))
    out += [clean(words, 300) for words in written(trial)]
    if at.closed is None and not at.running:
        out.append(sentences.over_and_open(clean(trial.name, 60)))
    return out


def planned_line(trial: Trial, females: tuple[int, int]) -> str:
    """What a trial of the books was planned to be able to detect; ``females`` drawn for sibs, cross."""
    eggs, rho, survival = trial.eggs, trial.rho, trial.survival
    if eggs is None or rho is None or survival is None or not min(females):
        return ""
    lowest = planned_detectable(*females, eggs, rho, survival)
    size = sentences.planned_size(females, eggs)
    if lowest is None:
        return sentences.could_detect_nothing(size, POWER * 10)
    return sentences.could_detect(size, survival, lowest, rho)


def _day(day: int | None) -> str:
    return "" if day is None else iso(day)
