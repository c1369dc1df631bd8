"""What goes wrong in the demo's days, by place and day: the troubles that rules should catch.

Everything else comes from the seed. Days are ISO dates of the demo's own calendar.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

FIRST, LAST = "2026-01-25", "2026-02-28"
"""The last five weeks, which are told box by box."""


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
    Event(
        "B3-1",
        "2026-02-28",
        "2026-02-28",
        {"moisture": "water", "smell": "sour", "surfaced": "5"},
        note="five on top at least, the vents are open",
    ),
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
)

YEAR = (
    # Sprayed too much on one shelf.
    *(Event(f"B3-{n}", "2025-04-10", "2025-04-12", {"moisture": "wet"}) for n in (1, 2, 3)),
    Event("B3-1", "2025-04-09", "2025-04-09", note="sprayed the whole shelf, too much of it"),
    # Water in the laying box: found on the third day, sour on the fifth, half the brood lost.
    Event("B3-2", "2025-05-01", "2025-05-02", {"moisture": "wet"}),
    Event("B3-2", "2025-05-03", "2025-05-04", {"moisture": "water"}, note="drew off a cup of water"),
    Event("B3-2", "2025-05-05", "2025-05-05", {"moisture": "water", "smell": "sour"}),
    Event(
        "B3-2",
        "2025-05-06",
        "2025-05-06",
        {"moisture": "water", "smell": "sour", "surfaced": "4"},
        note="searched ahead of time, half of them lost, laid up afresh",
    ),
    # Two tubs had changed labels.
    Event(
        "C2-1",
        "2025-05-17",
        "2025-05-17",
        note="heads and weights do not fit: labels of C2-1 and C2-2 were swapped since the 3rd",
    ),
    # A larva looks for a place for its cell.
    Event("C2-4", "2025-08-06", "2025-08-07", {"surfaced": "1"}, note="yellow and restless"),
    # A cell is knocked, a made cell built.
    Event(
        "A3-4",
        "2025-10-08",
        "2025-10-09",
        {"cell_seen": "no"},
        note="knocked while cleaning, made a cell of pressed foam",
    ),
    # Sick larvae side by side, then none.
    Event(
        "C4-1",
        "2025-12-09",
        "2025-12-09",
        {"dead": "1"},
        "lid",
        note="limp and dark, tub put apart with its neighbours",
    ),
    Event(
        "C4-2",
        "2025-12-11",
        "2025-12-11",
        {"dead": "1"},
        "lid",
        note="the neighbour too, nothing moves off this shelf",
    ),
    # The sheet for a stand-in.
    Event("A1-1", "2025-11-03", "2025-11-03", note="holiday week, only what the sheet allows"),
    Event("B3-4", "2025-03-12", "2025-03-12", note="many small larvae at the wall"),
    Event("B3-4", "2025-12-08", "2025-12-08", note="colony thinned"),
)

SKIPS = {
    ("A3-4", "2026-02-07"): "leave",
    ("D2-3", "2026-02-07"): "leave",
    ("D2-1", "2026-02-14"): "leave",
    ("D1-1", "2026-02-08"): "time",
    ("D1-2", "2026-02-08"): "time",
    ("C4-4", "2026-01-31"): "reach",
}

WEATHER = (
    (("A1",), "2026-02-12", "2026-02-17", 4.2, None),  # the lamp above it was left on
    (("A1",), "2025-07-19", "2025-07-24", 0.0, 28.6),  # a warm spell under the roof
    (
        ("D1", "D2", "D3", "D4"),
        "2025-11-18",
        "2025-11-18",
        0.0,
        17.4,
    ),  # the heater tripped over night, for 31 hours
    (("D1", "D2", "D3", "D4"), "2025-11-19", "2025-11-19", 0.0, 19.0),
)
"""Shelves, first and last day, by how much warmer they were, or how warm."""

DIED = {("RUSH", "11"): "2026-02-19"}
HOLIDAY = ("2025-11-03", "2025-11-09")
"""A week that the second keeper walked alone."""

MARK_LOST = {("KESTREL", "K32"): "2025-09-14"}
DOUBTS = {
    ("C2-1", "LOCH"): "labels of C2-1 and C2-2 were swapped between 3 and 17 May",
    ("C2-2", "SORREL"): "labels of C2-1 and C2-2 were swapped between 3 and 17 May",
}


class Trouble(NamedTuple):
    """Something a rule should catch: at a place, on the day it first shows; any of these rules will do."""

    place: str
    day: str
    rules: tuple[str, ...]


TROUBLES = (
    Trouble("B3-2", "2025-05-03", ("standing-water",)),
    Trouble("B3-2", "2025-05-05", ("foul-smell",)),
    Trouble("B3-2", "2025-05-06", ("larvae-surfaced",)),
    Trouble("A1-1", "2025-07-19", ("shelf-warm", "shelf-jump")),
    Trouble("C2-4", "2025-08-06", ("larva-surfaced", "larvae-surfaced")),
    Trouble("A3-4", "2025-10-08", ("cell-damaged",)),
    Trouble("D2-1", "2025-11-18", ("shelf-jump",)),
    Trouble("C4-1", "2025-12-09", ("found-dead",)),
    Trouble("C4-2", "2025-12-11", ("found-dead",)),
    Trouble("A1-4", "2026-02-03", ("on-its-back",)),
    Trouble("C4-3", "2026-02-08", ("lid-open",)),
    Trouble("A1-1", "2026-02-12", ("shelf-warm", "shelf-jump")),
    Trouble("A3-2", "2026-02-19", ("found-dead",)),
    Trouble("B3-1", "2026-02-24", ("standing-water",)),
    Trouble("C2-1", "2026-02-24", ("substrate-spent",)),
    Trouble("C3-2", "2026-02-25", ("mites",)),
    Trouble("B3-1", "2026-02-26", ("foul-smell",)),
    Trouble("B3-1", "2026-02-27", ("larvae-surfaced",)),
    Trouble("D3-2", "2026-02-27", ("warm-substrate",)),
    Trouble("D1-3", "2026-02-27", ("larva-surfaced", "larvae-surfaced")),
)
"""The scripted troubles in order, for replaying the rules over the demo's year."""
