"""Plans of pairs: the score by hand, the exact plan against every plan, and bounds that hold."""

from __future__ import annotations

import random
from collections.abc import Callable
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.analysis.pairing.exact_plan import best_so_far, exact_plan, within_reach
from rounds.analysis.pairing.exchange_search import exchange_search
from rounds.analysis.pairing.next_generation import Limits, NextGeneration, next_generation
from rounds.analysis.pairing.pairing_plan import best_plan
from rounds.analysis.pairing.plan_bound import plan_bound
from tests.bench.bench_pairing import kinships_of_last


def every_plan(judged: NextGeneration, limits: Limits) -> list[float]:
    males, females = judged.f.shape
    found = []
    for dams in combinations(range(females), judged.pairs):
        for sires in product(range(males), repeat=judged.pairs):
            cells = list(zip(sires, dams, strict=True))
            if limits.hold(cells):
                found.append(judged.score(cells).total)
    return found


def four_families(pairs: int) -> tuple[NextGeneration, list[str]]:
    """Four unrelated families of full sibs, 12, 9, 6 and 6 of them, males first."""
    family = [f for f, n in zip("ABCD", (12, 9, 6, 6), strict=True) for _ in range(n)]
    order = [*range(0, len(family), 2), *range(1, len(family), 2)]
    names = [family[i] for i in order]
    k = np.array([[0.25 * (a == b) for a in names] for b in names]) + 0.25 * np.eye(len(names))
    return next_generation(k, 17, pairs, 0.1), names


def test_three_pairs_of_four_families_use_all_four() -> None:
    # By hand: 6 parents with 1/6 each. Of two families 3 × .5 + 6 × .25 twice, over 36: .1667.
    # Of four (2, 2, 1, 1) twice 2 × .5 + 2 × .25, and twice .5, over 36: .1111.
    judged, names = four_families(3)
    limits = Limits(np.ones(judged.f.shape, dtype=bool), (1,) * 17)
    sires = {f: [i for i in range(17) if names[i] == f] for f in "ABCD"}
    dams = {f: [j - 17 for j in range(17, 33) if names[j] == f] for f in "ABCD"}
    two = list(zip(sires["A"], dams["B"], strict=False))[:3]
    assert judged.score(two).kinship == pytest.approx(1 / 6)
    found = exact_plan(judged, limits)
    assert found is not None
    assert judged.score(found).kinship == pytest.approx(1 / 9)
    assert {names[i] for i, _ in found} | {names[17 + j] for _, j in found} == set("ABCD")
    assert judged.score(exchange_search(judged, limits, two)).kinship == pytest.approx(1 / 9)


def test_where_every_male_may_be_used_twice_he_is() -> None:
    judged = next_generation(np.eye(3) * 0.5, 1, 2, 0.1)
    assert exact_plan(judged, Limits(np.ones((1, 2), dtype=bool), (2,))) == [(0, 0), (0, 1)]


def test_those_who_stay_count_with_their_share() -> None:
    # Two unrelated pairs to choose from; one of them is of the family that stays (.25 with it).
    k = np.eye(4) * 0.5
    judged = next_generation(
        k, 2, 1, 0.0, stay_kinship=np.array([0.25, 0.0, 0.25, 0.0]), stay_mean=0.3, stay_share=0.5
    )
    related, unrelated = judged.score([(0, 0)]), judged.score([(1, 1)])
    assert related.kinship == pytest.approx(0.25 * 0.3 + 0.5 * 0.25 + 0.25 * 0.25)
    assert unrelated.kinship == pytest.approx(0.25 * 0.3 + 0.25 * 0.25)


@given(
    seed=st.integers(0, 10_000),
    males=st.integers(1, 5),
    females=st.integers(1, 5),
    share=st.sampled_from([0, 0.4]),
)
def test_exact_is_the_best_of_all_and_nothing_is_better_than_the_bound(
    seed: int, males: int, females: int, share: float
) -> None:
    draw = random.Random(seed)
    k = kinships_of_last(draw, 6, 2, 12)
    some = [*range(males), *range(6, 6 + females)]
    pairs = draw.randint(1, min(3, females))
    judged = next_generation(
        k[np.ix_(some, some)],
        males,
        pairs,
        0.1,
        stay_kinship=k[some].mean(axis=1),
        stay_mean=k.mean(),
        stay_share=share,
    )
    allowed = np.array([[draw.random() > 0.2 for _ in range(females)] for _ in range(males)])
    wishes = ((frozenset({(0, j) for j in range(females)}), 1),) if draw.random() < 0.3 else ()
    forced = frozenset({(0, 0)}) if allowed[0, 0] and draw.random() < 0.3 else frozenset()
    limits = Limits(allowed, tuple(draw.choice((1, 1, 2)) for _ in range(males)), forced, wishes)
    scores = every_plan(judged, limits)
    found = exact_plan(judged, limits)
    if not scores:
        assert found is None
        return
    assert found is not None
    assert limits.hold(found)
    assert judged.score(found).total == pytest.approx(min(scores), abs=1e-12)
    assert plan_bound(judged, limits, found, seconds=1) <= min(scores) + 1e-9
    searched = exchange_search(judged, limits, found[::-1], starts=2)
    assert limits.hold(searched)
    for polls in (0, 1, 3):  # stopped early, each gives a plan and a bound that holds
        so_far, bound = best_so_far(judged, limits, enough=after(polls))
        assert bound <= min(scores) + 1e-9
        assert so_far is None or limits.hold(so_far)
        cells, bound = best_plan(judged, limits, found, enough=after(polls))
        assert limits.hold(cells)
        assert bound <= min(scores) + 1e-9
        assert limits.hold(exchange_search(judged, limits, found, enough=after(polls)))
        stopped = plan_bound(judged, limits, found, enough=after(polls))
        assert -1e9 < stopped <= min(scores) + 1e-9
    assert best_so_far(judged, limits)[1] == pytest.approx(min(scores), abs=1e-12)


def after(polls: int) -> Callable[[], bool]:
    """Enough, once it was asked so often."""
    asked = iter(range(polls))
    return lambda: next(asked, None) is None


def test_a_search_from_any_plan_comes_close_to_the_proven_bound() -> None:
    k = kinships_of_last(random.Random(6), 6, 3, 48)
    judged = next_generation(k, 24, 6, 0.1)
    limits = Limits(np.ones((24, 24), dtype=bool), (1,) * 24)
    start = [(i, i) for i in range(6)]
    found = exchange_search(judged, limits, start)
    total = judged.score(found).total
    assert total < judged.score(start).total
    bound = plan_bound(judged, limits, found)
    assert bound <= total <= 1.03 * bound


def test_too_many_plans_are_not_gone_through() -> None:
    limits = Limits(np.ones((60, 60), dtype=bool), (1,) * 60)
    assert not within_reach(limits, 12)
    assert within_reach(Limits(np.ones((12, 12), dtype=bool), (4,) * 12), 4)
    with pytest.raises(ValueError, match="too many"):
        exact_plan(next_generation(np.eye(120) * 0.5, 60, 12, 0.1), limits)


def test_work_that_is_not_wanted_any_more_is_given_up() -> None:
    def stop() -> None:
        raise InterruptedError

    judged, _ = four_families(3)
    limits = Limits(np.ones(judged.f.shape, dtype=bool), (1,) * 17)
    for work in (
        lambda: exact_plan(judged, limits, go_on=stop),
        lambda: exchange_search(judged, limits, [(0, 0), (1, 1), (2, 2)], go_on=stop),
        lambda: plan_bound(judged, limits, [(0, 0), (1, 1), (2, 2)], go_on=stop),
    ):
        with pytest.raises(InterruptedError):
            work()
