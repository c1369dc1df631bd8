"""Which comes first in a date of three numbers with strokes or dashes: the day, or the month.

``31/10/2026`` can be read in one way only; ``05/06/2026`` cannot. A caller that has many
dates of one hand (a table) can let them speak for each other: :func:`evidence` finds the
dates that settle the order.
"""

from __future__ import annotations

import enum
import re
from collections.abc import Iterable
from datetime import date

from rounds.named_tuple import NamedTuple


class DateOrder(enum.Enum):
    UNSETTLED = "unsettled"
    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"


_THREE_NUMBERS = re.compile(r"(?<![0-9/-])([0-9]{1,2})([-/])([0-9]{1,2})\2([0-9]{4})(?![0-9/-])")


class OrderEvidence(NamedTuple):
    """The first date that can only be day first, only be month first, and that can be both ("" for none)."""

    day_first: str = ""
    month_first: str = ""
    either: str = ""

    @property
    def order(self) -> DateOrder:
        """What the dates say together; unsettled if nothing does, or if they contradict each other."""
        if bool(self.day_first) == bool(self.month_first):
            return DateOrder.UNSETTLED
        return DateOrder.DAY_FIRST if self.day_first else DateOrder.MONTH_FIRST

    @property
    def contradicts(self) -> bool:
        return bool(self.day_first and self.month_first)


def evidence(texts: Iterable[str]) -> OrderEvidence:
    """What the texts of one file or one hand say about the order of day and month."""
    found = {"day_first": "", "month_first": "", "either": ""}
    for text in texts:
        for match in _THREE_NUMBERS.finditer(text):
            first, second, year = int(match[1]), int(match[3]), int(match[4])
            day_first, month_first = _is_date(year, second, first), _is_date(year, first, second)
            if first == second or not (day_first or month_first):
                continue  # the same day either way, or no date of this form
            says = "either" if day_first and month_first else "day_first" if day_first else "month_first"
            found[says] = found[says] or match[0]
    return OrderEvidence(**found)


def _is_date(year: int, month: int, number: int) -> bool:
    try:
        date(year, month, number)
    except ValueError:
        return False
    return True
