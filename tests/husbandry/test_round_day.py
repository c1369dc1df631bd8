"""When the day that a clock gives a round hardly follows the day of the last round."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.husbandry.round_day import LONG_AWAY, in_doubt

LAST = date(2026, 11, 28).toordinal()


@pytest.mark.parametrize(
    ("clock", "doubted"),
    [
        (date(2026, 11, 28), False),  # a second round of the day, or after a zone was changed
        (date(2026, 11, 29), False),
        (date(2026, 11, 27), True),  # set back a day
        (date(1971, 1, 1), True),  # a battery that is empty
        (date(2027, 11, 29), True),  # a year ahead
        (date(2027, 1, 27), False),  # two months of winter rest
        (date(2027, 1, 28), True),
    ],
)
def test_the_clock_is_doubted(clock: date, *, doubted: bool) -> None:
    assert in_doubt(clock.toordinal(), LAST) is doubted


@given(st.integers(1, 3_000_000))
def test_a_first_round_has_any_day(day: int) -> None:
    assert not in_doubt(day, None)


@given(st.integers(1, 3_000_000), st.integers(0, LONG_AWAY))
def test_round_after_round_is_never_asked_about(day: int, later: int) -> None:
    assert not in_doubt(day + later, day)
    assert in_doubt(day, day + later) is (later > 0)
