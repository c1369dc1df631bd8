"""The books as a ledger: reading all of them at once, recording an act, taking one back.

Everything runs on the registry of :mod:`rounds.records.ledger`. Saving and taking back run
inside the caller's transaction (:meth:`Book.writing`); plan the act inside it too, against
what :func:`load` gives there, or another keeper's act may have come in between.
"""

from __future__ import annotations

import gc
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from rounds.acts.act import BadAct, PlannedAct, Recorded
from rounds.acts.fields import FieldError
from rounds.acts.registry import depending, take_back
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Add, Change, Ledger
from rounds.records.record import Record
from rounds.records.tables import TABLES
from rounds.store.book import Book
from rounds.store.cell_codec import Unsavable, pack, storable
from rounds.store.keepers import keeper_id
from rounds.store.read_acts import UNDO, described, newest, of_uid, subject
from rounds.store.read_acts import recorded as recorded
from rounds.store.row_checksums import seal, sealed
from rounds.values.spans import Span

ENDS = ("earliest", "latest", "words")
"""The three columns of a span are its name with each of these."""


class _Shape(NamedTuple):
    """How the rows of a table come: ``query`` gives plain columns, spans' ends, then the id."""

    query: str
    plain: tuple[str, ...]
    ticks: tuple[str, ...]
    spans: tuple[tuple[str, int], ...]  # with the place of their first end


@lru_cache
def _shape(table: str) -> _Shape:
    columns = TABLES[table].columns
    plain = ("void", *(c.name for c in columns if c.type != "span"))
    spans = [c.name for c in columns if c.type == "span"]
    ends = [f"{name}_{end}" for name in spans for end in ENDS]
    names = ", ".join(f'"{name}"' for name in (*plain, *ends))
    return _Shape(
        f'SELECT {names}, id FROM "{table}" ORDER BY id',
        plain,
        ("void", *(c.name for c in columns if c.type == "yesno")),
        tuple((name, len(plain) + 3 * i) for i, name in enumerate(spans)),
    )


def load(book: Book) -> Ledger:
    """Everything that acts write, void rows too, as of one moment."""
    # So many new rows make the collector look through all of them again and again, for nothing.
    collecting = gc.isenabled()
    gc.disable()
    try:
        with book.reading():
            return Ledger({table: _rows(book, table) for table in TABLES})
    finally:
        if collecting:
            gc.enable()


def _rows(book: Book, table: str) -> dict[int, Record]:
    query, plain, ticks, spans = _shape(table)
    record, rows = TABLES[table], dict[int, Record]()
    for found in book.run(query):
        row: dict[str, Any] = dict(zip(plain, found))  # noqa: B905  # the rest are ends of spans
        for name in ticks:
            row[name] = row[name] == 1
        for name, at in spans:
            earliest = found[at]
            row[name] = None if earliest is None else Span(earliest, found[at + 1], found[at + 2] or "")
        rows[found[-1]] = record.from_values(found[-1], row)
    return rows


def save(
    book: Book,
    plan: PlannedAct,
    uid: bytes,
    given: Mapping[str, str],
    day: int,
    at_ms: int,
    keeper: str = "",
    visit: bytes = b"",
    *,
    sure: bool = False,
) -> bool:
    """Record a planned act: itself, each of its changes, and the books as they are after it.

    ``uid`` (16 bytes) is the act's own; False, and nothing is done, if it is recorded already.
    ``given`` is what was typed. ``visit`` is the uid of a visit it was recorded at. Raises
    Unsavable when the books are not what the plan started from or a text cannot be kept, and
    peewee's errors.
    """
    if of_uid(book, uid) is not None:
        return False
    on, row = (plan.act.on, plan.subject) if plan.act.on else ("", None)
    _write(book, Recorded(uid, plan.act.id, plan.changes, 0, on, row, given, day, at_ms, keeper, visit, sure))
    return True


def undo(
    book: Book, act: bytes | None, uid: bytes, day: int, at_ms: int, keeper: str = "", visit: bytes = b""
) -> Recorded:
    """Take an act back (None: the newest that can be) by an act of its own, called ``undo``.

    Nothing is deleted: what was set is set back, what was added is void. Returns the act that
    was taken back; taking it back again under the same ``uid`` does nothing. Raises BadAct:
    there is none, it was taken back before, it is itself an undo, it brought an enclosure
    into use that was visited since, or others rest on it, which are then named.
    """
    again = of_uid(book, uid)
    if again is not None:
        undone = of_uid(book, bytes.fromhex(again.given["act"]))
        assert undone is not None  # its undo is in the book
        return undone
    done = newest(book) if act is None else of_uid(book, act)
    if done is None:
        raise _refusal("there is nothing to take back.", "")
    if done.name == UNDO:
        raise _refusal(f"{described(done)} took an act back itself.", "Record that act again instead.")
    if done.undone:
        raise _refusal(f"{described(done)} was taken back before.", "")
    ledger, later = load(book), recorded(book, done.id)
    resting = depending(done, later)
    if resting:
        what = described(done, ledger)
        raise BadAct(UNDO, [_resting(described(r, ledger), what) for r in reversed(resting)])
    visited = [row for row in _added(done, "enclosure") if _has_visits(book, row)]
    if visited:
        who = ", ".join(subject(ledger, "enclosure", row) for row in visited)
        raise _refusal(
            f"{described(done)} stays: {who} was visited since.", "Record that it is empty instead."
        )
    mine = Recorded(
        uid,
        UNDO,
        take_back(done, later, ledger),
        0,
        done.table,
        done.subject,
        {"act": done.uid.hex()},
        day,
        at_ms,
        keeper,
        visit,
    )
    from rounds.store import act_selects as selects

    by = _write(book, mine)
    with sealed(book.db, "act", "id = ?", (done.id,)):
        book.do(selects.undone(done.id, by=by))
    return done


def _added(act: Recorded, table: str) -> set[int]:
    """Rows that an act brought into use."""
    return {
        c.id
        for c in act.changes
        if c.table == table and (isinstance(c, Add) or (c.column == "void" and c.after is False))
    }


def _has_visits(book: Book, enclosure: int) -> bool:
    """Readings are no acts, and must not end up at an enclosure that counts no more."""
    from rounds.store import act_selects as selects

    return bool(book.ask(selects.a_visit_to(enclosure)))


def _resting(later: str, done: str) -> FieldError:
    return FieldError("act", f"{later} rests on {done}.", "Undo it first, the newest before the others.")


def _refusal(message: str, hint: str) -> BadAct:
    return BadAct(UNDO, [FieldError("act", message, hint)])


def _write(book: Book, act: Recorded) -> int:
    """The act's own row, its changes, and what they change. Returns the row's id."""
    from rounds.store import act_selects as selects

    at_visit = book.ask(selects.visit_id(act.visit)) if act.visit else []
    if act.visit and not at_visit:
        raise Unsavable(f"it belongs to a visit ({act.visit.hex()}) that is not in the book")
    book.do(
        selects.new_act(
            {
                "uid": act.uid,
                "name": act.name,
                "subject_table": act.table,
                "subject": act.subject,
                "given": pack(dict(act.given)),
                "day": act.day,
                "at_ms": act.at_ms,
                "keeper": keeper_id(book, act.keeper),
                "visit": at_visit[0][0] if at_visit else None,
                "sure": act.sure,
            }
        )
    )
    ((id_,),) = book.ask(selects.id_of(act.uid))
    seal(book.db, "act", "id = ?", (id_,))
    for seq, change in enumerate(act.changes, 1):
        make(book, change)
        cell: tuple[str | None, object, object]
        if isinstance(change, Add):
            cell = (None, None, change.values)
        else:
            cell = (change.column, change.before, change.after)
        row = (id_, seq, change.table, change.id, cell[0], pack(cell[1]), pack(cell[2]))
        book.do(selects.new_changes([row]))
        seal(book.db, "act_change", "act = ? AND seq = ?", (id_, seq))
    return int(id_)


def make(book: Book, change: Change) -> None:
    """Make one change in the books, without an act; ``before`` must be what stands there.

    Raises Unsavable when it is not, or for a text that no file can give back; peewee's errors.
    """
    with sealed(book.db, change.table, "id = ?", (change.id,)):
        _make(book, change)


def _make(book: Book, change: Change) -> None:
    from rounds.store import act_selects as selects

    if isinstance(change, Add):
        cells = [cell for name, value in change.values.items() for cell in _cells(change.table, name, value)]
        book.do(selects.new_row(change.table, change.id, cells))
        return
    to = _cells(change.table, change.column, change.after)
    was = _cells(change.table, change.column, change.before)
    if book.do(selects.set_cells(change.table, change.id, to, was)) != 1:
        raise Unsavable(f"{change.column} of {change.table} {change.id} is not what the act started from")


def _cells(table: str, column: str, value: Any) -> list[tuple[str, Any]]:
    """A value as columns of the database."""
    if column != "void" and TABLES[table].column(column).type == "span":
        return list(zip((f"{column}_{end}" for end in ENDS), value or (None, None, None), strict=True))
    return [(column, storable(value) if isinstance(value, str) else value)]
