"""Visits with what was read at them.

A loaded book may hold millions of visits: every query here starts from enclosures and
goes through the index on (enclosure, round). ``CROSS JOIN`` is SQLite's way to be held to
that order even before it has statistics; to other databases it is a plain join.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from operator import itemgetter
from typing import Any
from weakref import WeakKeyDictionary

from rounds.husbandry.readings import Value
from rounds.problems import BookError
from rounds.records.entries import AS_EXPECTED, NOTE, OWN_KINDS, SKIPPED
from rounds.records.observations import NOTHING, ReadingChange, Visit
from rounds.store.book import Book
from rounds.store.cell_codec import NUMBER, PHRASE, decode, unpack

CHUNK = 500  # values in one IN (…), well under every build's limit

_VISIT = "v.id, v.uid, v.enclosure, v.round, v.seq, v.at_ms, v.place"
_READING = "g.visit, g.kind, g.number"
_THERE = "g.number IS NOT NULL"  # else it was taken back
_RANGE = "FROM enclosure e CROSS JOIN visit v"


def history(
    book: Book, *, since_day: int, until_ms: int | None = None, enclosures: Iterable[int] | None = None
) -> dict[int, list[Visit]]:
    """Visits of round days from ``since_day`` on, by enclosure, oldest first.

    ``until_ms`` leaves out what came later; ``enclosures`` None means all. Enclosures
    without a visit are left out. Order is by day, round and sequence, never by the clock.
    """
    wanted = None if enclosures is None else list(dict.fromkeys(enclosures))
    where, values = "WHERE v.enclosure = e.id AND v.round >= ?", [0]
    if until_ms is not None:
        where += " AND v.at_ms <= ?"
        values.append(until_ms)
    chosen = wanted is not None and len(wanted) <= CHUNK
    if wanted is not None and chosen:
        where += f" AND e.id IN ({_marks(wanted)})"
        values += wanted
    with book.reading():
        rounds = _rounds(book, "WHERE r.day >= ?", (since_day,))
        if not rounds:
            return {}
        values[0] = min(rounds)  # nearly a range of days, because rounds are made in order of their days
        visits = book.rows(f"SELECT {_VISIT} {_RANGE} {where}", values)
        readings = book.run(
            f"SELECT {_READING} {_RANGE} CROSS JOIN reading g {where} AND g.visit = v.id AND {_THERE}", values
        )
        visits = [v for v in visits if v[3] in rounds]
        found = _seen(book, visits, readings, rounds)
    if wanted is not None and not chosen:
        few = set(wanted)
        found = [s for s in found if s.enclosure in few]
    out: dict[int, list[Visit]] = {}
    for seen in found:
        out.setdefault(seen.enclosure, []).append(seen)
    return out


def last_visits(book: Book, enclosure: int, n: int) -> list[Visit]:
    """The last ``n`` visits of one enclosure, oldest first."""
    with book.reading():
        if _in_order(book):  # then the index ends with them, and no other visit is looked at
            last = "SELECT id FROM visit WHERE enclosure = ? ORDER BY round DESC, id DESC LIMIT ?"
        else:
            last = (
                'SELECT v.id FROM visit v CROSS JOIN "round" r WHERE r.id = v.round AND v.enclosure = ?'
                " ORDER BY r.day DESC, v.round DESC, v.seq DESC LIMIT ?"
            )
        return visits_by_id(book, [id for (id,) in book.rows(last, (enclosure, n))])


def newest_with(
    book: Book, wanted: Mapping[int, tuple[Collection[str], int]], until: int
) -> dict[int, list[Visit]]:
    """Of some enclosures the newest visits at which each of some readings was something, oldest first.

    ``wanted`` gives each enclosure's readings, and the round day from which on its visits count;
    those after ``until`` do not. A count of 0 and a tick that says no are nothing.
    """
    found: set[int] = set()
    with book.reading():
        kinds: defaultdict[str, list[int]] = defaultdict(list)
        for id, reading in book.rows("SELECT id, reading FROM kind"):
            kinds[reading].append(id)
        order = "v.round DESC, v.id DESC" if _in_order(book) else "r.day DESC, v.round DESC, v.seq DESC"
        for enclosure, (readings, since) in wanted.items():
            for reading in (r for r in readings if r in kinds):
                last = book.row(
                    'SELECT v.id FROM visit v CROSS JOIN "round" r WHERE r.id = v.round AND v.enclosure = ?'
                    " AND r.day BETWEEN ? AND ? AND EXISTS (SELECT 1 FROM reading g WHERE g.visit = v.id"
                    f" AND g.kind IN ({_marks(kinds[reading])}) AND g.number > 0) ORDER BY {order} LIMIT 1",
                    [enclosure, since, until, *kinds[reading]],
                )
                found |= {int(last[0])} if last is not None else set()
        visits = visits_by_id(book, sorted(found))
    out: dict[int, list[Visit]] = {}
    for seen in visits:
        out.setdefault(seen.enclosure, []).append(seen)
    return out


_orders: WeakKeyDictionary[Book, tuple[int, bool]] = WeakKeyDictionary()


def _in_order(book: Book) -> bool:
    """Whether rounds were made in the order of their days; not so after older tables were loaded."""
    newest = int((book.row('SELECT max(id) FROM "round"') or (0,))[0] or 0)
    known = _orders.get(book)
    if known is None or known[0] != newest:
        late = book.row(
            "SELECT 1 FROM (SELECT day, max(day) OVER (ORDER BY id ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING)"
            ' AS before FROM "round") AS r WHERE before > day LIMIT 1'
        )
        known = _orders[book] = (newest, late is None)
    return known[1]


def visits_of_round(book: Book, round_uid: bytes) -> list[Visit]:
    """The visits of one round by their sequence."""
    with book.reading():
        ids = book.rows(
            f'SELECT v.id {_RANGE} WHERE v.enclosure = e.id AND v.round = (SELECT id FROM "round" WHERE uid = ?)',
            (round_uid,),
        )
        found = visits_by_id(book, [id for (id,) in ids])
        order = dict(_in_chunks(book, "SELECT id, seq FROM visit WHERE id IN ({})", [s.id for s in found]))
    return sorted(found, key=lambda s: (order[s.id], s.id))


def last_days(book: Book, without: bytes | None = None) -> dict[int, int]:
    """The round day of each enclosure's newest look, by enclosure; those never looked at are left out.

    A skip is no look, nor is a visit of which everything was taken back. ``without`` is the
    uid of a visit whose whole round does not count. Rounds are gone through from the newest
    day back, and only for the enclosures that are still wanted.
    """
    found: dict[int, int] = {}
    with book.reading():
        skips = [id for (id,) in book.rows("SELECT id FROM kind WHERE reading = ?", (SKIPPED,))] or [0]
        row = book.row("SELECT round FROM visit WHERE uid = ?", (without,)) if without else None
        wanted = [
            id
            for (id,) in book.rows(
                "SELECT e.id FROM enclosure e WHERE EXISTS (SELECT 1 FROM visit v WHERE v.enclosure = e.id)"
            )
        ]
        query = (
            f"SELECT DISTINCT e.id {_RANGE} WHERE v.enclosure = e.id AND v.round = ?"
            " AND EXISTS (SELECT 1 FROM reading g WHERE g.visit = v.id AND g.number IS NOT NULL"
            f" AND g.kind NOT IN ({_marks(skips)}))"
            " AND NOT EXISTS (SELECT 1 FROM reading g WHERE g.visit = v.id AND g.number IS NOT NULL"
            f" AND g.kind IN ({_marks(skips)}))"
        )
        for id_, day in book.rows('SELECT id, day FROM "round" ORDER BY day DESC, id DESC'):
            if not wanted:
                break
            if row is not None and id_ == row[0]:
                continue
            few = wanted if len(wanted) <= CHUNK else []
            only = f" AND e.id IN ({_marks(few)})" if few else ""
            looked = {id for (id,) in book.rows(query + only, [id_, *skips, *skips, *few])}
            found |= dict.fromkeys(looked.difference(found), day)
            wanted = [id for id in wanted if id not in looked]
    return found


def shelf_history(
    book: Book, readings: Sequence[str], since_day: int, enclosures: Sequence[int] | None = None
) -> dict[str, list[Visit]]:
    """Visits at which any of ``readings`` was read, by the shelf the enclosure stood on then.

    For what is read once for a shelf; oldest first, from round day ``since_day`` on. ``enclosures``
    None means all.
    """
    with book.reading():
        kinds = [id for id, reading in book.rows("SELECT id, reading FROM kind") if reading in readings]
        rounds = _rounds(book, "WHERE r.day >= ?", (since_day,))
        if not rounds or not kinds:
            return {}
        only = "" if enclosures is None else f" AND e.id IN ({_marks(enclosures)})"
        ids = book.rows(
            f"SELECT DISTINCT v.id {_RANGE} CROSS JOIN reading g WHERE v.enclosure = e.id AND v.round >= ?"
            f" AND g.visit = v.id AND g.kind IN ({_marks(kinds)}) AND {_THERE}{only}",
            [min(rounds), *kinds, *(enclosures or ())],
        )
        found = [s for s in visits_by_id(book, [id for (id,) in ids]) if s.day >= since_day]
    out: dict[str, list[Visit]] = {}
    for seen in found:
        if seen.shelf:
            out.setdefault(seen.shelf, []).append(seen)
    return out


def shelf_visits(book: Book, shelf: str, readings: Sequence[str], since_day: int) -> list[Visit]:
    """One shelf of :func:`shelf_history`; ask for all at once when several are wanted."""
    return shelf_history(book, readings, since_day).get(shelf, [])


def enclosure_of_visit(book: Book, uid: bytes) -> int | None:
    """The enclosure a visit belongs to; None when the book has no such visit."""
    row = book.row("SELECT enclosure FROM visit WHERE uid = ?", (uid,))
    return None if row is None else int(row[0])


def changes(book: Book, visit: bytes) -> list[ReadingChange]:
    """Every value of a visit that was replaced or taken back, in the order that happened."""
    return [
        ReadingChange(visit, kind, depth, _value(old), _value(new), at_ms, keeper or "", why)
        for kind, depth, old, new, at_ms, keeper, why in book.rows(
            "SELECT k.reading, k.depth, c.old, c.new, c.at_ms, p.name, c.why FROM visit v"
            " JOIN change c ON c.visit = v.id JOIN kind k ON k.id = c.kind LEFT JOIN keeper p ON p.id = c.keeper"
            " WHERE v.uid = ? ORDER BY c.id",
            (visit,),
        )
    ]


def _value(text: str) -> object:
    found = unpack(text)
    if isinstance(found, dict):
        return {k: tuple(v) if isinstance(v, list) else v for k, v in found.items()}
    return found


def visits_by_id(book: Book, ids: Sequence[int]) -> list[Visit]:
    """Visits by row id, oldest first."""
    visits = _in_chunks(book, f"SELECT {_VISIT} FROM visit v WHERE v.id IN ({{}})", ids)
    readings = _in_chunks(book, f"SELECT {_READING} FROM reading g WHERE g.visit IN ({{}}) AND {_THERE}", ids)
    of = sorted({v[3] for v in visits})
    rounds = {
        id: (day, keeper)
        for id, day, keeper in _in_chunks(
            book,
            'SELECT r.id, r.day, k.name FROM "round" r JOIN keeper k ON k.id = r.keeper WHERE r.id IN ({})',
            of,
        )
    }
    return _seen(book, visits, readings, rounds)


def _rounds(book: Book, where: str, values: Sequence[Any]) -> dict[int, tuple[int, str]]:
    rows = book.rows(
        f'SELECT r.id, r.day, k.name FROM "round" r JOIN keeper k ON k.id = r.keeper {where}', values
    )
    return {id: (day, keeper) for id, day, keeper in rows}


def _marks(values: Sequence[Any]) -> str:
    return ", ".join("?" * len(values))


def _in_chunks(book: Book, sql: str, ids: Sequence[int]) -> list[tuple[Any, ...]]:
    """``sql`` has one ``{}`` for the marks of its ids."""
    out: list[tuple[Any, ...]] = []
    for start in range(0, len(ids), CHUNK):
        some = ids[start : start + CHUNK]
        out += book.rows(sql.format(_marks(some)), some)
    return out


def _seen(
    book: Book,
    visits: Iterable[tuple[Any, ...]],
    readings: Iterable[tuple[Any, ...]],
    rounds: Mapping[int, tuple[int, str]],
) -> list[Visit]:
    """Put visits and their readings together, oldest first."""
    visits = list(visits)
    places = sorted({v[6] for v in visits if v[6] is not None})
    shelves = {
        id: f"{bay}{shelf}"
        for id, bay, shelf in _in_chunks(book, "SELECT id, bay, shelf FROM place WHERE id IN ({})", places)
    }
    known = _Known(book)
    cells: defaultdict[int, list[tuple[int, float]]] = defaultdict(list)
    for visit, kind, number in readings:
        cells[visit].append((kind, number))
    # Most visits say what many others say: they share one mapping, or a thousand histories fill the memory.
    shared: dict[tuple[tuple[int, float], ...], _Said] = {}
    out = []
    for id, uid, enclosure, round_, seq, at_ms, place in visits:
        cells_here = tuple(cells.get(id, ()))
        said = shared.get(cells_here)
        if said is None:
            said = shared[cells_here] = _sorted_out(known[kind][number] for kind, number in cells_here)
        read, confirmed, deepest, skipped, note = said
        day, keeper = rounds[round_]
        shelf = shelves.get(place, "")
        seen = Visit(
            bytes(uid), enclosure, day, at_ms, read, confirmed, deepest, skipped, note, keeper, shelf, id
        )
        out.append(((day, round_, seq, id), seen))
    out.sort(key=itemgetter(0))
    return [seen for _, seen in out]


_Said = tuple[dict[str, Value], Mapping[str, Any], int, str, str]
"""What was read, what was confirmed, the deepest look among both, the reason of a skip, and the note."""


def _sorted_out(decoded: Iterable[tuple[bool, str, int, Any]]) -> _Said:
    read: dict[str, Value] = {}
    own: dict[str, Any] = {}
    deepest = 0
    for is_own, reading, depth, value in decoded:
        (own if is_own else read)[reading] = value
        deepest = max(deepest, depth)
    return read, own.get(AS_EXPECTED, NOTHING), deepest, own.get(SKIPPED, ""), own.get(NOTE, "")


class _Known(dict[int, "_Decoded"]):
    """Decoded cells by kind and number: most cells of a history share few of them."""

    def __init__(self, book: Book) -> None:
        super().__init__(
            (id, _Decoded(book, reading, depth, form))
            for id, reading, depth, form in book.rows("SELECT id, reading, depth, form FROM kind")
        )


class _Decoded(dict[float, tuple[bool, str, int, Any]]):
    """Of one kind: whether it is one of our own cells, reading id, depth and value, by number."""

    def __init__(self, book: Book, reading: str, depth: int, form: int) -> None:
        super().__init__()
        self.book, self.reading, self.depth, self.form = book, reading, depth, form

    def __missing__(self, number: float) -> tuple[bool, str, int, Any]:
        text = None
        if self.form != NUMBER:
            table = "phrase" if self.form == PHRASE else "remark"
            found = self.book.row(f"SELECT text FROM {table} WHERE id = ?", (int(number),))
            if found is None:
                raise BookError(f"{self.book.path}: the book is damaged: a text of `{self.reading}` is gone.")
            text = found[0]
        value = decode(self.reading, number, text)
        cell = self[number] = (self.reading in OWN_KINDS, self.reading, self.depth, value)
        return cell
