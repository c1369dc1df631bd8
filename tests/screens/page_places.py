"""Pages of the book that pictures are made of: the kind of each, and the keys from the walk that open it."""

from __future__ import annotations

FROM_WALK = ("right",)
"""The books, from any enclosure of the walk."""

KIN: dict[str, tuple[str, tuple[str, ...]]] = {
    "animals": ("animals", (*FROM_WALK, "4")),
    "an animal": ("animal", (*FROM_WALK, "4", "right")),
    "an animal with weights": ("animal", (*FROM_WALK, "4", "end", "up", "right")),
    "lines": ("lines", (*FROM_WALK, "5")),
    "a line": ("line", (*FROM_WALK, "5", "down", "right")),
    "pairings": ("pairings", (*FROM_WALK, "6")),
    "a pairing": ("pairing", (*FROM_WALK, "6", *["down"] * 13, "right")),
    "a brood": ("brood", (*FROM_WALK, "6", *["down"] * 13, "right", *["down"] * 12, "right")),
    "whom to pair": ("match", (*FROM_WALK, "7")),
    "a pair": ("couple", (*FROM_WALK, "7", "right")),
    "arrivals": ("lots", (*FROM_WALK, "8")),
    "an arrival": ("lot", (*FROM_WALK, "8", "right")),
}
"""Name of the picture: the kind that is then in sight, and the keys."""
