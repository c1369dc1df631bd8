"""The invented house as the end-to-end tests walk it: its day, its walk without a terminal, a book's content."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from rounds.config import Config, read
from rounds.settings.layers import collected, layers
from rounds.store.row_verifying import verify
from rounds.walk.core import Walk
from tests.endtoend.terminal import PROGRAM, RUNNER

TODAY = date(2026, 3, 2).toordinal()
DAY = "2026-03-02"
MORNING = int(datetime(2026, 3, 2, 7, 30, tzinfo=UTC).timestamp() * 1000)
"""The round day of every test, and an instant in it for runs that are compared."""


def walk_of(book: Path, *more: str) -> list[str]:
    """The real program's command line for a round on ``book``."""
    return [*PROGRAM, "--book", str(book), "--today", DAY, "walk", *more]


def worse(book: Path, *more: str, **how: Any) -> list[str]:
    """The same through the runner: ``slow=0.1``, ``clock=...`` and so on."""
    return [*RUNNER, json.dumps(how), "--book", str(book), "--today", DAY, "walk", *more]


_READ: dict[str, Config] = {}


def config() -> Config:
    """The config that is there, read once for the same files."""
    _, fingerprint = collected(found := layers())
    if fingerprint not in _READ:
        _READ[fingerprint] = read(found)
    return _READ[fingerprint]


def opened(book: Path, config_: Config, **more: Any) -> Walk:
    """The walk of the same day without a terminal."""
    return Walk(book, config_, day=TODAY, clock=lambda: MORNING, **more)


def typed_slowly(book: Path, keys: Iterable[str], config_: Config) -> Walk:
    """Every key committed before the next is pressed; returns the closed walk."""
    walk = opened(book, config_)
    for key in keys:
        walk.press(key)
        assert walk.drain(30.0)
    assert walk.close(30.0) is None
    return walk


# A book's content, for comparing two books that were walked with the same keys

_HEX = re.compile(r"[0-9a-f]{32}")


def content(book: Path, *, instants: bool = True) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table, with the ids a walk draws replaced by the order they come in.

    Whole: a table that is added to the schema tomorrow is compared tomorrow. Instants are
    compared too, so the walks must have run by the same clock, unless ``instants`` is false. Checksums are not compared, as they
    hash the ids, but have to agree with their rows.
    """
    db = sqlite3.connect(f"{book.absolute().as_uri()}?mode=ro", uri=True)
    try:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert db.execute("PRAGMA foreign_key_check").fetchall() == []
        assert verify(db).damaged == ()
        return rows_of(db, instants=instants)
    finally:
        db.close()


def rows_of(db: sqlite3.Connection, *, instants: bool = True) -> dict[str, list[tuple[Any, ...]]]:
    """The same of an open book that is known to be sound."""
    tables = db.execute(
        "SELECT name, sql LIKE '%WITHOUT ROWID%' FROM sqlite_master"
        " WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name <> 'visit', name"
    ).fetchall()
    order: dict[str, int] = {}
    return {
        table: [
            tuple(_named(value, order) for value in row)
            for row in db.execute(
                f'SELECT {_columns(db, table, instants)} FROM "{table}"'
                + ("" if keyed else " ORDER BY rowid")
            )
        ]
        for table, keyed in tables
    }


def _columns(db: sqlite3.Connection, table: str, instants: bool) -> str:
    names = [row[1] for row in db.execute(f'PRAGMA table_info("{table}")')]
    return ", ".join(f'"{n}"' for n in names if n != "crc" and (instants or not n.endswith("_ms")))


def _named(value: Any, order: dict[str, int]) -> Any:
    if isinstance(value, bytes):
        return f"id {order.setdefault(value.hex(), len(order))}"
    if isinstance(value, str):
        return _HEX.sub(lambda found: f"id {order.setdefault(found[0], len(order))}", value)
    return value


def differences(one: dict[str, list[Any]], other: dict[str, list[Any]]) -> list[str]:
    """Rows of one book that the other has not, a line each."""
    out: list[str] = []
    for table in one:
        if one[table] != other[table]:
            mine, theirs = list(map(str, one[table])), list(map(str, other[table]))
            out += [f"{table} -{row}" for row in mine if row not in theirs][:10]
            out += [f"{table} +{row}" for row in theirs if row not in mine][:10]
            if set(mine) == set(theirs):
                out.append(f"{table}: other order or number of rows ({len(mine)}, {len(theirs)})")
    return out


def cells_today(book: Path) -> dict[tuple[str, str], Any]:
    """``(code, reading)`` to the value of this round day's visits; what was taken back is left out."""
    db = sqlite3.connect(f"{book.absolute().as_uri()}?mode=ro", uri=True)
    try:
        rows: Sequence[tuple[str, str, Any]] = db.execute(
            "SELECT e.code, k.reading, CASE k.form WHEN 1 THEN p.text WHEN 2 THEN m.text ELSE d.number END"
            ' FROM reading d JOIN visit v ON v.id = d.visit JOIN "round" r ON r.id = v.round'
            " JOIN enclosure e ON e.id = v.enclosure JOIN kind k ON k.id = d.kind"
            " LEFT JOIN phrase p ON p.id = d.number AND k.form = 1"
            " LEFT JOIN remark m ON m.id = d.number AND k.form = 2 WHERE r.day = ?",
            (TODAY,),
        ).fetchall()
    finally:
        db.close()
    return {(code, kind): value for code, kind, value in rows if value is not None}
