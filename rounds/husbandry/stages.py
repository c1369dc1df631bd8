"""The stages an enclosure can be in, and what each forbids by its nature."""

from __future__ import annotations

from enum import IntEnum

STAGES = (
    "quarantine",
    "holding",
    "pairing",
    "laying",
    "eggs",
    "larvae",
    "wandering",
    "cell",
    "resting",
    "colony",
    "prepared",
    "empty",
)

VACANT = ("empty", "prepared")
"""Stages in which nobody is in the enclosure."""

LIVED_IN = tuple(s for s in STAGES if s not in VACANT)
"""All others."""

INSTARS = ("L1", "L2", "L3")

FORBIDS = ("dig", "open", "move", "wet")
"""What a lock can forbid, from the least to the most that is usually asked for."""


class Depth(IntEnum):
    """How closely a visit looked."""

    WALL = 0  # through the wall, nothing touched
    LID = 1  # lid open
    DUG = 2  # substrate searched


DEPTHS = {"wall": Depth.WALL, "lid": Depth.LID, "dug": Depth.DUG}
DEPTH_WORDS = {Depth.WALL: "through the wall", Depth.LID: "lid open", Depth.DUG: "dug"}
