"""Dates as keepers know them: a span of days, with the words that were typed."""

from __future__ import annotations

from typing import NamedTuple

FIRST, LAST = 1, 3652059  # date.min and date.max as ordinals: "nobody knows how early/late"


class Span(NamedTuple):
    """Earliest and latest day, both included, and the words typed (empty for a plain date)."""

    earliest: int
    latest: int
    words: str = ""

    @property
    def exact(self) -> bool:
        return self.earliest == self.latest
