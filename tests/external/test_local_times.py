"""Clock changes, against the IANA time zone database (zone names and rules) as PEP 495 reads it.

Each row is a wall time and the instants it names: none where the clocks went over it, two
where they passed it twice.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from rounds.files.cells_in import CellError
from rounds.files.local_times import Clock

ROWS = [
    ("Europe/Berlin", "2025-03-30T02:30", []),
    ("Europe/Berlin", "2025-10-26T02:30", ["2025-10-26T00:30", "2025-10-26T01:30"]),
    ("America/New_York", "2025-03-09T02:30", []),
    ("America/New_York", "2025-11-02T01:30", ["2025-11-02T05:30", "2025-11-02T06:30"]),
    ("Asia/Tokyo", "2025-03-30T02:30", ["2025-03-29T17:30"]),
    ("Europe/London", "2026-03-29T01:30", []),
    ("Europe/London", "2026-10-25T01:30", ["2026-10-25T00:30", "2026-10-25T01:30"]),
]


def ms(utc: str) -> int:
    return int(datetime.fromisoformat(utc).replace(tzinfo=UTC).timestamp() * 1000)


@pytest.mark.parametrize(("zone", "wall", "instants"), ROWS)
def test_wall_times_name_these_instants(zone: str, wall: str, instants: list[str]) -> None:
    clock = Clock(zone, 240)
    if not instants:
        with pytest.raises(CellError, match="went forward"):
            clock.read(wall)
        return
    assert clock.read(wall)[0] == ms(instants[0])
    assert [clock.read(clock.written(ms(i)))[0] for i in instants] == [ms(i) for i in instants]
    assert clock.twice == len(instants) - 1


def test_a_night_of_clock_change_is_an_hour_short() -> None:
    clock = Clock("Europe/Berlin", 240)
    assert clock.read("2025-03-30T08:00")[0] - clock.read("2025-03-29T20:00")[0] == 11 * 3_600_000
