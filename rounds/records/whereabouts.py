"""Who is where now: the enclosure of an animal, those inside an enclosure, and of what species."""

from __future__ import annotations

from rounds.records.column import Row
from rounds.records.ledger import Ledger


def where_is(ledger: Ledger, animal: int) -> int | None:
    """The content row of the enclosure an animal is in now, or None."""
    return next((i for i, r in ledger.rows("content", animal=animal) if r["until"] is None), None)


def box_of(ledger: Ledger, animal: int) -> int | None:
    """The enclosure an animal is in now, or None."""
    here = where_is(ledger, animal)
    return None if here is None else int(ledger.row("content", here)["enclosure"])


def inside(ledger: Ledger, enclosure: int) -> list[tuple[int, Row]]:
    """The content rows of an enclosure now."""
    return [(i, r) for i, r in ledger.rows("content", enclosure=enclosure) if r["until"] is None]


def species_of(ledger: Ledger, box: int) -> str:
    """The species of whoever is in an enclosure, or that it is for; "" when nobody said."""
    lines = (row["line"] for _, row in inside(ledger, box))
    named = next((str(ledger.row("line", i)["species"]) for i in lines if i is not None), "")
    return named or str(ledger.row("enclosure", box)["species"])
