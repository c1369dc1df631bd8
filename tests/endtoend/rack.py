"""The invented house as the end-to-end tests walk it: its day, its walk without a terminal, a book's content."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from rounds.config import Config, layers, read
from rounds.walk import Walk
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


def config() -> Config:
    return read(layers())


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

_OWN = ("place", "line", "animal", "enclosure", "content", "lock", "due", "house", "keeper")
_READ = {
    "round": "SELECT k.name, r.day, r.name, r.zone, r.bays, r.closed_ms IS NULL, r.fingerprint, r.source, e.code"
             ' FROM "round" r JOIN keeper k ON k.id = r.keeper LEFT JOIN enclosure e ON e.id = r.at_enclosure ORDER BY r.id',
    "visit": "SELECT r.day, r.name, e.code, v.seq, v.place FROM visit v JOIN enclosure e ON e.id = v.enclosure"
             ' JOIN "round" r ON r.id = v.round ORDER BY v.id',
    "reading": "SELECT v.id, k.reading, k.depth, k.form, CASE k.form WHEN 1 THEN p.text WHEN 2 THEN m.text ELSE d.number END"
               " FROM reading d JOIN visit v ON v.id = d.visit JOIN kind k ON k.id = d.kind"
               " LEFT JOIN phrase p ON p.id = d.number AND k.form = 1"
               " LEFT JOIN remark m ON m.id = d.number AND k.form = 2 ORDER BY 1, 2, 3, 4",
    "change": "SELECT c.visit, k.reading, k.depth, c.old, c.new, w.name, c.why FROM change c"
              " JOIN kind k ON k.id = c.kind LEFT JOIN keeper w ON w.id = c.keeper ORDER BY c.id",
    "flag": "SELECT visit, rule, day, level, reason, todo, withheld, stands, fingerprint FROM flag ORDER BY visit, rule",
    "action": "SELECT id, enclosure, rule, level, reason, todo, opened, opened_visit, state, until, why, cause_gone,"
              " withheld, closed FROM action ORDER BY id",
    "action_change": "SELECT c.action, c.visit, w.name, c.state FROM action_change c"
                     " LEFT JOIN keeper w ON w.id = c.keeper ORDER BY c.id",
    "step": "SELECT r.day, r.name, s.seq, s.subject, s.kind, s.depth, s.before, s.undone FROM step s"
            ' JOIN "round" r ON r.id = s.round ORDER BY r.id, s.seq, s.kind, s.before',
    "not_seen": 'SELECT r.day, r.name, n.enclosure FROM not_seen n JOIN "round" r ON r.id = n.round ORDER BY 1, 2, 3',
}  # fmt: skip
_RESOLVED = ("kind", "phrase", "remark")  # dictionaries, seen through the cells that use them
_OF_THE_FILE = ("meta", "schema_step")


def content(book: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Every table without ids and times; visits and actions are named by their order.

    Raises AssertionError for a table this does not know: a new one must not go uncompared.
    """
    db = sqlite3.connect(f"{book.absolute().as_uri()}?mode=ro", uri=True)
    try:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert db.execute("PRAGMA foreign_key_check").fetchall() == []
        tables = {n for (n,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")}
        assert tables == {*_OWN, *_READ, *_RESOLVED, *_OF_THE_FILE}, tables
        found = {t: db.execute(f'SELECT * FROM "{t}" ORDER BY rowid').fetchall() for t in _OWN}
        found |= {t: db.execute(sql).fetchall() for t, sql in _READ.items()}
        order = {uid: ("visit", i) for i, uid in db.execute("SELECT id, uid FROM visit")}
        order |= {uid: ("action", i) for i, uid in db.execute("SELECT id, uid FROM action")}
    finally:
        db.close()
    found["step"] = [(*row[:3], order[row[3]], *row[4:]) for row in found["step"]]
    found["action_change"] = [(*row[:3], _without_uid(row[3])) for row in found["action_change"]]
    return found


def _without_uid(state: str) -> str:
    return json.dumps({k: v for k, v in json.loads(state).items() if k != "uid"})


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
