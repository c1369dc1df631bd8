"""Who is where now: the enclosure of an animal, those inside an enclosure, and of what species."""

from __future__ import annotations

from rounds.husbandry.occupancy import ANYONE, company
from rounds.records.column import Condition
from rounds.records.ledger import Ledger
from rounds.records.tables import Content, Enclosure, Line
from rounds.values.spans import Span


def where_is(ledger: Ledger, animal: int) -> int | None:
    """The content row of the enclosure an animal is in now, or None."""
    return next(
        (content.id for content in ledger.rows(Content, Content.animal.is_(animal)) if content.until is None),
        None,
    )


def box_of(ledger: Ledger, animal: int) -> int | None:
    """The enclosure an animal is in now, or None."""
    here = where_is(ledger, animal)
    return None if here is None else int(ledger.row(Content, here).enclosure)


def inside(ledger: Ledger, enclosure: int) -> list[Content]:
    """Who is in an enclosure now."""
    return list(ledger.rows(Content, Content.enclosure.is_(enclosure), Content.until.is_(None)))


def vacated(ledger: Ledger, *conditions: Condition) -> set[int]:
    """Enclosures that everybody has left who was ever recorded in them, as far as ``conditions`` go.

    One in which nobody ever was is not among them: those in it may be uncounted.
    """
    left: dict[int, list[Span]] = {}
    lived_in: set[int] = set()
    for stay in ledger.rows(Content, *conditions):
        if stay.until is None:
            lived_in.add(stay.enclosure)
        else:
            left.setdefault(stay.enclosure, []).append(stay.until)
    return {box for box, ends in left.items() if box not in lived_in and company((), ends) != ANYONE}


def is_vacated(ledger: Ledger, enclosure: int) -> bool:
    return enclosure in vacated(ledger, Content.enclosure.is_(enclosure))


def species_of(ledger: Ledger, box: int) -> str:
    """The species of whoever is in an enclosure, or that it is for; "" when nobody said."""
    lines = (content.line for content in inside(ledger, box))
    named = next((str(ledger.row(Line, i).species) for i in lines if i is not None), "")
    return named or str(ledger.row(Enclosure, box).species)
