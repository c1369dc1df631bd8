"""Plans of pairs and group coancestry against published tables and series.

``low`` and ``unrelated`` are the world those sources compute in: every unknown parent a different
unrelated founder, unless they say otherwise.
"""

from __future__ import annotations

from itertools import product

import pytest

from rounds.analysis.pairing import pairing_plan
from rounds.analysis.pairing.cost_table import table
from rounds.analysis.pairing.pairing_plan import choose, next_generation_of
from rounds.analysis.pairing.restrictions import Candidate, Wishes
from rounds.analysis.pedigree import colony, kinship
from rounds.analysis.pedigree.pedigree_checks import build
from rounds.analysis.pedigree.pedigree_table import Pedigree, PedigreeRow
from rounds.analysis.pedigree.pedigree_text import read

PRINTED = 5e-5
"""Half of the last of four decimals."""


def of(lines: list[str], related: tuple[tuple[str, str, float], ...] = ()) -> Pedigree:
    p, problems = read(["animal,sire,dam", *lines], "published.csv", related, unrelated=not related)
    assert p is not None, problems
    return p


# SAS/STAT 13.1 User's Guide (2013), The INBREED Procedure, example 50.2 "Pedigree Analysis", titled
# "Least Related Matings", with output 50.2.1 (looked up). The row of 2501 comes too late there and is
# not taken in, so 2501 has no parents.
LEAST_RELATED = [
    *(f"{founder},," for founder in ("2200", "2501", "2521", "3112")),
    *("3504,2200,2501", "3514,2521,3112", "3519,2521,2501", "2789,3504,3514"),
    *("3501,2521,3514", "3712,3504,3514", "3121,2200,3501"),
]
EVERY = tuple(line.partition(",")[0] for line in LEAST_RELATED)
OF_MATINGS = {("2501", "3501"): 0.0, ("2501", "3504"): 0.25, ("3712", "3121"): 0.1563}
AVERAGE_F, AVERAGE_COANCESTRY = 0.0227, 0.1313
"""Printed "over sex": of the eleven, and of every two different ones of them."""


def test_group_coancestry_of_three_generations_alive_at_once() -> None:
    """Example 50.2: the mean of all kinships is the two printed averages, each with its share."""
    p = of(LEAST_RELATED)
    n = len(EVERY)
    own = (1 + AVERAGE_F) / 2
    printed = (n * own + n * (n - 1) * AVERAGE_COANCESTRY) / n**2
    found = colony.mean_kinships(p, EVERY)
    assert found.mean.high == pytest.approx(printed, abs=2 * PRINTED)
    k = kinship.matrix(p, EVERY).low
    assert sum(2 * k[i][i] - 1 for i in range(n)) / n == pytest.approx(AVERAGE_F, abs=PRINTED)
    assert (sum(map(sum, k)) - sum(k[i][i] for i in range(n))) / (n * (n - 1)) == pytest.approx(
        AVERAGE_COANCESTRY, abs=PRINTED
    )


def test_the_least_related_mating_is_the_one_that_is_chosen() -> None:
    """Example 50.2, "Inbreeding Coefficients of Matings": of the two mates named for 2501 the plan takes 3501."""
    p = of(LEAST_RELATED)
    for (one, other), f in OF_MATINGS.items():
        assert kinship.between(p, one, other).kinship.low == pytest.approx(f, abs=PRINTED)
    # Sexes as the plan needs them; only F counts when its weight is large.
    some = [Candidate("2501", "m"), Candidate("3501", "f"), Candidate("3504", "f")]
    living = [c.animal for c in some]
    found = pairing_plan.plan(p, some, living, Wishes(weight=1000.0))
    assert [(pair.male, pair.female, pair.f.low) for pair in found.pairs] == [("2501", "3501", 0.0)]
    assert found.bound == found.score.total
    # With 3712 and 3121 as well each keeps the mate that is printed with the lower F.
    more = [*some, Candidate("3712", "m"), Candidate("3121", "f")]
    both = pairing_plan.plan(p, more, [c.animal for c in more], Wishes(weight=1000.0, boxes=2))
    chosen = {(pair.male, pair.female): pair.f.low for pair in both.pairs}
    lowest = min(
        kinship.between(p, "2501", a).kinship.low + kinship.between(p, "3712", b).kinship.low
        for a, b in product(("3501", "3504", "3121"), repeat=2)
        if a != b
    )
    assert sum(chosen.values()) == pytest.approx(lowest, abs=1e-12)


# SAS/STAT 13.1 User's Guide (2013), The INBREED Procedure, "Getting Started", figure 50.1, "Analysis for an
# Overlapping Population" (looked up): covariances, twice the kinship, with 0.25 between founders.
OVERLAPPING = {
    ("George", "George"): 1.1250,
    ("George", "Lisa"): 0.2500,
    ("George", "Scott"): 0.2500,
    ("Lisa", "Lisa"): 1.1250,
    ("Lisa", "Scott"): 0.2500,
    ("Scott", "Scott"): 1.1250,
    ("George", "Mark"): 0.6875,
    ("Lisa", "Mark"): 0.6875,
    ("Scott", "Mark"): 0.2500,
    ("George", "Kelly"): 0.2500,
    ("Lisa", "Kelly"): 0.6875,
    ("Scott", "Kelly"): 0.6875,
    ("Mark", "Mark"): 1.1250,
    ("Kelly", "Kelly"): 1.1250,
    ("Mark", "Kelly"): 0.5000,
    ("George", "David"): 0.4688,
    ("Lisa", "David"): 0.6875,
    ("Scott", "David"): 0.4688,
    ("Mark", "David"): 0.8125,
    ("Kelly", "David"): 0.8125,
    ("Mark", "Jim"): 0.8125,
    ("Kelly", "Jim"): 0.8125,
}
FOUNDERS, PARENTS, YOUNG = ("George", "Lisa", "Scott"), ("Mark", "Kelly"), ("David", "Jim")


def overlapping() -> Pedigree:
    """The two that breed and their parents as printed, Mark and Kelly with the 0.50 that is given for them there."""
    known = (*FOUNDERS, *PARENTS)
    related = tuple((a, b, OVERLAPPING[a, b] / 2) for n, a in enumerate(known) for b in known[n:])
    return of([*(f"{a},," for a in known), *(f"{a},Mark,Kelly" for a in YOUNG)], related)


def test_kinship_of_the_young_with_generations_before_them_as_printed() -> None:
    p = overlapping()
    for (a, b), covariance in OVERLAPPING.items():
        found = kinship.matrix(p, (a, b)).low[0][0 if a == b else 1]
        assert 2 * found == pytest.approx(covariance, abs=PRINTED), (a, b)


@pytest.mark.parametrize("kept", [1, 3, 10])
def test_contributions_with_those_who_stay_counted(kept: int) -> None:
    """Figure 50.1: Mark and Kelly breed, their parents' generation stays.

    The mean kinship of those who stay and the young together, out of the printed entries: of founders
    with founders, of David and Jim (any two of their family alike) with founders, and of those two,
    which is the mean of Jim's with both of David's parents.
    """
    p = overlapping()
    some = [Candidate("Mark", "m"), Candidate("Kelly", "f")]
    wishes = Wishes(weight=0.0, kept=kept, by="low")
    t = table(p, some, [*FOUNDERS, *PARENTS], wishes, stay=list(FOUNDERS))
    plan = choose(t, some, wishes)
    assert [(pair.male, pair.female) for pair in plan.pairs] == [PARENTS]
    stay, share = len(FOUNDERS), len(FOUNDERS) / (len(FOUNDERS) + kept)
    among = sum(OVERLAPPING[min(a, b), max(a, b)] for a in FOUNDERS for b in FOUNDERS) / stay**2
    between = sum(OVERLAPPING[a, "David"] for a in FOUNDERS) / stay
    young = sum(OVERLAPPING[a, "Jim"] for a in PARENTS) / 2
    printed = (share**2 * among + 2 * share * (1 - share) * between + (1 - share) ** 2 * young) / 2
    assert plan.score.kinship == pytest.approx(printed, abs=PRINTED)
    # The control: without those who stay it is the young's alone.
    alone = table(p, some, PARENTS, wishes)
    assert next_generation_of(alone, wishes, 1).score([(0, 0)]).kinship == pytest.approx(
        young / 2, abs=PRINTED
    )
    assert abs(plan.score.kinship - young / 2) > 1e-3


@pytest.mark.parametrize("n", [1, 2, 5, 20])
def test_group_coancestry_of_one_family(n: int) -> None:
    """n full sibs count as 2n / (n + 1) unrelated animals, n half sibs as 4n / (n + 3).

    Status number 1 / (2 × group coancestry): Lindgren, Gea & Jefferson 1996, Silvae Genetica 45
    (definition and the two families from memory).
    """
    full = of(["a,,", "b,,", *(f"s{k},a,b" for k in range(n))])
    half = of(["a,,", *(f"d{k},," for k in range(n)), *(f"s{k},a,d{k}" for k in range(n))])
    some = tuple(f"s{k}" for k in range(n))
    for p, status in ((full, 2 * n / (n + 1)), (half, 4 * n / (n + 3))):
        assert 1 / (2 * colony.mean_kinships(p, some).mean.high) == pytest.approx(status, abs=1e-9)


def test_four_animals_mated_as_far_apart_as_they_can_be() -> None:
    """Two pairs a generation, one son and one daughter each: matings of double first cousins.

    H(t) = H(t-1) / 2 + H(t-2) / 4 + H(t-3) / 8 with H = 1 - F: Wright 1921, Systems of mating, Genetics 6;
    Kimura & Crow 1963, On the maximum avoidance of inbreeding, Genet. Res. 4 (both from memory).
    """
    rows = [
        PedigreeRow(f"0{x}", sex=sex, founder=True)
        for x, sex in (("a", "m"), ("b", "m"), ("c", "f"), ("d", "f"))
    ]
    parents = [("0a", "0c"), ("0b", "0d")]
    expected = [0.0, 0.0, 0.0]  # the founders, their children, and theirs by one of the other pair
    for t in range(1, 9):
        young = []
        for k, (sire, dam) in enumerate(parents):
            for sex in ("m", "f"):
                rows.append(PedigreeRow(f"{t}{k}{sex}", (sire,), dam, sex))
                young.append(Candidate(f"{t}{k}{sex}", sex))
        p, problems = build(rows)
        assert p is not None, problems
        f = [2 * kinship.matrix(p, (c.animal,)).low[0][0] - 1 for c in young]
        if t > 2:
            h = [1 - f for f in expected[-3:]]
            expected.append(1 - (h[2] / 2 + h[1] / 4 + h[0] / 8))
        assert f == pytest.approx([expected[t]] * 4, abs=1e-12), t
        plan = pairing_plan.plan(p, young, [c.animal for c in young], Wishes(weight=1000.0))
        parents = [(pair.male, pair.female) for pair in plan.pairs]
        assert len(parents) == 2
        assert all(m[:-1] != d[:-1] for m, d in parents), "no full sibs"
    assert expected[2:5] == [0.0, 0.125, 0.1875]
