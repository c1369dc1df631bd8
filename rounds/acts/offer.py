"""An act as the walk lists it: whom it may concern, or why it does not fit today."""

from __future__ import annotations

from rounds.named_tuple import NamedTuple

DAY_FIELD = "on"
"""The field that takes the day, of every act that has one."""


class Offer(NamedTuple):
    """An act of the stage; ``whom`` are those it may concern, as (typed, shown).

    ``given`` is what it need not be told, because it is so at this enclosure. One that does
    not fit today is listed all the same, so that every act keeps its key; ``unfit`` says why.
    """

    act: str
    title: str
    whom: tuple[tuple[str, str], ...]
    given: tuple[tuple[str, str], ...] = ()
    unfit: str = ""

    @property
    def only(self) -> str:
        """Whom it concerns, where that can be but one; else ""."""
        return self.whom[0][0] if len(self.whom) == 1 else ""
