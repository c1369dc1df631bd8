"""The window of a stage that has not ended: it holds, it moves on, and it learns from sibs. Own simulation."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from rounds.analysis.forecast.outlook import StageEvidence, outlook
from rounds.analysis.forecast.stage_length import LEAST_SD, LengthSeen, from_lengths, from_range
from tests.bench.bench_forecast import EVIDENCE, OWN_BROODS, WORLDS, share, share_by_own

LARVA = from_range(120, 245)


def test_of_windows_meant_to_hold_in_eighty_of_a_hundred_about_so_many_do() -> None:
    """A small seeded sample; ``tests/bench/bench_forecast.py`` prints the large one."""
    held = share(WORLDS[0], *EVIDENCE[1], broods=150, seed=11)
    assert 0.8 - 3 * 0.033 < held < 0.8 + 3 * 0.033


@given(st.floats(0, 400), st.sampled_from([0, 1, 5]))
def test_the_window_lies_ahead_and_in_order(over: float, sibs: int) -> None:
    seen = StageEvidence(tuple(LengthSeen(150, 157) for _ in range(sibs)))
    left = outlook(LARVA, (over, over), seen)
    assert 0 <= left.first <= left.likely <= left.last
    assert 0 <= left.within_fortnight <= 1
    later = outlook(LARVA, (over + 20, over + 20), seen)
    assert later.still_lasting <= left.still_lasting + 1e-12


def test_hardly_any_chance_is_left_after_the_longest_usual_time() -> None:
    assert not outlook(LARVA, (180, 180)).hardly_any_left
    assert outlook(LARVA, (260, 260)).hardly_any_left


def test_sibs_that_wait_still_say_that_it_takes_longer() -> None:
    gone = tuple(LengthSeen(140, 147) for _ in range(2))
    waiting = tuple(LengthSeen(170, math.inf) for _ in range(14))
    short = outlook(LARVA, (100, 100), StageEvidence(gone))
    long = outlook(LARVA, (100, 100), StageEvidence((*gone, *waiting)))
    assert short.likely < long.likely


def test_sexes_that_differ_in_this_house_have_windows_of_their_own() -> None:
    broods = tuple(
        (*(LengthSeen(200, 204, "m") for _ in range(5)), *(LengthSeen(150, 154, "f") for _ in range(5)))
        for _ in range(4)
    )
    known = StageEvidence((), broods)
    males, females = (outlook(LARVA, (100, 100), known, sex) for sex in ("m", "f"))
    assert females.likely + 15 < males.likely


def test_of_a_length_whose_end_nobody_noted_the_house_learns_nothing() -> None:
    vague = StageEvidence((), ((LengthSeen(0.5, 300),),))
    assert abs(outlook(LARVA, (50, 50), vague).likely - outlook(LARVA, (50, 50)).likely) < 6


def test_windows_by_the_houses_own_stages_hold_as_often_as_they_say() -> None:
    """A small seeded sample, as above."""
    held = share_by_own(WORLDS[0], *OWN_BROODS[0], houses=300, seed=11)
    assert 0.8 - 3 * 0.024 < held < 0.8 + 3 * 0.024


def test_own_stages_tell_a_length_by_hand() -> None:
    """Two broods at log means 5 and 5.2, within 0.1 each way: between 0.02, within 0.02, and half of the sum more."""

    def at(log: float) -> LengthSeen:
        return LengthSeen(math.exp(log - 0.01), math.exp(log + 0.01))

    broods = [[at(m - 0.1), at(m + 0.1)] for m in (5.0, 5.2)]
    found = from_lengths(broods, 2, 4)
    assert found is not None
    assert math.isclose(found.mean, 5.1)
    assert math.isclose(found.sd, math.sqrt(0.04 * 1.5))
    low, middle, high = found.usual
    assert math.isclose(from_range(low, high).sd, found.sd)
    assert math.isclose(middle, math.exp(5.1))
    alike = from_lengths([[at(5.0)] * 4] * 2, 2, 4)
    assert alike is not None
    assert math.isclose(alike.sd, LEAST_SD * math.sqrt(1.5)), "never to the day"
    assert from_lengths(broods, 3, 4) is None
    assert from_lengths(broods, 2, 5) is None
    vague = [[LengthSeen(100, 400)] * 9, *broods]
    assert from_lengths(vague, 3, 4) is None, "a length known only roughly tells of no brood"
