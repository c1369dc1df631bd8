"""Shelf temperatures, day by day."""

from __future__ import annotations

import math
from datetime import date

from demo_data.chance import Chance
from demo_data.params import NOISE_RHO, NOISE_SD, ROOM, SEASON, SEED, SHELF
from demo_data.story import WEATHER

_PEAK = date(2025, 7, 25).toordinal()


def season(day: int) -> float:
    """°C of the room on a day, without noise."""
    return ROOM + SEASON * math.cos(2 * math.pi * (day - _PEAK) / 365.25)


def shelves(first: int, last: int, names: list[str], *stream: str) -> dict[tuple[str, int], float]:
    """°C by (shelf, day), one decimal. The noise is shared by the room and carries over from day to day.

    ``stream`` names another run of chance.
    """
    chance = Chance(SEED, "weather", *stream)
    noise = 0.0
    odd = [
        (names_, range(date.fromisoformat(a).toordinal(), date.fromisoformat(b).toordinal() + 1), more, fixed)
        for names_, a, b, more, fixed in WEATHER
    ]
    out = {}
    for day in range(first, last + 1):
        noise = NOISE_RHO * noise + NOISE_SD * math.sqrt(1 - NOISE_RHO**2) * chance.normal()
        for name in names:
            own = 0.1 * chance.normal()
            degrees = season(day) + SHELF[int(name[1]) - 1] + noise + own
            for shelves_, days, more, fixed in odd:
                if name in shelves_ and day in days:
                    degrees = fixed + own if fixed is not None else degrees + more
            out[name, day] = round(degrees, 1)
    return out
