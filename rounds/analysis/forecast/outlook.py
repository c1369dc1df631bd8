"""What is left of a stage that has not been seen to end: a window, and whether to ask, wait or stop asking.

The model: the logarithm of a stage's length is the species' mean, plus what is the house's own
(its warmth, food and boxes), plus what is the brood's own, plus what is the animal's own. The
species' range is the sum of all of it. How it divides nobody has measured in these beetles:
several divisions are reckoned with (:data:`DIVISIONS`, estimates), each weighted by how well it
fits the lengths that were seen. ``tests/bench/bench_forecast.py`` prints how often windows hold.

A shelf's temperature moves no window. Warmth hastens development about in line with the degrees
above a threshold (Campbell et al. 1974, Journal of Applied Ecology 11, 431-438; from memory), but no
threshold was found for any flower beetle, and the one series at three temperatures (Protaetia
brevitarsis larvae, 164.0, 73.3 and 64.8 days at 25, 28 and 30 °C, Moon et al. 2018) gives 21.6 °C by
a straight line, at which they plainly grow. So warmth counts as a part of what is the house's own, as
its finished stages tell it, and the line of every window says what warmth it was made for, or that it is
left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache

from rounds.analysis.forecast.stage_length import SHORTEST, LengthSeen, StageLength, log_likelihood
from rounds.named_tuple import NamedTuple


class Division(NamedTuple):
    """Shares of the variance of log days that are the house's and the brood's; the rest is the animal's."""

    of_house: float
    of_brood: float

    @property
    def of_animal(self) -> float:
        return 1 - self.of_house - self.of_brood


DIVISIONS = (
    Division(0.35, 0.25),
    Division(0.03, 0.07),
    Division(0.6, 0.2),
    Division(0.75, 0.05),
    Division(0.1, 0.5),
    Division(0.05, 0.65),
    Division(0.05, 0.3),
    Division(0.15, 0.15),
)
"""How the spread of a species may divide (estimates), the usual one first.

They reach from nearly all of it between houses, or broods, or animals, to an even share: with too few of
them, windows of a house unlike any were too wide or too narrow (``tests/bench/bench_forecast.py``).
"""
FEW_BROODS = 8
"""Broods that a species file counts for, as it were, where the house's own broods tell the spread (estimate)."""
SEX_SD = 0.1
"""How far, in log days, males and females are expected to differ before the house shows it (estimate)."""
INSIDE = 0.8
"""The chance that the end falls within the window, if it is still to come."""
FORTNIGHT = 14
HARDLY_ANY = 0.05
"""With less chance than this that the stage still lasts, it is no longer asked for."""
MAY_HAVE_BEGUN = 0.1
"""With this chance that the next stage has begun unseen, nobody digs."""
_POINTS = (-3.0, -2.5, -2.0, -1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0)
_LONGEST = 3000.0
_END = 1.2815515655446004
"""Standard deviations from the middle to either end of a window of :data:`INSIDE` of a normal distribution."""
_NEGLIGIBLE = 7.0
"""Parts whose weight is less than e to the minus this of the best are left out."""


class StageEvidence(NamedTuple):
    """What else is known: lengths of sibs, and lengths of the same stage in the house's other broods."""

    sibs: tuple[LengthSeen, ...] = ()
    other_broods: tuple[tuple[LengthSeen, ...], ...] = ()


NO_EVIDENCE = StageEvidence()


class StageOutlook(NamedTuple):
    """Days from today, given that the stage has not ended: window of :data:`INSIDE`, likely day.

    With several ``heads`` the window begins when the first of them may be expected.
    ``within_fortnight`` is the chance that it ends by then, for any of ``heads`` animals.
    ``still_lasting`` is the chance that a stage lasts as long as this one has.
    ``may_have_begun`` is the day, from today, from which nobody digs (negative: past).
    """

    first: float
    likely: float
    last: float
    within_fortnight: float
    still_lasting: float
    may_have_begun: float

    @property
    def hardly_any_left(self) -> bool:
        return self.still_lasting < HARDLY_ANY


class _Part(NamedTuple):
    """One way it may be: its weight, the length of the stage, and how many days of it are over."""

    weight: float
    length: StageLength
    over: float


@lru_cache(maxsize=4096)
def outlook(
    usual: StageLength,
    over: tuple[float, float],
    evidence: StageEvidence = NO_EVIDENCE,
    sex: str = "",
    heads: int = 1,
) -> StageOutlook:
    """What is left of a stage of which ``over`` days are over (fewest, most: its begin may be a span).

    ``usual`` is the species' own length (:func:`rounds.analysis.forecast.stage_length.from_range`).
    """
    lengths = expected(usual, evidence, sex)
    fewest, most = over
    overs = (fewest,) if most - fewest < 1 else (fewest, (fewest + most) / 2, most)
    parts = [_Part(weight / len(overs), length, days) for weight, length in lengths for days in overs]
    still = sum(part.weight * (1 - part.length.reached(part.over)) for part in parts)

    def ended_by(days: float) -> float:
        """The chance that it has ended so many days from today, if it has not yet."""
        if still < 1e-12:
            return 1.0
        now = sum(
            part.weight * (part.length.reached(part.over + days) - part.length.reached(part.over))
            for part in parts
        )
        return now / still

    def any_by(days: float) -> float:
        return 1 - (1 - min(ended_by(days), 1.0)) ** max(heads, 1)

    def begun_by(days: float) -> float:
        return sum(part.weight * part.length.reached(part.over + days) for part in parts)

    tail = (1 - INSIDE) / 2
    return StageOutlook(
        _first_day(any_by, tail, 0.0),
        _first_day(ended_by, 0.5, 0.0),
        _first_day(ended_by, 1 - tail, 0.0),
        any_by(FORTNIGHT),
        still,
        _first_day(begun_by, MAY_HAVE_BEGUN, -max(fewest, most)),
    )


def expected(usual: StageLength, evidence: StageEvidence, sex: str) -> list[tuple[float, StageLength]]:
    """The lengths this animal's stage may have, with their weights: one only where nothing else is known."""
    if not evidence.sibs and not any(evidence.other_broods):
        return [(1.0, usual)]
    difference = _sexes_differ(evidence, usual.sd * math.sqrt(DIVISIONS[0].of_animal))
    mine = _of_sex(sex, difference)
    known = [_log_interval(seen, _of_sex(seen.sex, difference)) for seen in evidence.sibs]
    wider = _allowance(evidence.other_broods)
    found: list[tuple[float, StageLength]] = []
    for division in DIVISIONS:
        own_sd = usual.sd * math.sqrt(division.of_animal)
        mean, spread, fits = _house(usual, evidence.other_broods, division, difference)
        of_brood = usual.sd**2 * division.of_brood
        if not known:
            found.append((fits, StageLength(mean + mine, wider * math.sqrt(spread + of_brood + own_sd**2))))
            continue
        for log, centre in _brood_means(known, mean, math.sqrt(spread + of_brood), own_sd):
            found.append((fits + log, StageLength(centre + mine, own_sd)))
    best = max(log for log, _ in found)
    kept = [(math.exp(log - best), length) for log, length in found if log > best - _NEGLIGIBLE]
    whole = sum(weight for weight, _ in kept)
    return [(weight / whole, length) for weight, length in kept]


def _allowance(broods: Sequence[Sequence[LengthSeen]]) -> float:
    """How much wider an animal of a new brood may spread, because few broods tell a house's spread badly.

    The ratio of Student's t to the normal at the ends of an 80 % window, by the first term of the
    expansion t = z + (z³ + z) / 4ν (Abramowitz & Stegun 1964, 26.7.5; from memory); 1 without broods.
    """
    told = sum(any(seen.close for seen in brood) for brood in broods)
    return 1 + (_END**2 + 1) / (4 * (told + FEW_BROODS)) if told else 1.0


def _brood_means(
    known: Sequence[tuple[float, float]], mean: float, prior_sd: float, own_sd: float
) -> list[tuple[float, float]]:
    """Means the brood may have: the logarithm of each one's weight (likelihood and prior), and the mean.

    A coarse grid finds where the weight lies, a fine one is laid there.
    """

    def log_weight(centre: float) -> float:
        return log_likelihood(known, centre, own_sd) - 0.5 * ((centre - mean) / prior_sd) ** 2

    coarse = [(log_weight(mean + point * prior_sd), point) for point in _POINTS]
    best = max(log for log, _ in coarse)
    likely = [point for log, point in coarse if log > best - _NEGLIGIBLE]
    low, high = min(likely) - 0.5, max(likely) + 0.5
    step = (high - low) / (len(_POINTS) - 1)
    centres = [mean + (low + n * step) * prior_sd for n in range(len(_POINTS))]
    return [(log_weight(centre) + math.log(step), centre) for centre in centres]


def _house(
    usual: StageLength, broods: Sequence[Sequence[LengthSeen]], division: Division, difference: float
) -> tuple[float, float, float]:
    """The house's mean of log days, the variance left in it, and how well its other broods fit (a logarithm)."""
    variance = usual.sd**2
    own = variance * division.of_animal
    mean, spread, fits = usual.mean, variance * division.of_house, 0.0
    for brood in broods:
        ended = [seen.middle - _of_sex(seen.sex, difference) for seen in brood if seen.close]
        if not ended:
            continue
        middle = sum(ended) / len(ended)
        fits -= sum((one - middle) ** 2 for one in ended) / (2 * own) + (len(ended) - 1) * math.log(own) / 2
        off = variance * division.of_brood + own / len(ended)
        fits -= (middle - mean) ** 2 / (2 * (spread + off)) + math.log(spread + off) / 2
        mean, spread = (mean * off + middle * spread) / (spread + off), spread * off / (spread + off)
    return mean, spread, fits


def _sexes_differ(evidence: StageEvidence, own_sd: float) -> float:
    """How much longer males take than females, in log days: from broods with both, drawn towards none."""
    precision, weighted = 1 / SEX_SD**2, 0.0
    for brood in (evidence.sibs, *evidence.other_broods):
        males = [seen.middle for seen in brood if seen.close and seen.sex == "m"]
        females = [seen.middle for seen in brood if seen.close and seen.sex == "f"]
        if males and females:
            more = 1 / (own_sd**2 * (1 / len(males) + 1 / len(females)))
            precision += more
            weighted += more * (sum(males) / len(males) - sum(females) / len(females))
    return weighted / precision


def _of_sex(sex: str, difference: float) -> float:
    return {"m": difference / 2, "f": -difference / 2}.get(sex, 0.0)


def _log_interval(seen: LengthSeen, shift: float) -> tuple[float, float]:
    low = math.log(max(seen.low, SHORTEST)) - shift
    return low, (math.log(max(seen.high, SHORTEST)) - shift if seen.ended else math.inf)


def _first_day(chance: Callable[[float], float], share: float, start: float) -> float:
    """The first day, to half of one, on which the chance has reached ``share``."""
    low, high = start, _LONGEST
    if chance(low) >= share:
        return low
    while high - low > 0.5:
        middle = (low + high) / 2
        if chance(middle) < share:
            low = middle
        else:
            high = middle
    return high
