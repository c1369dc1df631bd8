"""Shelf temperatures, day by day."""

from __future__ import annotations

import math
from datetime import date

from demo_data.chance import Chance
from demo_data.params import NOISE_RHO, NOISE_SD, ROOM, SEASON, SEED, SHELF
from demo_data.story import HOT

_PEAK = date(2025, 7, 25).toordinal()


def season(day: int) -> float:
    """°C of the room on a day, without noise."""
    return ROOM + SEASON * math.cos(2 * math.pi * (day - _PEAK) / 365.25)


def shelves(first: int, last: int, names: list[str]) -> dict[tuple[str, int], float]:
    """°C by (shelf, day), one decimal. The noise is shared by the room and carries over from day to day."""
    chance = Chance(SEED, "weather")
    noise = 0.0
    shelf, hot_first, hot_last, warmer = HOT
    hot = range(date.fromisoformat(hot_first).toordinal(), date.fromisoformat(hot_last).toordinal() + 1)
    out = {}
    for day in range(first, last + 1):
        noise = NOISE_RHO * noise + NOISE_SD * math.sqrt(1 - NOISE_RHO**2) * chance.normal()
        for name in names:
            own = 0.1 * chance.normal()
            extra = warmer if name == shelf and day in hot else 0.0
            out[name, day] = round(season(day) + SHELF[int(name[1]) - 1] + noise + own + extra, 1)
    return out
