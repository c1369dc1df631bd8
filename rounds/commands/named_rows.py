"""Rows of the book by the name a keeper typed."""

from __future__ import annotations

from typing import TypeVar

from rounds.records.ledger import Ledger
from rounds.records.tables import Batch, Lot, Trial

Named = TypeVar("Named", Batch, Lot, Trial)


def row_named(ledger: Ledger, of: type[Named], name: str) -> Named | None:
    """The one of this name, or the only one whose name differs in nothing but the case; None when there is none."""
    rows = list(ledger.rows(of))
    same = [row for row in rows if row.name == name]
    alike = same or [row for row in rows if row.name.casefold() == name.casefold()]
    return alike[0] if len(alike) == 1 else None


def names_of(ledger: Ledger, of: type[Named]) -> tuple[str, ...]:
    """Every name of a table, for a hint."""
    return tuple(row.name for row in ledger.rows(of))
