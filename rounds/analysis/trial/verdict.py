"""The verdict of a sib trial: what was found, how sure, and what could have been found at all.

One comparison is made, settled beforehand (:mod:`rounds.analysis.trial.two_arm_test`), and
finding, p, interval, delta and B are all read off it, so that none can contradict another.
Where no test is known to hold (fewer than four females an arm, arms far apart in size, broods
far more alike than the test was tried with) the verdict is "cannot tell", with the reason.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import inf, log

from rounds.analysis.trial import beta_binomial as betabinomial
from rounds.analysis.trial import survival_shares as shares
from rounds.analysis.trial import verdict_sentences as sentences
from rounds.analysis.trial.brood_counts import REFERENCES, SIBS, BroodCount, Unit, Units, units
from rounds.analysis.trial.inbreeding_cost import between
from rounds.analysis.trial.power import females_for, planned_detectable
from rounds.analysis.trial.survival_shares import FEWEST, LEVEL, MOST_ALIKE, MOST_UNEVEN, Interval
from rounds.analysis.trial.trial_plan import Pair, unequal
from rounds.analysis.trial.trial_plan_sentences import FEMALES, MALES
from rounds.analysis.trial.two_arm_test import Range, TwoArms, two_arm_test
from rounds.named_tuple import NamedTuple

RHO = 0.1
"""The intraclass correlation taken where a trial cannot tell its own (estimate)."""

LOWER, HIGHER, CANNOT_TELL, DESCRIBED = "lower", "higher", "cannot tell", "described"


class Arm(NamedTuple):
    """One arm: its independent broods, their mean share with an interval, and F as far as known."""

    name: str
    units: list[Unit]
    mean: float
    interval: Interval
    f: float | None

    @property
    def shares(self) -> list[float]:
        return [u.share for u in self.units]


class Amount(NamedTuple):
    """A figure with its range; an end is infinite where there is no limit."""

    value: float
    low: float
    high: float
    method: str


class Verdict(NamedTuple):
    """``finding``: the other arm's survival is lower, higher, cannot tell, or only described.

    ``p`` is None with ``no_p`` saying why. ``rho`` is how alike eggs of one brood are, taken
    alike in both arms; ``means`` and ``rhos`` are those of most likelihood, arm by arm.
    ``detectable`` is the smallest difference found in 8 of 10 such trials (as a fall below the
    reference, or a rise where no fall would be found) and ``assumed_rho`` what it takes rho to
    be; ``repeat`` females per arm would find the difference seen. ``f`` is the difference in F
    that B stands on, None where not known.
    """

    reference: Arm
    other: Arm
    difference: float
    f: float | None
    f_assumed: bool
    dropped: list[tuple[BroodCount, str]]
    merged: list[str]
    notes: list[str]
    finding: str = DESCRIBED
    p: float | None = None
    no_p: str = ""
    method: str = ""
    interval: Interval | None = None
    means: tuple[float, float] | None = None
    rhos: tuple[float, float] | None = None
    rho: betabinomial.Fit | None = None
    delta: Amount | None = None
    b: Amount | None = None
    detectable: float | None = None
    assumed_rho: float = RHO
    repeat: int | None = None


def verdict(
    broods: Sequence[BroodCount], reference: str, f: Mapping[str, float] | None = None
) -> Verdict | None:
    """Judge a trial of two arms; ``f`` gives an arm's F where the counts do not.

    None when an arm is left without a brood to compare: :func:`rounds.analysis.trial.brood_counts.units` says why.
    """
    found = units(broods, reference)
    names = list(found.arms)
    if len(names) != 2 or not all(found.arms.values()):
        return None
    known = dict(f or {})
    assumed = False
    for name, some in found.arms.items():
        if name in known or any(u.f is not None for u in some):
            continue
        if name.casefold() in SIBS or name.casefold() in REFERENCES:
            known[name], assumed = 0.25 if name.casefold() in SIBS else 0.0, True
    one, other = (_arm(name, found.arms[name], known) for name in names)
    gone = {id(b) for b, _ in found.dropped}
    kept = [
        Pair(b.arm, b.female, b.male, b.female_age, b.male_age, b.batch) for b in broods if id(b) not in gone
    ]
    v = _judge(one, other, found, assumed=assumed)
    if v.finding != DESCRIBED:
        v.notes.extend(_doubtful(kept))
        v.notes.extend(map(sentences.differ_otherwise, unequal(kept)))
    return v


def _doubtful(kept: Sequence[Pair]) -> Iterator[str]:
    """Possible dependence between broods that are treated as independent, as far as their names tell."""
    if nameless := sum(not p.male for p in kept):
        yield sentences.males_not_given(nameless)
    males = [m.strip() for p in kept for m in p.male.split("|")]
    for what, names in ((FEMALES, [p.female for p in kept]), (MALES, males)):
        alike: dict[str, str] = {}
        for name in dict.fromkeys(names):
            other = alike.setdefault(name.casefold().replace(" ", ""), name)
            if other != name:
                yield sentences.names_alike(what, other, name)


def _arm(name: str, some: list[Unit], f: Mapping[str, float]) -> Arm:
    own = [u.f for u in some if u.f is not None]
    parts = [u.share for u in some]
    return Arm(
        name,
        some,
        shares.mean(parts),
        shares.of_arm(parts, sum(u.eggs for u in some), RHO),
        f.get(name, shares.mean(own) if len(own) == len(some) else None),
    )


class _Finding(NamedTuple):
    """What one comparison says: the same in the headline, in p and in both ranges."""

    word: str
    p: float | None
    no_p: str
    interval: Interval
    ratio: Range


def _finding(t: TwoArms, females: tuple[int, int]) -> _Finding:
    no_p = _no_test(t, females)
    if no_p:
        # Not tested, so nothing may be read off the ranges either: they are widened to no difference.
        interval = Interval(min(t.interval.low, 0.0), max(t.interval.high, 0.0), sentences.WIDENED)
        return _Finding(
            CANNOT_TELL, None, no_p, interval, Range(min(t.ratio.low, 1.0), max(t.ratio.high, 1.0))
        )
    word = CANNOT_TELL
    if t.p <= 1 - LEVEL:
        word = LOWER if t.difference < 0 else HIGHER
    return _Finding(word, t.p, "", Interval(*t.interval, sentences.WHAT_EITHER_KEEPS), t.ratio)


def _no_test(t: TwoArms, females: tuple[int, int]) -> str:
    """Why no test is known to hold here; "" where one does."""
    k, m = females
    if min(k, m) < FEWEST:
        return sentences.too_few_for_p(k, m, FEWEST)
    if max(k, m) > MOST_UNEVEN * min(k, m):
        return sentences.too_uneven_for_p(k, m, MOST_UNEVEN)
    if max(t.rhos) > MOST_ALIKE:
        return sentences.too_alike_for_p(max(t.rhos), MOST_ALIKE)
    return ""


def _judge(one: Arm, other: Arm, found: Units, *, assumed: bool) -> Verdict:
    k, m = len(one.units), len(other.units)
    f = other.f - one.f if one.f is not None and other.f is not None and other.f > one.f else None
    v = Verdict(
        reference=one,
        other=other,
        difference=other.mean - one.mean,
        f=f,
        f_assumed=assumed and f is not None,
        dropped=found.dropped,
        merged=found.merged,
        notes=[],
    )
    if min(k, m) == 1:
        # One brood's share and cost would be its own mother's and tub's as much as its arm's.
        return v._replace(no_p=sentences.lone_brood((one if k == 1 else other).units[0].name))
    arms = [[(u.eggs, u.alive) for u in arm.units] for arm in (one, other)]
    t = two_arm_test(arms[0], arms[1])
    said = _finding(t, (k, m))
    rho = betabinomial.fit(arms)
    delta, cost = _costs(one, other, said.ratio, f)
    # Few broods can come out alike by chance: where they do not tell, the usual is not undercut.
    assumed_rho = min(MOST_ALIKE, rho.rho if rho.rho_low > 0 else max(RHO, rho.rho))
    detectable, repeat = _what_it_could_find(one, other, assumed_rho, known=said.word != CANNOT_TELL)
    return v._replace(
        finding=said.word,
        p=said.p,
        no_p=said.no_p,
        method=sentences.BOTH_TESTS if said.p is not None else "",
        interval=said.interval,
        means=t.means,
        rhos=t.rhos,
        rho=rho,
        delta=delta,
        b=cost,
        detectable=detectable,
        assumed_rho=assumed_rho,
        repeat=repeat,
        notes=list(_uneven(one, other)),
    )


def _uneven(one: Arm, other: Arm) -> Iterator[str]:
    sizes = [u.eggs for u in (*one.units, *other.units)]
    if max(sizes) > 5 * min(sizes):
        yield sentences.uneven_broods(min(sizes), max(sizes))
    k, m = len(one.units), len(other.units)
    if abs(k - m) > max(k, m) / 3:
        yield sentences.uneven_arms(k, m)


def _what_it_could_find(one: Arm, other: Arm, rho: float, *, known: bool) -> tuple[float | None, int | None]:
    """The smallest difference such a trial finds in 8 of 10, and females per arm that find the one seen."""
    k, m = len(one.units), len(other.units)
    sizes = [u.eggs for u in (*one.units, *other.units)]
    # Their harmonic mean: that is what chance makes shares vary by.
    eggs = round(len(sizes) / sum(1 / n for n in sizes))
    # A share of exactly 0 or 1 would not vary at all.
    p, q = (
        (sum(u.alive for u in arm.units) + 1) / (sum(u.eggs for u in arm.units) + 2) for arm in (one, other)
    )
    lowest = planned_detectable(k, m, eggs, rho, p)
    # A rise of those that live is a fall of those that die.
    highest = planned_detectable(k, m, eggs, rho, 1 - p) if lowest is None else None
    smallest = p - lowest if lowest is not None else 1 - p - highest if highest is not None else None
    repeat = None if known or one.mean == other.mean else females_for(eggs, rho, p, q)
    return smallest, repeat


def _costs(one: Arm, other: Arm, ratio: Range, f: float | None) -> tuple[Amount | None, Amount | None]:
    """delta (1 − other / reference) and B (−ln of that ratio, by F), with the range of the same comparison."""
    if one.mean == 0:
        return None, None
    b, delta = between(one.mean, other.mean, f or 1.0)
    both = Amount(delta, 1 - ratio.high, 1 - ratio.low, sentences.WHAT_EITHER_KEEPS)
    if not f:
        return both, None
    low, high = (-inf if r == inf else inf if r == 0 else -log(r) / f for r in (ratio.high, ratio.low))
    return both, Amount(b, low, high, sentences.WHAT_EITHER_KEEPS)


__all__ = [
    "CANNOT_TELL",
    "DESCRIBED",
    "HIGHER",
    "LOWER",
    "Amount",
    "Arm",
    "Verdict",
    "verdict",
]
