"""What goes wrong in the demo's days, by place and day: the troubles that rules should catch.

Everything else comes from the seed. Days are ISO dates of the demo's own calendar.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

FIRST, LAST = "2026-01-25", "2026-02-28"


class Event(NamedTuple):
    """At ``place`` from ``first`` to ``last``: readings found, and what they do to the visit.

    ``depth`` is how closely that look went, if closer than usual. ``appetite`` multiplies
    what is eaten; ``note`` is written on the first day.
    """

    place: str
    first: str
    last: str
    found: Mapping[str, str] = MappingProxyType({})
    depth: str = ""
    appetite: float = 1.0
    note: str = ""


EVENTS = (
    # Water stands in a laying box, turns sour, and the larvae come up.
    Event("B3-1", "2026-02-21", "2026-02-23", {"moisture": "wet"}),
    Event("B3-1", "2026-02-24", "2026-02-25", {"moisture": "water"}, note="water at the front corner"),
    Event("B3-1", "2026-02-26", "2026-02-26", {"moisture": "water", "smell": "sour"}),
    Event("B3-1", "2026-02-27", "2026-02-27", {"moisture": "water", "smell": "sour", "surfaced": "3"}),
    Event("B3-1", "2026-02-28", "2026-02-28", {"moisture": "water", "smell": "sour", "surfaced": "5"},
          note="five on top at least, the vents are open"),
    # An old male goes off its food.
    Event("A1-2", "2026-02-20", "2026-02-22", appetite=0.4),
    Event("A1-2", "2026-02-23", "2026-02-28", {"activity": "still"}, appetite=0.0, note="slow on its feet"),
    # One of three females is found dead.
    Event("A3-2", "2026-02-19", "2026-02-19", {"dead": "1"}, note="RUSH 11, on her back under the bark"),
    # Mites after leftover protein.
    Event("C3-2", "2026-02-23", "2026-02-24", {"mites": "few"}, "lid", note="pellet from Sunday still there"),
    Event("C3-2", "2026-02-25", "2026-02-28", {"mites": "many"}, "lid"),
    # Dry tubs on a top shelf.
    Event("B1-2", "2026-02-25", "2026-02-28", {"moisture": "dry"}),
    Event("B1-3", "2026-02-26", "2026-02-28", {"moisture": "dry"}),
    # A prepared box begins to ferment.
    Event("D3-2", "2026-02-27", "2026-02-28", {"warmth": "warm"}),
    # One larva at the surface, yellow: it looks for a place for its cell.
    Event("D1-3", "2026-02-27", "2026-02-28", {"surfaced": "1"}, note="yellow, restless"),
    # Substrate turned into droppings.
    Event("C2-1", "2026-02-24", "2026-02-28", {"droppings": "mostly"}),
    # Small things of other days.
    Event("A1-4", "2026-02-03", "2026-02-03", {"on_back": "yes"}, note="righted, bark added"),
    Event("B4-2", "2026-02-20", "2026-02-21", {"mould": "few"}, note="one egg green, taken out"),
    Event("C4-3", "2026-02-08", "2026-02-08", {"lid": "no"}),
    Event("B3-4", "2026-02-09", "2026-02-12", {"flies": "few"}),
    Event("A1-1", "2026-02-06", "2026-02-08", appetite=0.7),
)  # fmt: skip

SKIPS = {
    ("A3-4", "2026-02-07"): "leave", ("D2-3", "2026-02-07"): "leave", ("D2-1", "2026-02-14"): "leave",
    ("D1-1", "2026-02-08"): "time", ("D1-2", "2026-02-08"): "time", ("C4-4", "2026-01-31"): "reach",
}  # fmt: skip

HOT = ("A1", "2026-02-12", "2026-02-17", 4.2)
"""A shelf, its hot days, and by how much: the lamp above it was left on."""

DIED = {("RUSH", "11"): "2026-02-19"}
