"""Numbers of the invented house. All of them are estimates made for the demo, not measurements.

Temperatures are °C, weights g, durations days at the temperature given. Development is in
degree-days above T0.
"""

from __future__ import annotations

from typing import NamedTuple

SEED = "tarn-lantern"
T0 = 11.0
QUARTER_G = 4.0  # a quarter of a 16 g cup
DRIED_G = 0.6  # what a day in the open takes from a cup without anyone eating

ROOM = 24.5  # yearly mean
SEASON = 1.3  # swing of the year, warmest in late July
SHELF = (0.8, 0.3, -0.3, -0.8)  # top to bottom
NOISE_SD, NOISE_RHO = 0.4, 0.7


class Species(NamedTuple):
    """Degree-days by step (``l3`` females, males), food in g a day (female, male), fixed days."""

    latin: str
    egg: float
    l1: float
    l2: float
    l3: tuple[float, float]
    wander: float
    pupa: float
    rest: int
    food: tuple[float, float]


MECYNORHINA = Species("Mecynorhina torquata", 252, 336, 448, (1820, 2240), 266, 630, 25, (2.0, 2.4))
DICRONORHINA = Species("Dicronorhina derbyana", 210, 252, 392, (1540, 1750), 224, 560, 20, (0.9, 1.1))
EUDICELLA = Species("Eudicella smithi", 196, 224, 336, (1120, 1330), 196, 490, 25, (0.6, 0.7))
PACHNODA = Species("Pachnoda marginata", 168, 168, 252, (630, 672), 140, 392, 10, (0.35, 0.35))

LINES = {
    "UMBER": (MECYNORHINA, "founders 2.2, parents recorded", "F2"),
    "KESTREL": (MECYNORHINA, "founders 2.2, parents unknown", "CBF1 (as told)"),
    "LOCH": (DICRONORHINA, "founders 1.2", "F3"),
    "SORREL": (DICRONORHINA, "founders 1.1", "F1"),
    "TALLOW": (EUDICELLA, "founders 1.1", "F4"),
    "RUSH": (EUDICELLA, "founders 2.2", "WF1"),
    "BRAMBLE": (PACHNODA, "colony of 4.6, pedigree as a group", "CB"),
}

DRY, DRY_TOP, WET, WET_AFTER_SPRAY = 0.015, 0.025, 0.008, 0.10
"""Chance on a day that a box turns dry (top shelf), wet, or wet the day after it was sprayed."""

FIRST_SEARCH = (26, 28, 35)
"""Days from the female going in to the first search: earliest, likely, latest."""

SURVIVAL = {"eggs": 0.70, "L1": 0.90, "L2": 0.95, "L3": 0.95, "cell": 0.80}
"""Share that lives through a step when it is well kept; the cell's with sound eclosion."""
