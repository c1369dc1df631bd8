"""What was committed to a book since it was last looked at, by whichever hand.

A walk looks once a second. ``PRAGMA data_version`` of its own connection tells at next to no
cost whether there is anything: it changes with every commit of another connection (that of the
walk's own writer among them), and nothing is asked further while it stays. What is new is then
found by the numbers of rows, of which every key and every act leaves one.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any, TypeVar

from rounds.named_tuple import NamedTuple
from rounds.records.observations import Action, Visit
from rounds.store import database_errors
from rounds.store.apply_entries import OTHER_START
from rounds.store.book import Book
from rounds.store.cell_codec import unpack
from rounds.store.orm import pw
from rounds.store.read_rounds import NewestRows, newest_rows
from rounds.store.read_visits import CHUNK, visits_by_id

T = TypeVar("T")
_log = logging.getLogger(__name__)


class CommittedVisit(NamedTuple):
    """A visit as it is now: the uid of its round, the code of its enclosure, and all that was read."""

    round: bytes
    code: str
    visit: Visit


class CommittedAction(NamedTuple):
    """An action as it was last set, at the enclosure of this code, by whom and when."""

    action: Action
    code: str
    keeper: str
    at_ms: int


class CommittedAct(NamedTuple):
    """An act without what it changed: its uid, name, what was typed, keeper and instant.

    ``subject`` is what a keeper calls whom it was done to.
    """

    uid: bytes
    name: str
    subject: str
    given: tuple[str, ...]
    keeper: str
    at_ms: int


class Standing(NamedTuple):
    """Where a round of the day stands: its uid, its keeper, and the enclosure (None: past the last)."""

    round: bytes
    keeper: str
    enclosure: int | None


class Committed(NamedTuple):
    """What came after some rows, up to ``newest``.

    ``standing`` are all open rounds of the day, ``other_start``: another start of the program
    made steps in the walk's own round; ``undone`` are the walk's own steps that are taken back,
    by the numbers it gave them.
    """

    newest: NewestRows
    visits: tuple[CommittedVisit, ...]
    actions: tuple[CommittedAction, ...]
    acts: tuple[CommittedAct, ...]
    standing: tuple[Standing, ...]
    other_start: bool
    undone: frozenset[int]


def version(book: Book) -> int | None:
    """A number that changes with every commit of another connection; None while the book cannot be asked."""
    row = _asked(book, lambda: book.row("PRAGMA data_version"))
    return None if row is None else int(row[0])


def since(
    book: Book,
    after: NewestRows,
    day: int,
    round_: bytes,
    walk: bytes,
    again: frozenset[int] = frozenset(),
    *,
    shared: bool = False,
) -> Committed | None:
    """What came after these rows, for the walk ``walk`` of the round ``round_`` on ``day``; None when it cannot be read.

    ``again`` are row ids of visits that are read once more: not every sign of a note leaves a row.
    ``shared``: another start of the program was seen in the round before.
    """

    def read() -> Committed:
        with book.reading():
            return _since(book, after, day, round_, walk, again, shared=shared)

    return _asked(book, read)


def visit(book: Book, id_: int) -> Visit | None:
    """A visit as it is now, by its row id; None when it cannot be read."""
    return _asked(book, lambda: next(iter(visits_by_id(book, [id_])), None))


def _asked(book: Book, ask: Callable[[], T]) -> T | None:
    """What the book answers; None while it cannot be asked: the writer says so too, where something waits to be saved.

    A damaged book is no passing trouble: that is raised.
    """
    try:
        return ask()
    except pw.DatabaseError as error:
        if database_errors.is_damage(error):
            raise
        _log.warning("the book cannot be looked at: %s", database_errors.sentence(error, book.path))
        return None


def _since(
    book: Book,
    after: NewestRows,
    day: int,
    round_: bytes,
    walk: bytes,
    again: frozenset[int],
    *,
    shared: bool,
) -> Committed:
    newest = newest_rows(book)
    if newest.step < after.step:  # those of a closed round are gone, and their numbers given again
        after = after._replace(step=0)
    own = book.row('SELECT id FROM "round" WHERE uid = ?', (round_,))
    foreign = own is not None and any(
        bytes(found or b"") != walk
        for (found,) in book.rows(
            "SELECT DISTINCT walk FROM step WHERE id > ? AND +round = ?", (after.step, own[0])
        )
    )
    undone = (
        ()
        if own is None or not (foreign or shared)
        else book.rows("SELECT seq FROM step WHERE round = ? AND undone AND walk = ?", (own[0], walk))
    )
    return Committed(
        newest,
        tuple(_visits(book, after, again)),
        tuple(_actions(book, after)),
        tuple(_acts(book, after)),
        tuple(
            Standing(bytes(uid), keeper, at)
            for uid, keeper, at in book.rows(
                'SELECT r.uid, k.name, r.at_enclosure FROM "round" r JOIN keeper k ON k.id = r.keeper'
                " WHERE r.day = ? AND r.closed_ms IS NULL AND r.source = 'walked'"
                " AND EXISTS (SELECT 1 FROM step s WHERE s.round = r.id AND s.walk IS NOT NULL)",  # else it was left
                (day,),
            )
        ),
        foreign,
        frozenset(seq % OTHER_START for (seq,) in undone),
    )


def _visits(book: Book, after: NewestRows, again: frozenset[int]) -> list[CommittedVisit]:
    ids = {
        id_
        for (id_,) in book.rows(
            "SELECT id FROM visit WHERE id > ? UNION SELECT visit FROM change WHERE id > ?"
            " UNION SELECT v.id FROM step s JOIN visit v ON v.uid = s.subject WHERE s.id > ?",
            (after.visit, after.change, after.step),
        )
    }
    visits = visits_by_id(book, sorted(ids | again))
    found: dict[int, tuple[bytes, str]] = {}
    for start in range(0, len(visits), CHUNK):
        some = [v.id for v in visits[start : start + CHUNK]]
        marks = ", ".join("?" * len(some))
        for id_, uid, code in book.rows(
            'SELECT v.id, r.uid, e.code FROM visit v JOIN "round" r ON r.id = v.round'
            f" JOIN enclosure e ON e.id = v.enclosure WHERE v.id IN ({marks})",
            some,
        ):
            found[id_] = (bytes(uid), code)
    return [CommittedVisit(*found[v.id], v) for v in visits]


def _actions(book: Book, after: NewestRows) -> list[CommittedAction]:
    """Each action once, as it is now."""
    last: dict[bytes, CommittedAction] = {}
    for code, keeper, at_ms, uid, *facts, state, until, why, cause_gone, withheld, closed in book.rows(
        "SELECT e.code, k.name, c.at_ms, a.uid, a.enclosure, a.rule, a.level, a.reason, a.todo, a.opened, a.state,"
        " a.until, a.why, a.cause_gone, a.withheld, a.closed FROM action_change c JOIN action a ON a.id = c.action"
        " JOIN enclosure e ON e.id = a.enclosure LEFT JOIN keeper k ON k.id = c.keeper WHERE c.id > ? ORDER BY c.id",
        (after.action_change,),
    ):
        action = Action._make((bytes(uid), *facts, state, until, why, bool(cause_gone), withheld, closed))
        last[action.uid] = CommittedAction(action, code, keeper or "", at_ms)
    return list(last.values())


def _acts(book: Book, after: NewestRows) -> list[CommittedAct]:
    rows: list[tuple[Any, ...]] = book.rows(
        "SELECT a.uid, a.name, coalesce(e.code, l.name || '/' || n.number, ''), a.given, k.name, a.at_ms FROM act a"
        " LEFT JOIN keeper k ON k.id = a.keeper"
        " LEFT JOIN enclosure e ON a.subject_table = 'enclosure' AND e.id = a.subject"
        " LEFT JOIN animal n ON a.subject_table = 'animal' AND n.id = a.subject"
        " LEFT JOIN line l ON l.id = n.line WHERE a.id > ? ORDER BY a.id",
        (after.act,),
    )
    return [
        CommittedAct(bytes(uid), name, subject, tuple(map(str, unpack(given).values())), keeper or "", at)
        for uid, name, subject, given, keeper, at in rows
    ]
