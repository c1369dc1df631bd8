"""Local times against an independent reader of the same zone rules (the standard library's)."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.files.cells_in import CellError
from rounds.files.local_times import Clock, round_day

ZONES = (
    "Europe/Berlin",
    "America/New_York",
    "Australia/Lord_Howe",
    "Asia/Tokyo",
    "America/Sao_Paulo",
    "Asia/Kathmandu",
)
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@given(
    st.sampled_from(ZONES),
    st.datetimes(datetime.fromisoformat("1975-01-01"), datetime.fromisoformat("2037-12-31")),
    st.integers(0, 999),
)
def test_agrees_with_the_standard_library(zone: str, local: datetime, ms: int) -> None:
    local = local.replace(microsecond=ms * 1000)
    there = local.replace(tzinfo=ZoneInfo(zone))
    utc = there.astimezone(UTC)
    exists = utc.astimezone(ZoneInfo(zone)).replace(tzinfo=None) == local
    clock = Clock(zone, 240)
    text = local.isoformat(timespec="milliseconds")
    if not exists:
        with pytest.raises(CellError, match="went forward"):
            clock.read(text)
        return
    at_ms, _ = clock.read(text)
    assert at_ms == (utc - EPOCH) // timedelta(milliseconds=1)
    assert clock.read(clock.written(at_ms))[0] == at_ms


@given(st.sampled_from(ZONES), st.integers(200_000_000_000, 2_000_000_000_000))
def test_an_instant_written_is_read_back(zone: str, at_ms: int) -> None:
    clock = Clock(zone, 240)
    assert clock.read(clock.written(at_ms))[0] == at_ms


def test_a_time_passed_twice_is_the_first_unless_it_says() -> None:
    clock = Clock("Europe/Berlin", 240)
    first = clock.read("2026-10-25T02:30")[0]
    assert clock.twice == 1
    assert clock.read("2026-10-25T02:30+02:00")[0] == first
    assert clock.read("2026-10-25T02:30+01:00")[0] == first + 3_600_000
    assert clock.twice == 1


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("2026-03-29T02:30", "clocks went forward"),
        ("2026-03-29T02:30+01:00", "clocks went forward"),
        ("2026-02-01T07:30+02:00", "was at +01:00"),
        ("2026-02-01", "local date and time"),
        ("2026-02-30T07:30", "calendar"),
        ("2026-02-01T24:00", "on a clock"),
        ("1899-02-01T07:30", "1900 to 2200"),
        ("2026-02-01T07:30 Uhr", "local date and time"),
    ],
)
def test_times_refused(text: str, part: str) -> None:
    with pytest.raises(CellError) as e:
        Clock("Europe/Berlin", 240).read(text)
    assert part in e.value.message


def test_the_day_of_a_round_starts_when_the_house_says() -> None:
    clock = Clock("Europe/Berlin", 240)
    day = date(2026, 2, 28).toordinal()
    assert clock.read("2026-02-28T04:00")[1] == day
    assert clock.read("2026-03-01T03:59:59")[1] == day
    assert round_day("2026-03-01T03:59:59", 240) == day
    assert Clock("Europe/Berlin", 0).read("2026-03-01T00:00")[1] == day + 1


def test_a_shifted_clock_moves_the_day_and_keeps_the_hour() -> None:
    plain, moved = Clock("Europe/Berlin", 240), Clock("Europe/Berlin", 240, shift_days=60)
    assert moved.read("2026-02-28T07:31") == plain.read("2026-04-29T07:31")
