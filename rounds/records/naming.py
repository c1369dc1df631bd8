"""What rows and days are called by people: UMBER/3, B-07, the next free name, a day as it was typed."""

from __future__ import annotations

from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.tables import TABLES, Animal, Enclosure, Line

CALLED = {"enclosure": "box", "lot": "arrival"}


def table_word(table: str) -> str:
    """What keepers call a row of this table: an ``enclosure`` is a box, a ``lot`` an arrival."""
    return CALLED.get(table, table)


def animal_name(ledger: Ledger, animal: int) -> str:
    """``UMBER/3``."""
    return name_of(ledger, ledger.row(Animal, animal))


def name_of(ledger: Ledger, animal: Animal) -> str:
    """The name of an animal whose row is at hand."""
    return f"{ledger.row(Line, animal.line).name}/{animal.number}"


def code(ledger: Ledger, enclosure: int) -> str:
    return str(ledger.row(Enclosure, enclosure).code)


def fresh_name(ledger: Ledger, column: Column[str], stem: str) -> str:
    """``stem-01`` and so on: the first running name that no record has in this column yet."""
    taken = {record.value(column) for record in ledger.rows(TABLES[column.table])}
    n = 1
    while f"{stem}-{n:02}" in taken:
        n += 1
    return f"{stem}-{n:02}"


def free_number(ledger: Ledger) -> int:
    """The lowest short number that no enclosure has."""
    taken = {box.number for box in ledger.rows(Enclosure)}
    return next(n for n in range(1, len(taken) + 2) if n not in taken)
