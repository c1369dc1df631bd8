"""How much "about" may mean; by itself, because the settings hold it and every start reads them."""

from __future__ import annotations

from rounds.named_tuple import NamedTuple


class RoughWidth(NamedTuple):
    """How far ``about N`` reaches to both sides: so many percent of N, rounded up, and at least so many."""

    percent: int = 10
    least: int = 1


USUAL = RoughWidth()
"""What ``about`` means where the settings say nothing."""
