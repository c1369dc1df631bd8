"""Drawing arms and males: nobody twice, only pairs that stand for their arm, full wherever that can be."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import permutations

from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.analysis.trial.random_draw import Drawn, Kin, draw, fits
from rounds.records.tables import ARMS
from tests.sampled import sampled

SIB, AWAY, COUSIN, CLOSE = (
    Kin(0.25, 0.25, True),
    Kin(0, 0, False),
    Kin(0, 0.0625, False),
    Kin(0, 0.125, False),
)

HOUSES = st.integers(1, 5).flatmap(
    lambda f: st.integers(1, 5).flatmap(
        lambda m: st.lists(st.sampled_from([SIB, AWAY, COUSIN, CLOSE]), min_size=f * m, max_size=f * m).map(
            lambda some: {(i, 100 + j): some[i * m + j] for i in range(f) for j in range(m)}
        )
    )
)


def sides(kin: Mapping[tuple[int, int], Kin]) -> tuple[list[int], list[int]]:
    return sorted({f for f, _ in kin}), sorted({m for _, m in kin})


def most(kin: Mapping[tuple[int, int], Kin], per_arm: int) -> bool:
    """Whether both arms can be full, by going through everything."""
    females, males = sides(kin)
    n = 2 * per_arm
    if len(females) < n or len(males) < n:
        return False
    arms = [ARMS[0]] * per_arm + [ARMS[1]] * per_arm
    return any(
        all(fits(a, kin[f, m]) for a, f, m in zip(arms, fs, ms, strict=True))
        for fs in permutations(females, n)
        for ms in permutations(males, n)
    )


@settings(max_examples=sampled(40, 150), deadline=None)
@given(HOUSES, st.integers(0, 2**31))
def test_everyone_at_most_once_and_only_where_they_fit(kin: dict[tuple[int, int], Kin], seed: int) -> None:
    females, males = sides(kin)
    found = draw(females, males, kin, 2, seed)
    assert len({d.female for d in found.pairs}) == len({d.male for d in found.pairs}) == len(found.pairs)
    assert all(fits(d.arm, kin[d.female, d.male]) for d in found.pairs)
    assert all(sum(d.arm == a for d in found.pairs) <= 2 for a in ARMS)
    assert draw(females, males, kin, 2, seed) == found, "the same seed draws the same"
    assert (found.short == "") == (len(found.pairs) == 4)


@settings(max_examples=sampled(40, 150), deadline=None)
@given(HOUSES, st.integers(0, 2**31), st.integers(1, 2))
def test_both_arms_are_full_where_that_is_possible(
    kin: dict[tuple[int, int], Kin], seed: int, per_arm: int
) -> None:
    found = draw(*sides(kin), kin, per_arm, seed)
    assert (found.short == "") == most(kin, per_arm)


def test_what_is_lacking_is_said() -> None:
    kin = {(f, 100 + m): SIB if f == m == 0 else AWAY for f in range(6) for m in range(6)}
    found = draw(*sides(kin), kin, 3, 1)
    assert found.short == "1 of 3 for sibs"
    assert Drawn("sibs", 0, 100) in found.pairs
    assert set(found.bound) == {d.female for d in found.pairs if d.female}, (
        "only one female could be in either arm"
    )


def test_arms_are_left_to_chance() -> None:
    """Each of eight females that fit either arm is in each of them about every other time."""
    kin = {(f, 100 + m): SIB if m < 8 else AWAY for f in range(8) for m in range(16)}
    times = dict.fromkeys(range(8), 0)
    for seed in range(400):
        found = draw(*sides(kin), kin, 4, seed)
        assert found.short == ""
        assert found.bound == []
        for d in found.pairs:
            times[d.female] += d.arm == "sibs"
    # 400 draws, p = 0.5: six standard deviations are 60.
    assert all(140 <= n <= 260 for n in times.values()), times


def test_half_sibs_and_unknown_parents_stand_for_no_arm() -> None:
    assert [fits("cross", k) for k in (SIB, AWAY, COUSIN, CLOSE)] == [False, True, True, False]
    assert [fits("sibs", k) for k in (SIB, AWAY, COUSIN, CLOSE)] == [True, False, False, False]
    assert not fits("sibs", Kin(0.125, 0.25, True)), "full or half sibs: the low end says half"
    assert not fits("cross", Kin(0, 0.25, False)), "parents nobody recorded may be the same"
