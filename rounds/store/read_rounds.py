"""Rounds, what undo needs, and what was raised: flags, actions, enclosures not seen."""

from __future__ import annotations

from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.records.entries import SKIPPED, UndoStep
from rounds.records.observations import Action, Flag, Round
from rounds.store.book import Book
from rounds.store.cell_codec import unpack
from rounds.store.read_house import enclosures
from rounds.store.read_visits import visits_of_round

_ROUND = (
    "SELECT r.uid, k.name, r.day, r.name, r.zone, r.bays, r.opened_ms, r.closed_ms, r.fingerprint,"
    ' r.at_enclosure, r.source FROM "round" r JOIN keeper k ON k.id = r.keeper '
)


def _round(row: tuple[Any, ...]) -> Round:
    uid, keeper, day, name, zone, bays, opened, closed, fingerprint, at, source = row
    return Round(
        bytes(uid), keeper, day, name, zone, tuple(unpack(bays)), opened, closed, fingerprint, at, source
    )


def round_of(book: Book, keeper: str, day: int, name: str = "") -> Round | None:
    """A keeper's walked round of a day, open or closed; the newest should there be several."""
    row = book.row(
        _ROUND
        + "WHERE k.name = ? AND r.day = ? AND r.name = ? AND r.source = 'walked' ORDER BY r.id DESC LIMIT 1",
        (keeper, day, name),
    )
    return None if row is None else _round(row)


class NewestRows(NamedTuple):
    """How far a book has grown: the newest row of each table that a walk, an act or a load adds to."""

    visit: int = 0
    change: int = 0
    step: int = 0
    action_change: int = 0
    act: int = 0


def newest_rows(book: Book) -> NewestRows:
    """The newest row of each of these tables now, 0 for one without rows."""
    return NewestRows(
        *(int((book.row(f"SELECT max(id) FROM {table}") or (0,))[0] or 0) for table in NewestRows._fields)
    )


def walked(book: Book) -> bool:
    """Whether the book has any visit, walked or loaded."""
    return book.row("SELECT 1 FROM visit LIMIT 1") is not None


def last_round_day(book: Book) -> int | None:
    """The day of the round that was begun last, whatever the clock said then; None without one."""
    row = book.row('SELECT day FROM "round" ORDER BY id DESC LIMIT 1')
    return None if row is None else int(row[0])


def unfinished_rounds(book: Book, before_day: int) -> list[bytes]:
    """Uids of rounds of earlier days that were never closed, oldest first."""
    return [
        bytes(uid)
        for (uid,) in book.rows(
            "SELECT uid FROM \"round\" WHERE closed_ms IS NULL AND source = 'walked' AND day < ? ORDER BY day, id",
            (before_day,),
        )
    ]


def unseen_of_round(book: Book, round_uid: bytes) -> tuple[int, ...]:
    """Enclosures of a round's bays that nobody looked at in it, in shelf order.

    Empty ones are not asked for, and a visit that was only skipped or taken back is no look.
    """
    with book.reading():
        row = book.row(_ROUND + "WHERE r.uid = ?", (round_uid,))
        if row is None:
            return ()
        looked = {s.enclosure for s in visits_of_round(book, round_uid) if s.looked}
        return tuple(
            e.id for e in enclosures(book, _round(row).bays) if e.stage != "empty" and e.id not in looked
        )


def steps_of(book: Book, round_uid: bytes) -> list[UndoStep]:
    """What can be undone in an open round, in the order it was saved."""
    return [
        UndoStep(round_uid, seq, bytes(subject), kind, depth, unpack(before), bool(undone))
        for seq, subject, kind, depth, before, undone in book.rows(
            "SELECT s.seq, s.subject, s.kind, s.depth, s.before, s.undone FROM step s"
            ' WHERE s.round = (SELECT id FROM "round" WHERE uid = ?) ORDER BY s.id',
            (round_uid,),
        )
    ]


def walked_elsewhere(book: Book, round_uid: bytes) -> bool:
    """Has a terminal taken steps in an open round without having left it since?"""
    query = (
        'SELECT 1 FROM step WHERE round = (SELECT id FROM "round" WHERE uid = ?) AND walk IS NOT NULL LIMIT 1'
    )
    return book.row(query, (round_uid,)) is not None


_FLAG = "f.rule, f.level, f.reason, f.todo, f.withheld"


def flags_of_visit(book: Book, visit: bytes) -> list[Flag]:
    """Flags that stand at one visit, by rule."""
    return [
        Flag(*row)
        for row in book.rows(
            f"SELECT {_FLAG} FROM visit v JOIN flag f ON f.visit = v.id WHERE v.uid = ? AND f.stands ORDER BY f.rule",
            (visit,),
        )
    ]


def known_actions(book: Book, day: int) -> dict[int, list[Action]]:
    """Actions that matter on ``day``, by enclosure, oldest first: a walk must not raise them twice.

    Those to be done, those put off to a later day, and those that were done or withdrawn on
    this very day. One that was put off is open again (``until`` and ``why`` stay) once its
    day has come; one that was done after ``day`` was still open on it.
    """
    out: dict[int, list[Action]] = {}
    for uid, *facts, state, until, why, cause_gone, withheld, closed in book.rows(
        "SELECT uid, enclosure, rule, level, reason, todo, opened, state, until, why, cause_gone, withheld, closed"
        " FROM action WHERE opened <= ? AND (state IN ('open', 'off') OR (state = 'done' AND closed >= ?)"
        " OR (state = 'withdrawn' AND opened = ?)) ORDER BY opened, id",
        (day, day, day),
    ):
        if (state == "off" and until <= day) or (state == "done" and closed > day):
            state, closed = "open", None
        action = Action._make((bytes(uid), *facts, state, until, why, bool(cause_gone), withheld, closed))
        out.setdefault(action.enclosure, []).append(action)
    return out


def open_actions(book: Book, day: int) -> dict[int, list[Action]]:
    """Actions to be done as of ``day``, by enclosure, oldest first; see :func:`known_actions`."""
    found = {e: [a for a in some if a.state == "open"] for e, some in known_actions(book, day).items()}
    return {e: some for e, some in found.items() if some}


def not_seen(book: Book, day: int) -> list[int]:
    """Enclosures a closed round of ``day`` was to see and no round of that day looked at."""
    with book.reading():
        missed = book.rows(
            'SELECT DISTINCT n.enclosure FROM "round" r CROSS JOIN not_seen n WHERE n.round = r.id AND r.day = ?',
            (day,),
        )
        if not missed:
            return []
        looked = {
            enclosure
            for (enclosure,) in book.rows(
                'SELECT DISTINCT v.enclosure FROM enclosure e CROSS JOIN visit v CROSS JOIN "round" r'
                ' CROSS JOIN cell c WHERE v.enclosure = e.id AND v.round >= (SELECT min(id) FROM "round" WHERE day = ?)'
                " AND r.id = v.round AND r.day = ? AND c.visit = v.id AND c.reading <> ?"
                " AND (c.number IS NOT NULL OR c.text IS NOT NULL)",
                (day, day, SKIPPED),
            )
        }
    return sorted(id for (id,) in missed if id not in looked)
