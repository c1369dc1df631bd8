"""Whether two animals will be awake together long enough to mate, and the lines in which none will."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.analysis.pairing import pair_sentences as sentences
from rounds.analysis.pairing.restrictions import Candidate
from rounds.text.cleaning import day_and_year
from rounds.values.spans import FIRST, Span


def awake_warning(male: Candidate, female: Candidate, days: int, today: int | None = None) -> str:
    """Why the two will not be awake together for so many days (from ``today`` on); empty if they will, or if unknown."""
    if male.awake is None or female.awake is None:
        return ""
    common = min(male.awake.latest, female.awake.latest) - max(male.awake.earliest, female.awake.earliest) + 1
    if common >= days:
        return "" if today is None else _time_left(male, female, days, today)
    first, second = sorted((male, female), key=lambda c: (_span(c).latest, _span(c).earliest))
    until, since = day_and_year(_span(first).latest), day_and_year(_span(second).earliest)
    if common <= 0:
        return sentences.never_awake_together(first.animal, until, second.animal, since, 1 - common)
    return sentences.awake_too_briefly(first.animal, until, second.animal, since, common)


def _time_left(male: Candidate, female: Candidate, days: int, today: int) -> str:
    """What to warn of where two would have been awake together long enough, had they met in time."""
    first = min(male, female, key=lambda c: _span(c).latest)
    last = _span(first).latest
    if last < today:
        return sentences.past_its_life(first.animal, day_and_year(last))
    left = last - max(today, _span(male).earliest, _span(female).earliest) + 1
    return "" if left >= days else sentences.few_days_left(first.animal, day_and_year(last), left)


def share_missed(male: Candidate, female: Candidate, days: int, today: int | None = None) -> float:
    """The share of so many days (from ``today`` on) that two will not be awake together: 0 to 1, 0 where unknown."""
    if male.awake is None or female.awake is None or not days:
        return 0.0
    first = max(_span(male).earliest, _span(female).earliest, today if today is not None else FIRST)
    common = last_day_together(male, female) - first + 1
    return min(1.0, max(0.0, 1 - common / days))


def awake_words(male: Candidate, female: Candidate, days: int, today: int | None = None) -> str:
    """That the two are awake together long enough, and till when, or that nobody can tell; "" when they are not."""
    if male.awake is None or female.awake is None:
        return sentences.AWAKE_NOT_KNOWN
    if awake_warning(male, female, days, today):
        return ""
    return sentences.both_awake_until(day_and_year(last_day_together(male, female)))


def last_day_together(male: Candidate, female: Candidate) -> int:
    """The last day on which both may still be awake; their days must be known."""
    return min(_span(male).latest, _span(female).latest)


def _span(c: Candidate) -> Span:
    assert c.awake is not None
    return c.awake


def out_of_step(candidates: Sequence[Candidate], days: int = 14, today: int | None = None) -> list[str]:
    """A warning for each line of which no male and female will be awake together for ``days`` (from ``today`` on).

    Resting animals count: it is their waking that is looked at. A line with one sex only, or
    with an animal whose days are not known, is passed over.
    """
    out = []
    for line in dict.fromkeys(c.line for c in candidates):
        males = [c for c in candidates if c.line == line and c.sex == "m"]
        females = [c for c in candidates if c.line == line and c.sex == "f"]
        if not males or not females or any(c.awake is None for c in (*males, *females)):
            continue
        if any(not awake_warning(m, f, days, today) for m in males for f in females):
            continue
        from_today = today is not None
        out.append(
            sentences.line_out_of_step(line, _awake(males), _awake(females), days, from_today=from_today)
        )
    return out


def _awake(some: Sequence[Candidate]) -> tuple[str, str]:
    """The first and the last day on which any of some may be awake."""
    return day_and_year(min(_span(c).earliest for c in some)), day_and_year(
        max(_span(c).latest for c in some)
    )
