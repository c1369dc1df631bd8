"""Acts as they were recorded: one, the newest, those after one, or the history of a box or an animal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from rounds.acts.act import Recorded
from rounds.records.ledger import Add, Change, Ledger, Set
from rounds.records.naming import name_of
from rounds.records.tables import TABLES, Animal
from rounds.store.book import Book
from rounds.store.cell_codec import unpack
from rounds.values.spans import Span

UNDO = "undo"
"""The name of an act that takes another one back."""

CHUNK = 500  # values in one IN (…), well under every build's limit


def acts(
    book: Book,
    *,
    enclosure: int | None = None,
    animal: int | None = None,
    since: int | None = None,
    limit: int | None = None,
) -> list[Recorded]:
    """Acts in the order they were recorded, undone ones and undos too.

    ``enclosure`` or ``animal`` (row ids): only those done to it, or that changed or added
    something of it. ``since``: only those of this round day or later. ``limit``: only the
    newest so many.
    """
    from rounds.store import act_selects as selects

    with book.reading():
        query = selects.acts()
        if since is not None:
            query = query.where(selects.A.day >= since)
        for table, row in (("enclosure", enclosure), ("animal", animal)):
            if row is not None:
                found = _concerning(book, table, row)
                if not found:
                    return []
                query = selects.among(query, found)
        return _recorded(book, book.ask(query.order_by(selects.A.id.desc()).limit(limit or None))[::-1])


def of_uid(book: Book, uid: bytes) -> Recorded | None:
    """The act of this uid."""
    from rounds.store import act_selects as selects

    return _one(book, selects.acts().where(uid == selects.A.uid))


def of_id(book: Book, id_: int) -> Recorded | None:
    """The act of this number, as histories show it."""
    from rounds.store import act_selects as selects

    return _one(book, selects.acts().where(selects.A.id == id_))


def newest(book: Book) -> Recorded | None:
    """The last act that was recorded and not taken back."""
    from rounds.store import act_selects as selects

    return _one(book, selects.standing(UNDO).order_by(selects.A.id.desc()).limit(1))


def _one(book: Book, query: Any) -> Recorded | None:
    return next(iter(_recorded(book, book.ask(query))), None)


def recorded(book: Book, after: int = 0) -> list[Recorded]:
    """Acts that were not taken back, of numbers above ``after``, oldest first; no undos."""
    from rounds.store import act_selects as selects

    return _recorded(
        book, book.ask(selects.standing(UNDO).where(selects.A.id > after).order_by(selects.A.id))
    )


def every_after(book: Book, after: int) -> list[Recorded]:
    """All acts of numbers above ``after``, oldest first: also those taken back since, and the undos."""
    from rounds.store import act_selects as selects

    with book.reading():
        return _recorded(book, book.ask(selects.acts().where(selects.A.id > after).order_by(selects.A.id)))


def any_of(book: Book, names: Sequence[str]) -> bool:
    """Whether an act of one of these names was ever recorded, taken back or not."""
    from rounds.store import act_selects as selects

    return bool(names) and bool(book.ask(selects.named(names)))


def described(act: Recorded, ledger: Ledger | None = None) -> str:
    """``17 dead UMBER/3``: its number, its name and, given the books, whom it was done to."""
    who = subject(ledger, act.table, act.subject) if ledger is not None else ""
    return f"`{' '.join(filter(None, (str(act.id), act.name, who)))}`"


def subject(ledger: Ledger, table: str, row: int | None) -> str:
    """What a keeper calls a row: LINE/NUMBER, a code, a name; empty for none."""
    if not table or row is None:
        return ""
    record = ledger.row(TABLES[table], row)
    if isinstance(record, Animal):
        return name_of(ledger, record)
    return str(record.value(record.column(record.key[0]))) if record.key else str(row)


def _concerning(book: Book, table: str, row: int) -> list[int]:
    """Acts whose subject is the row, that changed it, or that changed or added a row that refers to it."""
    from rounds.store import act_selects as selects

    rows: dict[str, list[int]] = {table: [row]}
    for other in TABLES.values():
        refs = [c.name for c in other.columns if c.of == table]
        if refs:
            found = book.ask(selects.referring(other.table, refs, row))
            rows.setdefault(other.table, []).extend(id_ for (id_,) in found)
    out = {id_ for (id_,) in book.ask(selects.done_to(table, row))}
    for name, ids in rows.items():
        for some in _chunks(ids):
            out |= {id_ for (id_,) in book.ask(selects.changing(name, some))}
    return sorted(out)


def _recorded(book: Book, rows: Sequence[tuple[Any, ...]]) -> list[Recorded]:
    from rounds.store import act_selects as selects

    changes: dict[int, list[Change]] = {row[0]: [] for row in rows}
    for some in _chunks(list(changes)):
        for act, table, row, column, before, after in book.ask(selects.changes_of(some)):
            changes[act].append(_change(table, row, column, unpack(before), unpack(after)))
    return [
        Recorded(
            bytes(uid),
            name,
            tuple(changes[id_]),
            id_,
            table,
            subject,
            unpack(given),
            day,
            at_ms,
            keeper or "",
            bytes(visit or b""),
            bool(sure),
            undone_by is not None,
            undoes or 0,
        )
        for id_, uid, name, table, subject, given, day, at_ms, keeper, visit, sure, undone_by, undoes in rows
    ]


def _change(table: str, row: int, column: str | None, before: Any, after: Any) -> Change:
    if column is not None:
        return Set(table, row, column, _value(table, column, before), _value(table, column, after))
    # A column that the registry got later has its default in rows from before it.
    full = {c.name: c.default for c in TABLES[table].columns} | {"void": False}
    return Add(table, row, full | {name: _value(table, name, value) for name, value in after.items()})


def _value(table: str, column: str, value: Any) -> Any:
    is_span = isinstance(value, list) and column != "void" and TABLES[table].column(column).type == "span"
    return Span(*value) if is_span else value


def _chunks(ids: Sequence[int]) -> Iterable[Sequence[int]]:
    return (ids[start : start + CHUNK] for start in range(0, len(ids), CHUNK))
