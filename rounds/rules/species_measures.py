"""Measures that hold what was read against the species file: damp, warmth, and who may live together.

A value that the file does not give is not known, and no other species stands in for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rounds.rules.visit_view import View

if TYPE_CHECKING:
    from rounds.husbandry.species import SpeciesRange

CROWDED = "crowded"
DRY = "dry"


def dry_suits(view: View, _of: str) -> bool | None:
    """Does the file say that this stage of the species may be dry? Where it says nothing, no.

    Only known where dry is what was read: for no other look are the species files read.
    """
    if view["moisture"] != DRY:
        return None
    species = view.scene.species
    return species is not None and DRY in species.words("moisture", *_stages(view))


def degrees_too_warm(view: View, _of: str) -> float | None:
    """Degrees by which the shelf is above the warmest that the file gives (negative: below it)."""
    now, usual = _now_and_usual(view)
    return None if now is None or usual is None else now - usual.high


def degrees_too_cold(view: View, _of: str) -> float | None:
    """Degrees by which the shelf is below the coldest that the file gives (negative: above it)."""
    now, usual = _now_and_usual(view)
    return None if now is None or usual is None else usual.low - now


def warmest(view: View, _of: str) -> float | None:
    usual = _now_and_usual(view)[1]
    return None if usual is None else usual.high


def coldest(view: View, _of: str) -> float | None:
    usual = _now_and_usual(view)[1]
    return None if usual is None else usual.low


def cannibals_together(view: View, _of: str) -> bool | None:
    """Are larvae together that eat each other: always, or (``crowded``) with less room than the file gives?

    Not known where the file does not say whether they do.
    """
    count = view["=larvae"]
    if (count if isinstance(count, int) else count.low) < 2:
        return False
    species = view.scene.species
    words = species.words("cannibal") if species is not None else ()
    if species is None or not words:
        return None
    if "no" in words or "single" not in species.words("kept"):
        return False
    if CROWDED not in words:
        return True
    room, given = species.range("larva_litres", *_stages(view)), view["=litres_per_larva"]
    return None if room is None or given is None else given < room.low


def _stages(view: View) -> tuple[str, ...]:
    """By what a value is looked up: the stage, and for larvae first the instar that all share."""
    stage = view.scene.enclosure.stage
    instar = view["=instar"] if stage == "larvae" else None
    return (instar, stage) if instar else (stage,)


def _now_and_usual(view: View) -> tuple[float | None, SpeciesRange | None]:
    now: float | None = view["=shelf_temperature"]
    if now is None:  # most looks: the species files need not be read for them
        return None, None
    species = view.scene.species
    return now, species.range("temperature", *_stages(view)) if species is not None else None
