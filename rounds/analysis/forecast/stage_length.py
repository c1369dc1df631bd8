"""How long a stage lasts: a lognormal distribution, and the likelihood of lengths that are known roughly.

Nobody sees the hour at which a larva starts to wander. What is known of a length is an
interval in days, open above while the stage has not ended (right-censored).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from rounds.named_tuple import NamedTuple

LEAST_SD = 0.09
"""Log days; a few stages that came out alike do not say that the next will, to the day (estimate)."""
SHORTEST = 0.5
"""Days; a stage of no length at all has no logarithm."""
_REACH = 1.6448536269514722
"""Standard deviations on each side of the middle that hold nine in ten of a normal distribution: so many
of a species' stages are taken to lie in its usual range (estimate: files give "usual" values)."""
_ROOT_HALF = math.sqrt(0.5)


class StageLength(NamedTuple):
    """A lognormal length: ``mean`` and ``sd`` are of its natural logarithm, in log days."""

    mean: float
    sd: float

    def reached(self, days: float) -> float:
        """The chance that the stage has ended after so many days."""
        if days <= 0:
            return 0.0
        return below((math.log(days) - self.mean) / self.sd)

    @property
    def usual(self) -> tuple[float, float, float]:
        """Lowest, middle and highest of the usual days: the range that :func:`from_range` makes this of."""
        reach = _REACH * self.sd
        return math.exp(self.mean - reach), math.exp(self.mean), math.exp(self.mean + reach)


class LengthSeen(NamedTuple):
    """What is known of one stage's length, in days; ``high`` is infinite while it has not ended."""

    low: float
    high: float
    sex: str = ""

    @property
    def ended(self) -> bool:
        return self.high < math.inf

    @property
    def close(self) -> bool:
        """Is it known closely enough to stand for one length? Not when only a much later day was noted."""
        return self.high <= 1.5 * self.low

    @property
    def middle(self) -> float:
        """The logarithm of the middle of a length that has ended."""
        return (math.log(max(self.low, SHORTEST)) + math.log(max(self.high, SHORTEST))) / 2


def from_range(low: float, high: float) -> StageLength:
    """The lognormal of which nine in ten (:data:`_REACH`) lie in the range, as much below it as above.

    The likeliest value that species files give is not needed: it lies where the mode of this
    lognormal is (120 to 245 days have their mode at 164; the file says 165).
    Raises ValueError for a range that has no width or is not positive.
    """
    low = max(low, SHORTEST)
    if not low < high:
        raise ValueError(f"a stage of {low:g} to {high:g} days has no range")
    mean = (math.log(low) + math.log(high)) / 2
    return StageLength(mean, (math.log(high) - mean) / _REACH)


def from_lengths(
    broods: Sequence[Sequence[LengthSeen]], fewest_broods: int, fewest_lengths: int
) -> StageLength | None:
    """The lognormal that a house's own finished stages tell, where no species file says anything.

    Every brood counts alike, because sibs are alike; the spread is that between the broods' means and
    within broods, at least :data:`LEAST_SD`, and wider by what so few broods leave unknown of the mean.
    None with fewer broods, or lengths, than are asked for.
    """
    told = [[seen.middle for seen in brood if seen.close] for brood in broods]
    told = [some for some in told if some]
    if len(told) < fewest_broods or sum(map(len, told)) < fewest_lengths:
        return None
    means = [sum(some) / len(some) for some in told]
    mean = sum(means) / len(means)
    between = sum((one - mean) ** 2 for one in means) / (len(means) - 1)
    freedom = sum(len(some) - 1 for some in told)
    within = sum((one - m) ** 2 for some, m in zip(told, means, strict=True) for one in some) / max(
        freedom, 1
    )
    variance = max(between + within, LEAST_SD**2)
    return StageLength(mean, math.sqrt(variance * (1 + 1 / len(means))))


def below(z: float) -> float:
    """The standard normal distribution function."""
    return 0.5 * math.erfc(-z * _ROOT_HALF)


def log_likelihood(seen: Iterable[tuple[float, float]], mean: float, sd: float) -> float:
    """The log-likelihood of a normal distribution for values known exactly or as intervals.

    Each value is (low, high): equal ends are an exact value, an infinite end is censored on
    that side. On log days this is the likelihood of the lognormal. Formula: Wolynetz 1979,
    Applied Statistics 28, 185-195 (AS 138), as restated for grouped and censored normal data
    in the NAG Library manual, G07BBF, section 3 (constant of the density included).
    """
    total = 0.0
    for low, high in seen:
        if low == high:
            z = (low - mean) / sd
            total -= 0.5 * z * z + math.log(sd) + 0.5 * math.log(2 * math.pi)
            continue
        up, down = (high - mean) / sd, (low - mean) / sd
        share = below(up) - below(down) if down < 0 else below(-down) - below(-up)
        total += math.log(max(share, 1e-300))
    return total
