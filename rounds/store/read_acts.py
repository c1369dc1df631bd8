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

_ACT = (
    "SELECT a.id, a.uid, a.name, a.subject_table, a.subject, a.given, a.day, a.at_ms, k.name, v.uid, a.sure, a.undone_by,"
    " (SELECT u.id FROM act u WHERE u.undone_by = a.id)"
    " FROM act a LEFT JOIN keeper k ON k.id = a.keeper LEFT JOIN visit v ON v.id = a.visit "
)


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
    with book.reading():
        where, values = ["1 = 1"], []
        if since is not None:
            where.append("a.day >= ?")
            values.append(since)
        for table, row in (("enclosure", enclosure), ("animal", animal)):
            if row is not None:
                found = _concerning(book, table, row)
                if not found:
                    return []
                where.append(f"a.id IN ({', '.join(map(str, found))})")
        query = f"{_ACT} WHERE {' AND '.join(where)} ORDER BY a.id DESC" + (
            f" LIMIT {int(limit)}" if limit else ""
        )
        return _recorded(book, book.rows(query, values)[::-1])


def of_uid(book: Book, uid: bytes) -> Recorded | None:
    """The act of this uid."""
    return next(iter(_recorded(book, book.rows(_ACT + "WHERE a.uid = ?", (uid,)))), None)


def of_id(book: Book, id_: int) -> Recorded | None:
    """The act of this number, as histories show it."""
    return next(iter(_recorded(book, book.rows(_ACT + "WHERE a.id = ?", (id_,)))), None)


def newest(book: Book) -> Recorded | None:
    """The last act that was recorded and not taken back."""
    rows = book.rows(_ACT + "WHERE a.undone_by IS NULL AND a.name <> ? ORDER BY a.id DESC LIMIT 1", (UNDO,))
    return next(iter(_recorded(book, rows)), None)


def recorded(book: Book, after: int = 0) -> list[Recorded]:
    """Acts that were not taken back, of numbers above ``after``, oldest first; no undos."""
    rows = book.rows(
        _ACT + "WHERE a.id > ? AND a.undone_by IS NULL AND a.name <> ? ORDER BY a.id", (after, UNDO)
    )
    return _recorded(book, rows)


def any_of(book: Book, names: Sequence[str]) -> bool:
    """Whether an act of one of these names was ever recorded, taken back or not."""
    marks = ", ".join("?" * len(names))
    return bool(names) and book.row(f"SELECT 1 FROM act WHERE name IN ({marks}) LIMIT 1", names) is not None


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
    rows: dict[str, list[int]] = {table: [row]}
    for other in TABLES.values():
        refs = [c.name for c in other.columns if c.of == table]
        if refs:
            where = " OR ".join(f'"{name}" = ?' for name in refs)
            found = book.rows(f'SELECT id FROM "{other.table}" WHERE {where}', [row] * len(refs))
            rows.setdefault(other.table, []).extend(id_ for (id_,) in found)
    out = {
        id_
        for (id_,) in book.rows("SELECT id FROM act WHERE subject_table = ? AND subject = ?", (table, row))
    }
    for name, ids in rows.items():
        for some in _chunks(ids):
            query = f'SELECT DISTINCT act FROM act_change WHERE "table" = ? AND "row" IN ({_marks(some)})'
            out |= {id_ for (id_,) in book.rows(query, (name, *some))}
    return sorted(out)


def _recorded(book: Book, rows: Sequence[tuple[Any, ...]]) -> list[Recorded]:
    changes: dict[int, list[Change]] = {row[0]: [] for row in rows}
    for some in _chunks(list(changes)):
        for act, table, row, column, before, after in book.rows(
            f'SELECT act, "table", "row", "column", before, after FROM act_change WHERE act IN ({_marks(some)}) ORDER BY act, seq',
            some,
        ):
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


def _marks(values: Sequence[int]) -> str:
    return ", ".join("?" * len(values))
