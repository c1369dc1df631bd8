"""The one function that every window of due work comes from: earliest, likely, latest, shown, and why.

Work of care comes so many days after something; its window is that range, as wide as what it
follows from. What animals do by themselves (wander, come up) comes when it comes: its window is
worked out given that it has not been seen yet (:mod:`rounds.analysis.forecast`).
"""

from __future__ import annotations

import math

from rounds.analysis.forecast.outlook import FORTNIGHT, NO_EVIDENCE, StageEvidence, StageOutlook, outlook
from rounds.analysis.forecast.stage_length import from_range
from rounds.due import work_sentences
from rounds.husbandry.species import SpeciesRange
from rounds.named_tuple import NamedTuple
from rounds.values.spans import FIRST, LAST, Span

SMALL_CHANCE = 0.05
"""With less chance than this within the next fortnight, nobody is asked to look yet."""


class StageSeen(NamedTuple):
    """What is known of a stage that has not been seen to end, as of ``today`` (a day)."""

    today: int
    evidence: StageEvidence = NO_EVIDENCE
    sex: str = ""
    heads: int = 1
    """How many animals it is about; 1 where nobody counted."""
    open_end: bool = False
    """A part of the stage is unknown for this species: it may last longer, nobody can say how long."""
    made_for: float = 0
    """The temperature (°C) that the range is for; 0 where nobody says."""


class WorkWindow(NamedTuple):
    """When to do it. ``shown`` is False while it is far off; ``missed``: hardly any chance is left.

    ``reason`` says how sure it is, "" for work of care. ``no_digging_from`` is the first day on
    which the animals may have gone on unseen, so that nobody digs; None where that is not known.
    """

    window: Span
    likely: int | None
    shown: bool = True
    reason: str = ""
    missed: bool = False
    no_digging_from: int | None = None


def work_window(
    since: Span | None, days: SpeciesRange | None, seen: StageSeen | None = None
) -> WorkWindow | None:
    """The window of work ``days`` after ``since``; None where either is unknown.

    ``seen`` makes it the window of something that animals do by themselves and that has not
    been seen yet. Where its begin is open on one side, the range alone counts.
    """
    if since is None or days is None or since.unknown:
        return None
    bounded = since.earliest > FIRST and since.latest < LAST
    if seen is None or not bounded or not days.low < days.high:
        return _of_care(since, days, bounded=bounded)
    return _of_stage(since, days, seen)


def _of_care(since: Span, days: SpeciesRange, *, bounded: bool) -> WorkWindow:
    window = since.plus(math.floor(days.low), math.ceil(days.high))
    if days.likely is None or not bounded:
        return WorkWindow(window, None)
    likely = (since.earliest + since.latest) // 2 + round(days.likely)
    return WorkWindow(window, min(max(likely, window.earliest), window.latest))


def _of_stage(since: Span, days: SpeciesRange, seen: StageSeen) -> WorkWindow:
    usual = from_range(days.low, days.high)
    over = (float(seen.today - since.latest), float(seen.today - since.earliest))
    left = outlook(usual, (max(over[0], 0.0), max(over[1], 0.0)), seen.evidence, seen.sex, seen.heads)
    begins = seen.today + max(0, -int(over[1]))  # a stage that begins on a day to come
    if seen.open_end:
        first = max(begins, since.earliest + math.floor(days.low))
        return WorkWindow(Span(first, LAST), None, shown=first <= seen.today + FORTNIGHT)
    if left.hardly_any_left:
        return WorkWindow(
            Span(seen.today, seen.today),
            seen.today,
            reason=work_sentences.hardly_any_left(_percent(left.still_lasting)),
            missed=True,
            no_digging_from=begins + math.floor(left.may_have_begun),
        )
    window = Span(begins + math.floor(left.first), begins + math.ceil(left.last))
    return WorkWindow(
        window,
        min(max(begins + round(left.likely), window.earliest), window.latest),
        shown=left.within_fortnight >= SMALL_CHANCE,
        reason=_reason(left, seen),
        no_digging_from=begins + math.floor(left.may_have_begun),
    )


def _reason(left: StageOutlook, seen: StageSeen) -> str:
    ended = sum(sib.ended for sib in seen.evidence.sibs)
    others = sum(1 for brood in seen.evidence.other_broods if any(sib.ended for sib in brood))
    return work_sentences.not_yet(_percent(left.within_fortnight), ended, others, seen.made_for)


def _percent(chance: float) -> int:
    """Whole percents, never 0 or 100: nothing is certain."""
    return min(max(round(100 * chance), 1), 99)
