"""The dates of one file, which say together whether the day or the month comes first in them.

``05/06/2026`` can be read in two ways. Where another date of the file can be read in one way
only (``31/10/2026``), it settles the order for all; where none does, the keeper is told once
a file, and not once a row.
"""

from __future__ import annotations

from typing import Any

from rounds.files import cell_sentences as sentences
from rounds.files.cells_in import DATES
from rounds.named_tuple import NamedTuple
from rounds.problems import Refusal
from rounds.values.date_order import DateOrder, OrderEvidence, evidence
from rounds.values.unreadable import UnreadableValue


class WaitingDate(NamedTuple):
    """A date that cannot be read by itself: the row (from 0) of its file, its cells, its column, and why."""

    row: int
    cells: list[str]
    column: str
    type: str
    text: str
    why: UnreadableValue

    def read(self, order: DateOrder) -> Any:
        """The day or span in the order that its file settles. Raises UnreadableValue."""
        return DATES[self.type](self.text, order=order)

    @property
    def lacks_the_order(self) -> bool:
        """Is nothing wrong with it but that it can be read in two ways?"""
        try:
            self.read(DateOrder.DAY_FIRST)
        except UnreadableValue:
            return False
        return bool(evidence([self.text]).either)


class FileDates:
    """Reads the dates of one file; those that have to wait for its end stand in ``waiting``."""

    def __init__(self) -> None:
        self._written: list[str] = []
        self.waiting: list[WaitingDate] = []

    def read(self, type_: str, text: str) -> Any:
        """A day or a span that can be read without the other dates. Raises UnreadableValue."""
        if len(text) != 10 or text[4] != "-":
            self._written.append(text)
        return DATES[type_](text)

    def evidence(self) -> OrderEvidence:
        return evidence(self._written)


def unsettled(first: WaitingDate, others: int, said: OrderEvidence) -> Refusal:
    """The one refusal for all dates of a file that can be read in two ways."""
    if said.contradicts:
        return sentences.order_contradicted(
            first.why.reason, said.day_first, said.month_first, first.why.suggestions
        )
    return sentences.order_unsettled(first.why.reason, others, first.why.suggestions)
