"""What stands where: the house, its keepers, enclosures with who is in them, locks and due work."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from rounds.husbandry.locks import ActiveLock
from rounds.husbandry.occupancy import ANYONE, Company
from rounds.problems import BookError
from rounds.records.observations import DueNotice, EnclosureState, House, Occupant, Slot
from rounds.store.book import Book
from rounds.values.spans import FIRST, LAST, Span

_Key = tuple[tuple[int, int, str], ...]


def span(earliest: int | None, latest: int | None, words: str | None) -> Span | None:
    """The three columns of a span; None when nothing was recorded."""
    return None if earliest is None or latest is None else Span(earliest, latest, words or "")


def house(book: Book) -> House:
    """Raises BookError for a book without a house, which no book of ours is."""
    row = book.row("SELECT name, zone, day_starts, walk_order FROM house ORDER BY id LIMIT 1")
    if row is None:
        raise BookError(f"{book.path}: the book does not say which house it belongs to. Restore a backup.")
    return House(*row)


def keepers(book: Book) -> list[str]:
    """Names of keepers, in the order they were first written down."""
    return [name for (name,) in book.rows("SELECT name FROM keeper ORDER BY id")]


@lru_cache(256)  # the bays of a house are few, its enclosures are many
def _natural(name: str) -> _Key:
    """``B2`` before ``B10``, and capitals beside small letters."""
    return tuple(
        (0, int(part), "") if part.isdigit() else (1, 0, part.casefold())
        for part in re.findall(r"\d+|\D+", name)
    )


def enclosures(book: Book, bays: Sequence[str] = ()) -> list[EnclosureState]:
    """Enclosures of some bays (none given: of the whole house, the unplaced last) in shelf order.

    Bay by bay and shelf by shelf from the top; in a serpentine house every second shelf of
    a bay is walked from its last slot to its first. Enclosures sharing a slot keep their order.
    """
    with book.reading():
        serpentine = house(book).order == "serpentine"
        inside, companies = _contents(book), _companies(book)
        rows = book.rows(
            "SELECT e.id, e.code, e.number, e.stage, e.stage_since_earliest, e.stage_since_latest,"
            " e.stage_since_words, e.slot_order, e.species, e.litres, e.note, p.id, p.bay, p.shelf, p.slot"
            " FROM enclosure e LEFT JOIN place p ON p.id = e.place AND NOT p.void WHERE NOT e.void"
        )
    found = []
    for row in rows:
        place = None if row[11] is None else Slot(*row[11:15])
        if bays and (place is None or place.bay not in bays):
            continue
        enclosure = EnclosureState(
            row[0],
            row[1],
            row[2],
            row[3],
            span(*row[4:7]),
            place,
            row[7],
            row[8],
            tuple(inside.get(row[0], ())),
            row[9],
            row[10],
            companies.get(row[0], ANYONE),
        )
        found.append(enclosure)
    found.sort(key=lambda e: _shelf_order(e, serpentine=serpentine))
    return found


def _shelf_order(e: EnclosureState, *, serpentine: bool) -> tuple[Any, ...]:
    if e.place is None:
        return (1, (), "", 0, 0, 0, e.number)
    backwards = serpentine and e.place.shelf % 2 == 0
    slot = -e.place.slot if backwards else e.place.slot
    return (0, _natural(e.place.bay), e.place.bay, e.place.shelf, slot, e.order, e.number)


def _contents(book: Book) -> dict[int, list[Occupant]]:
    """Current contents by enclosure: animals by line and number, then groups as recorded."""
    out: dict[int, list[Occupant]] = {}
    for enclosure, line, animal, sex, males, females, unsexed, at_least, instar in book.rows(
        "SELECT i.enclosure, coalesce(n.name, al.name, ''), coalesce(a.number, ''), coalesce(a.sex, 'unknown'),"
        " i.males, i.females, i.unsexed, i.at_least, i.instar FROM content i"
        " LEFT JOIN line n ON n.id = i.line LEFT JOIN animal a ON a.id = i.animal"
        " LEFT JOIN line al ON al.id = a.line WHERE i.until_earliest IS NULL AND NOT i.void ORDER BY i.id"
    ):
        content = Occupant(line, animal, sex, males, females, unsexed, bool(at_least), instar)
        out.setdefault(enclosure, []).append(content)
    for inside in out.values():
        inside.sort(key=lambda c: (not c.animal, c.line, _natural(c.animal)))
    return out


def _companies(book: Book) -> dict[int, Company]:
    """Since when those in each enclosure are together; those that nobody ever came to are left out.

    The rule is that of :func:`rounds.husbandry.occupancy.company`, asked here in the database so
    that the inmates of years ago are not read; a test holds the two together.
    """
    found = {}
    for enclosure, came, oldest, left in book.rows(
        "SELECT enclosure,"
        " max(CASE WHEN until_earliest IS NULL THEN coalesce(since_latest, 1) END),"
        " min(CASE WHEN until_earliest IS NULL THEN coalesce(since_latest, 1) END),"
        " max(CASE WHEN until_latest < ? THEN until_latest ELSE until_earliest END)"
        " FROM content WHERE NOT void GROUP BY enclosure",
        (LAST,),
    ):
        same = max(came or FIRST, left or FIRST)
        found[enclosure] = Company(same, same if oldest is None else oldest)
    return found


def locks(book: Book, day: int) -> dict[int, list[ActiveLock]]:
    """Locks in force on ``day``, by enclosure; an animal's lock counts where the animal is.

    The rule is that of :func:`rounds.husbandry.locks.holds`, asked here in the database so
    that locks of years ago are not read; a test holds the two together.
    """
    out: dict[int, list[ActiveLock]] = {}
    for enclosure, forbids, earliest, latest, words, reason, animal in book.rows(
        "SELECT coalesce(l.enclosure, i.enclosure), l.forbids, l.until_earliest, l.until_latest, l.until_words,"
        " l.reason, coalesce(a.number, '') FROM lock l LEFT JOIN animal a ON a.id = l.animal"
        " LEFT JOIN content i ON i.animal = l.animal AND i.until_earliest IS NULL AND NOT i.void"
        " WHERE NOT l.void AND l.from_day <= ? AND (l.until_latest IS NULL OR l.until_latest >= ?)"
        " AND (l.lifted IS NULL OR l.lifted > ?) ORDER BY l.id",
        (day, day, day),
    ):
        if enclosure is not None:
            lock = ActiveLock(tuple(forbids.split()), span(earliest, latest, words), reason, animal)
            out.setdefault(enclosure, []).append(lock)
    return out


def dues(book: Book, until_day: int) -> dict[int, list[DueNotice]]:
    """Work not done whose window opens by ``until_day``, by enclosure, the soonest to end first.

    An animal's counts where the animal is. Work put off is not due before the day it was put
    off to; a window without an end stays open.
    """
    out: dict[int, list[DueNotice]] = {}
    for id, enclosure, what, earliest, likely, latest, words, why, line, number in book.rows(
        "SELECT d.id, coalesce(d.enclosure, i.enclosure), d.what, d.earliest, d.likely, d.latest, d.words, d.why,"
        " n.name, a.number FROM due d LEFT JOIN animal a ON a.id = d.animal LEFT JOIN line n ON n.id = a.line"
        " LEFT JOIN content i ON i.animal = d.animal AND i.until_earliest IS NULL AND NOT i.void"
        " WHERE NOT d.void AND d.done IS NULL AND coalesce(d.earliest, 1) <= ? AND coalesce(d.off_until, 1) <= ?"
        " ORDER BY coalesce(d.likely, d.latest, ?), d.latest, d.id",
        (until_day, until_day, LAST),
    ):
        if enclosure is not None:
            window = Span(FIRST if earliest is None else earliest, LAST if latest is None else latest, words)
            animal = f"{line}/{number}" if number is not None else ""
            out.setdefault(enclosure, []).append(DueNotice(id, enclosure, what, window, likely, why, animal))
    return out
