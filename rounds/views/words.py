"""Names and dates as pages write them; texts stay as the book has them (the screen cleans them)."""

from __future__ import annotations

from rounds.husbandry.spans import Span, span_words
from rounds.records.column import Row
from rounds.records.ledger import Ledger
from rounds.text.cleaning import day_words
from rounds.views.page import NO_BOX, Link

SEXES = {"m": "male", "f": "female"}


def animal(ledger: Ledger, id_: int) -> str:
    """``UMBER 3 m``: line, the keeper's number, sex where it is known."""
    row = ledger.row("animal", id_)
    return f"{line(ledger, row['line'])} {row['number']}{' ' + row['sex'] if row['sex'] in SEXES else ''}".strip()


def line(ledger: Ledger, id_: int | None) -> str:
    return "" if id_ is None else str(ledger.row("line", id_)["name"])


def name(ledger: Ledger, table: str, id_: int | None) -> str:
    """The name of a brood, lot, pairing, batch; nothing for none."""
    return "" if id_ is None else str(ledger.row(table, id_)["name"])


def code(ledger: Ledger, enclosure: int) -> str:
    return str(ledger.row("enclosure", enclosure)["code"])


def counts(row: Row) -> str:
    """``at least 0.0.12``: males.females.unsexed."""
    return f"{'at least ' if row['at_least'] else ''}{row['males']}.{row['females']}.{row['unsexed']}"


def span(value: Span | None, unknown: str = "") -> str:
    """``3 Mar 2026`` or ``3 Mar to 9 Mar 2026``; ``unknown`` for none."""
    if value is None:
        return unknown
    if value.unknown:
        return "day not known"
    said = span_words(value.earliest, value.latest)
    year = _year(value)
    return f"{said} {year}" if year else said


def day(value: int) -> str:
    """``3 Mar 2026``."""
    from datetime import date

    return f"{day_words(value)} {date.fromordinal(value).year}"


def ago(days: int) -> str:
    """``today``, ``1 day ago``, ``12 days ago``."""
    return "today" if not days else f"{days} day{'s' * (days != 1)} ago"


def place(ledger: Ledger, enclosure: int) -> str:
    """``B3-2``, or nothing for an enclosure that stands nowhere."""
    id_ = ledger.row("enclosure", enclosure)["place"]
    if id_ is None:
        return ""
    row = ledger.row("place", id_)
    return f"{row['bay']}{row['shelf']}-{row['slot']}"


def first_of_all(ledger: Ledger, hint: str) -> str:
    """What to do first on a page with nothing to show: ``hint``, but a book without a box needs one before."""
    return hint if any(True for _ in ledger.rows("enclosure")) else NO_BOX


def to_animal(id_: int) -> Link:
    return Link("animal", id_)


def _year(value: Span) -> str:
    from datetime import date

    from rounds.husbandry.spans import FIRST, LAST

    ends = [d for d in (value.latest, value.earliest) if FIRST < d < LAST]
    return str(date.fromordinal(ends[0]).year) if ends else ""
