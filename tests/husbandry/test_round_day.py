"""When the day that a clock gives a round hardly follows the day of the last round."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.husbandry.round_day import LONG_AWAY, in_doubt, round_day

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


@pytest.mark.parametrize(
    ("zone", "utc", "day"),
    [
        # an hour is left out (02:00 to 03:00), and passed twice (03:00 to 02:00): the day turns at 04:00 as ever
        ("Europe/Berlin", "2026-03-29T01:59", "2026-03-28"),
        ("Europe/Berlin", "2026-03-29T02:00", "2026-03-29"),
        ("Europe/Berlin", "2026-10-25T00:30", "2026-10-24"),
        ("Europe/Berlin", "2026-10-25T01:30", "2026-10-24"),
        ("Europe/Berlin", "2026-10-25T02:59", "2026-10-24"),
        ("Europe/Berlin", "2026-10-25T03:00", "2026-10-25"),
        ("Australia/Lord_Howe", "2026-04-04T17:29", "2026-04-04"),  # half an hour is passed twice
        ("Australia/Lord_Howe", "2026-04-04T17:30", "2026-04-05"),
        ("Europe/Berlin", "2028-02-29T02:59", "2028-02-28"),
        ("Europe/Berlin", "2028-02-29T03:00", "2028-02-29"),
        ("Europe/Berlin", "2028-03-01T02:59", "2028-02-29"),
        ("Europe/Berlin", "2028-03-01T03:00", "2028-03-01"),
    ],
)
def test_the_day_turns_by_the_clock_on_the_wall(zone: str, utc: str, day: str) -> None:
    """Zones and their changes are those of the IANA time zone database."""
    at = int(datetime.fromisoformat(utc).replace(tzinfo=UTC).timestamp() * 1000)
    assert date.fromordinal(round_day(at, zone, 240)).isoformat() == day
