"""An act as the walk offers it: whom it may concern, and what it still has to be told."""

from typing import NamedTuple

DAY_FIELD = "on"
"""The field that takes the day, of every act that has one."""


class OfferField(NamedTuple):
    """Something an act must be told; ``words`` are its answers when it has fixed ones.

    ``ready`` are those that a digit and Enter give, where any other text is an answer too.
    ``alone`` is what Enter with nothing typed answers ("" where that is no answer).
    """

    name: str
    about: str
    words: tuple[str, ...] = ()
    ready: tuple[str, ...] = ()
    alone: str = ""


class Offer(NamedTuple):
    """An act that the stage suggests; ``whom`` are those it may concern, as (typed, shown).

    ``given`` is what it need not be told, because it is so at this enclosure. A ``dated`` act
    can be told the day it happened.
    """

    act: str
    title: str
    whom: tuple[tuple[str, str], ...]
    fields: tuple[OfferField, ...]
    given: tuple[tuple[str, str], ...] = ()
    dated: bool = True
