"""What rows and days are called by people: UMBER/3, B-07, the next free name, a day as it was typed."""

from __future__ import annotations

from datetime import date

from rounds.husbandry.spans import Span, text
from rounds.records.column import Row
from rounds.records.ledger import Ledger


def animal_name(ledger: Ledger, animal: int) -> str:
    """``UMBER/3``."""
    return name_of(ledger, ledger.row("animal", animal))


def name_of(ledger: Ledger, animal: Row) -> str:
    """The name of an animal whose row is at hand."""
    return f"{ledger.row('line', animal['line'])['name']}/{animal['number']}"


def code(ledger: Ledger, enclosure: int) -> str:
    return str(ledger.row("enclosure", enclosure)["code"])


def fresh_name(ledger: Ledger, table: str, stem: str) -> str:
    """``stem-01`` and so on: the first running name no row has."""
    taken = {r["name"] for _, r in ledger.rows(table)}
    n = 1
    while f"{stem}-{n:02}" in taken:
        n += 1
    return f"{stem}-{n:02}"


def free_number(ledger: Ledger) -> int:
    """The lowest short number that no enclosure has."""
    taken = {r["number"] for _, r in ledger.rows("enclosure")}
    return next(n for n in range(1, len(taken) + 2) if n not in taken)


def words(span: Span) -> str:
    """A span as it was typed, or as plain dates."""
    return text(span)


def iso(day: int) -> str:
    return date.fromordinal(day).isoformat()
