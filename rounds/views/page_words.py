"""Names and dates as pages write them; texts stay as the book has them (the screen cleans them)."""

from __future__ import annotations

from datetime import date
from typing import TypeVar

from rounds.acts.groups import counted, said
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Brood, Content, Enclosure, Line, Lot, Pairing, Place
from rounds.text.cleaning import day_words
from rounds.values.spans import FIRST, LAST, Span, span_words
from rounds.views import page_sentences

Titled = TypeVar("Titled", Brood, Pairing)
SEXES = {"m": "male", "f": "female"}


def animal(ledger: Ledger, id_: int) -> str:
    """``UMBER 3 m``: line, the keeper's number, sex where it is known."""
    one = ledger.row(Animal, id_)
    return f"{line(ledger, one.line)} {one.number}{' ' + one.sex if one.sex in SEXES else ''}".strip()


def line(ledger: Ledger, id_: int | None) -> str:
    return "" if id_ is None else ledger.row(Line, id_).name


def name(ledger: Ledger, of: type[Titled], id_: int | None) -> str:
    """The name of a brood or a pairing; nothing for none."""
    return "" if id_ is None else ledger.row(of, id_).name


def code(ledger: Ledger, enclosure: int) -> str:
    return ledger.row(Enclosure, enclosure).code


def counts(group: Lot | Brood | Content) -> str:
    """``at least 0.0.12``: males.females.unsexed."""
    return said(counted(group))


def span(value: Span | None, unknown: str = "") -> str:
    """``3 Mar 2026`` or ``3 Mar to 9 Mar 2026``; ``unknown`` for none."""
    if value is None:
        return unknown
    if value.unknown:
        return page_sentences.DAY_NOT_KNOWN
    said = span_words(value.earliest, value.latest)
    year = _year(value)
    return page_sentences.day(said, year) if year else said


def day(value: int) -> str:
    """``3 Mar 2026``."""
    return page_sentences.day(day_words(value), date.fromordinal(value).year)


def place(ledger: Ledger, enclosure: int) -> str:
    """``B3-2``, or nothing for an enclosure that stands nowhere."""
    id_ = ledger.row(Enclosure, enclosure).place
    return "" if id_ is None else ledger.row(Place, id_).address


def first_of_all(ledger: Ledger, hint: str) -> str:
    """What to do first on a page with nothing to show: ``hint``, but a book without a box needs one before."""
    return hint if any(True for _ in ledger.rows(Enclosure)) else page_sentences.NO_BOX


def _year(value: Span) -> int | None:
    ends = [d for d in (value.latest, value.earliest) if FIRST < d < LAST]
    return date.fromordinal(ends[0]).year if ends else None
