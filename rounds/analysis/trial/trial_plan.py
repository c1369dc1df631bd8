"""Planning a sib trial: what is settled before it starts, and what it could show at all.

The endpoint and the day it ends are fixed first; nothing is looked at before. Positions on
the shelves are drawn from a recorded seed, in blocks that hold every arm once, so that no
arm has the warm shelf to itself.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Sequence
from zlib import crc32

from rounds.analysis.trial import count_sentences
from rounds.analysis.trial import trial_plan_sentences as sentences
from rounds.analysis.trial.count_table import CountColumn, CountLine, read
from rounds.analysis.trial.inbreeding_cost import b_of, cost_of
from rounds.analysis.trial.power import females_for, planned_detectable, planned_power, power_of, testable
from rounds.analysis.trial.survival_shares import FEWEST, MOST_UNEVEN, design_effect
from rounds.named_tuple import NamedTuple
from rounds.problems import Problem, Refusal

COLUMNS = (
    CountColumn("arm", "text", "which arm", required=True),
    CountColumn("female", "text", "the mother", required=True),
    CountColumn("male", "text", "the father; several with | between them"),
    CountColumn("female_age", "number", "the female's age when she is set up, days", high=3000),
    CountColumn("male_age", "number", "the male's age, days", high=3000),
    CountColumn("batch", "text", "the substrate batch"),
    CountColumn("note", "text", "anything else"),
)
"""Columns of a table of pairs to be set up."""

AGE_GAP = 7.0
"""Days by which the arms' mean ages may differ before it is said (estimate)."""

COSTS = (0.35, 1.05, 1.57)
"""B per gamete that a plan is tried against: a mild cost of hatching, a middling and a strong one
from egg to adult (the strong one as found in a seed beetle, Fox & Scheibly 2006; others estimates)."""

F_SIBS = 0.25
"""F of the offspring of full sibs, before any older inbreeding."""


class Design(NamedTuple):
    """What the keeper settles. ``survival`` is what the reference arm is expected to reach."""

    endpoint: str
    ends: int  # day ordinal
    arms: tuple[str, str] = ("sib", "outcross")  # the last is the reference
    females: int = 6
    eggs: int = 40
    rho: float = 0.1
    survival: float = 0.5
    seed: int = 0
    positions: tuple[str, ...] = ()


def usual_seed(d: Design, name: str = "") -> int:
    """The seed of a draw for which none is given: made of what is fixed, so the same plan is drawn the same way.

    Nobody chooses it, and another seed has to be asked for, which the plan then shows.
    """
    fixed = (name, d.endpoint, d.ends, *d.arms, d.females, d.eggs, *d.positions)
    return crc32("|".join(map(str, fixed)).encode()) >> 1


class Pair(NamedTuple):
    """One pair to be set up."""

    arm: str
    female: str
    male: str = ""
    female_age: float | None = None
    male_age: float | None = None
    batch: str = ""
    note: str = ""


class Chance(NamedTuple):
    """For a cost B: the survival it leaves, the power to see it, and females per arm for 80%.

    ``claimed`` is the power that counting eggs as if each stood alone would claim: too high.
    """

    b: float
    survival: float
    power: float | None
    females: int | None
    claimed: float | None = None


class Place(NamedTuple):
    """Where one brood stands."""

    position: str
    arm: str
    female: str
    male: str = ""


class TrialPlan(NamedTuple):
    """``detectable`` is the highest survival of the other arm that would be told from the
    reference's in 8 of 10 such trials (None: not even 0 would be, or no p-value is given);
    ``b`` the cost that stands for. ``checks`` is what does not match or is not known."""

    design: Design
    design_effect: float
    effective_eggs: float
    detectable: float | None
    b: float | None
    chances: list[Chance]
    layout: list[Place]
    checks: list[str]


def pairs(lines: Iterable[str], file: str) -> tuple[list[Pair], list[Problem]]:
    """Read the pairs of a planned trial from opened text; with any problem the list is empty."""
    table = read(lines, file, COLUMNS, count_sentences.PAIRS)
    problems = list(table.problems)
    seen: dict[str, CountLine] = {}
    for line in table.rows:
        female = line.values["female"]
        if (earlier := seen.setdefault(female, line)) is not line:
            said = count_sentences.female_again(female, earlier.number)
            problems.append(Problem(file, line.number, line.starts.get("female", 0), *said))
    arms = dict.fromkeys(line.values["arm"] for line in table.rows)
    if not problems and len(arms) != 2:
        problems.append(Problem(file, 0, 0, *count_sentences.not_two_arms(len(arms), tuple(arms))))
    return ([], sorted(problems)) if problems else ([Pair(**line.values) for line in table.rows], [])


def mistakes(d: Design, known: Sequence[Pair]) -> Iterable[Refusal]:
    """What cannot be planned."""
    if not d.endpoint.strip():
        yield sentences.NO_ENDPOINT
    if len({a.casefold() for a in d.arms}) != 2:
        yield sentences.SAME_ARMS
    for what, value, low, high in (
        (sentences.FEMALES_PER_ARM, d.females, 1, 500),
        (sentences.EGGS_PER_FEMALE, d.eggs, 1, 10_000),
        (sentences.RHO, d.rho, 0, 0.99),
        (sentences.EXPECTED_SURVIVAL, d.survival, 0.01, 0.99),
    ):
        if not low <= value <= high:
            yield sentences.no_such_number(what, value, low, high)
    per_arm = _females(d, known)
    if d.positions and len(set(d.positions)) < len(d.positions):
        yield sentences.POSITION_TWICE
    if d.positions and len(d.positions) < sum(per_arm):
        yield sentences.few_positions(len(d.positions), sum(per_arm))
    for pair in known:
        if pair.arm not in d.arms:
            yield sentences.no_such_arm(pair.female, pair.arm, d.arms)


def _females(d: Design, known: Sequence[Pair]) -> tuple[int, int]:
    if not known:
        return d.females, d.females
    other, reference = (sum(p.arm == a for p in known) for a in d.arms)
    return other, reference


def plan(d: Design, known: Sequence[Pair] = ()) -> TrialPlan:
    """Work a design out; ``known`` pairs replace the females per arm. Check :func:`mistakes` first."""
    other, reference = _females(d, known)
    lowest = None
    if min(other, reference):
        lowest = planned_detectable(other, reference, d.eggs, d.rho, d.survival)
    chances, fewest = [], min(other, reference)
    for b in COSTS:
        left = d.survival * (1 - cost_of(b, F_SIBS))
        chances.append(
            Chance(
                b,
                left,
                planned_power(other, reference, d.eggs, d.rho, d.survival, left),
                females_for(d.eggs, d.rho, d.survival, left),
                power_of(d.eggs * fewest, d.survival, left) if fewest else None,
            )
        )
    effect = design_effect(d.eggs, d.rho)
    cost = b_of(1 - lowest / d.survival, F_SIBS) if lowest else None
    return TrialPlan(
        d,
        effect,
        d.eggs * min(other, reference) / effect,
        lowest,
        cost,
        chances,
        layout(d, known),
        [*_size(other, reference), *matching(known)],
    )


def _size(other: int, reference: int) -> list[str]:
    if min(other, reference) < FEWEST:
        return [sentences.only_described(other, reference, FEWEST)]
    if not testable(other, reference):
        return [sentences.too_uneven(other, reference, MOST_UNEVEN)]
    return []


def layout(d: Design, known: Sequence[Pair] = ()) -> list[Place]:
    """Draw who stands where: blocks that hold each arm once, both order and females drawn.

    The same seed gives the same places on every machine: only ``random()`` of the standard
    generator is used, which does not change between versions.
    """
    draw = random.Random(d.seed)
    waiting = {}
    males = {p.female: p.male for p in known}
    for arm in d.arms:
        names = [p.female for p in known if p.arm == arm] or [f"{arm} {k + 1}" for k in range(d.females)]
        waiting[arm] = _shuffled(names, draw) if not known or any(p.arm == arm for p in known) else []
    total = sum(map(len, waiting.values()))
    positions = list(d.positions) or [str(k + 1) for k in range(total)]
    out: list[Place] = []
    while any(waiting.values()):
        for arm in _shuffled([a for a in d.arms if waiting[a]], draw):
            female = waiting[arm].pop()
            out.append(Place(positions[len(out)], arm, female, males.get(female, "")))
    return out


def _shuffled(items: Sequence[str], draw: random.Random) -> list[str]:
    return [item for _, _, item in sorted((draw.random(), k, item) for k, item in enumerate(items))]


AGES = (("female_age", sentences.FEMALES), ("male_age", sentences.MALES))


def unequal(known: Sequence[Pair]) -> list[str]:
    """In what two arms differ beside F, as far as it is given: mean ages, shares of a substrate batch."""
    out: list[str] = []
    arms = list(dict.fromkeys(p.arm for p in known))
    if len(arms) != 2:
        return out
    for field, what in AGES:
        some = {a: [x for p in known if p.arm == a and (x := getattr(p, field)) is not None] for a in arms}
        if all(some.values()):
            means = [sum(v) / len(v) for v in some.values()]
            if abs(means[0] - means[1]) > AGE_GAP:
                out.append(sentences.ages_differ(what, tuple(some), tuple(means)))
    given = [p for p in known if p.batch]
    first = sum(p.arm == arms[0] for p in given)
    for batch in dict.fromkeys(p.batch for p in given):
        counts = [sum(p.batch == batch and p.arm == a for p in given) for a in arms]
        # As many of either arm as the arms' sizes let expect, give or take a pair that cannot be split.
        if abs(counts[0] - sum(counts) * first / len(given)) > 0.9:
            out.append(sentences.batch_uneven(batch, tuple(arms), tuple(counts)))
    return out


def matching(known: Sequence[Pair]) -> list[str]:
    """What would mix another difference into that of the arms: ages, batches, shared males."""
    out = []
    for field, what in AGES:
        if missing := sum(getattr(p, field) is None for p in known):
            out.append(sentences.ages_missing(missing, what))
    if missing := sum(not p.batch for p in known):
        out.append(sentences.batches_missing(missing))
    out += unequal(known)
    used: dict[str, list[Pair]] = {}
    for p in known:
        for male in filter(None, (m.strip() for m in p.male.split("|"))):
            used.setdefault(male, []).append(p)
    for male, some_pairs in used.items():
        if len({p.arm for p in some_pairs}) > 1:
            out.append(sentences.male_in_both(male, len(some_pairs)))
        elif len(some_pairs) > 1:
            out.append(sentences.male_of_several(male, len(some_pairs)))
    return out
