"""Looking a book over: the file, its rows, and what has to be right around it.

Nothing is written, and nothing is asked of the book that a damaged one could not answer: each
check ends in a finding of its own, whatever SQLite says.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Literal

from rounds.named_tuple import NamedTuple
from rounds.problems import BookError
from rounds.records.invariants import faults
from rounds.store import checkup_sentences as say
from rounds.store import damage, database_errors, log_stamps
from rounds.store.book import APPLICATION, open_book
from rounds.store.cell_codec import PHRASE, REMARK
from rounds.store.connection import refuse_network, refuse_unwritable, refuse_what_is_no_book, where_it_lies
from rounds.store.ledger_store import load
from rounds.store.migration_steps import SCHEMA
from rounds.store.row_verifying import verify

State = Literal["good", "note", "wrong"]
FAULTS = 100
"""Faults that SQLite is asked for at the most."""


class Finding(NamedTuple):
    """What one check found; ``to_do`` is empty where it is good. A note is worth knowing and nothing is wrong."""

    check: str
    state: State
    found: str
    to_do: str = ""


def good(check: str, found: str) -> Finding:
    return Finding(check, "good", found)


def wrong(check: str, found: str, to_do: str) -> Finding:
    return Finding(check, "wrong", found, to_do)


def of_the_book(path: Path) -> Iterator[Finding]:
    """The file, its log, and everything in it. What cannot be opened gets one finding, and no others."""
    path = where_it_lies(path)
    try:
        refuse_what_is_no_book(path)
        refuse_network(path)
        refuse_unwritable(path)
    except BookError as error:
        yield wrong("the file", _without(path, str(error)), say.GO_BACK if path.exists() else "")
        return
    yield good("the file", say.IN_PLACE)
    try:
        own_log = log_stamps.belongs(path)
        with closing(damage.opened(path)) as db:
            (application,) = db.execute("PRAGMA application_id").fetchone()
            if application != APPLICATION:
                raise sqlite3.DatabaseError("this is a SQLite file of another program, not a book")
            yield _log(own_log=own_log)
            yield _finding("damage", path, lambda: _whole(db))
            yield _finding("checksums", path, lambda: _checksums(db))
            yield _finding("references", path, lambda: _references(db))
            older = _older(db)
    except (*database_errors.FROM_SQLITE, OSError) as error:
        yield wrong("damage", _without(path, database_errors.sentence(error, path)), say.SALVAGE)
        return
    yield older or _books(path)


def _without(path: Path, sentence: str) -> str:
    """What is said of the book, without its name: a checkup is about no other."""
    return sentence.removeprefix(f"{path}: ").rstrip(".")


def _finding(check: str, path: Path, look: Callable[[], Finding]) -> Finding:
    try:
        return look()
    except database_errors.FROM_SQLITE as error:
        return wrong(check, _without(path, database_errors.sentence(error, path)), say.SALVAGE)


def _log(*, own_log: bool) -> Finding:
    return good("the log", say.NO_LOG) if own_log else wrong("the log", say.FOREIGN_LOG, say.LOG_ASIDE)


def _whole(db: sqlite3.Connection) -> Finding:
    said = [str(row[0]) for row in db.execute(f"PRAGMA integrity_check({FAULTS})")]
    if said == ["ok"]:
        return good("damage", say.WHOLE)
    return wrong("damage", say.damaged(" ".join(said[0].split()), len(said) - 1), say.SALVAGE)


def _checksums(db: sqlite3.Connection) -> Finding:
    found = verify(db)
    if found.damaged:
        return wrong("checksums", damage.named_rows(found.damaged), say.SALVAGE)
    if found.unvouched:
        return Finding("checksums", "note", say.unvouched(found.unvouched, found.rows))
    return good("checksums", say.agreeing(found.rows))


def _references(db: sqlite3.Connection) -> Finding:
    lost: dict[tuple[str, str], int] = {}
    for table, _, to, _ in db.execute("PRAGMA foreign_key_check"):
        lost[table, to] = lost.get((table, to), 0) + 1
    for form, to in ((PHRASE, "phrase"), (REMARK, "remark")):
        (n,) = db.execute(
            "SELECT count(*) FROM reading WHERE number IS NOT NULL AND kind IN (SELECT id FROM kind WHERE form = ?)"
            f' AND number NOT IN (SELECT id FROM "{to}")',
            (form,),
        ).fetchone()
        if n:
            lost["reading", to] = n
    if not lost:
        return good("references", say.REFERENCES)
    said = "; ".join(say.no_row(table, to, rows) for (table, to), rows in lost.items())
    return wrong("references", said, say.SALVAGE)


def _older(db: sqlite3.Connection) -> Finding | None:
    (schema,) = db.execute("SELECT schema FROM meta").fetchone() or (0,)
    if isinstance(schema, int) and 0 < schema < SCHEMA:
        return Finding("the books", "note", say.older_schema(schema), say.OPEN_ONCE)
    return None


def _books(path: Path) -> Finding:
    """What must be true of any books (:mod:`rounds.records.invariants`)."""
    try:
        with open_book(path, readonly=True) as book:
            found = faults(load(book))
    except BookError as error:
        return wrong("the books", _without(path, str(error)), say.GO_BACK)
    except Exception as error:  # a damaged row can be anything but what its reader expects
        return wrong("the books", f"they cannot be read ({type(error).__name__})", say.SALVAGE)
    if not found:
        return good("the books", say.BOOKS)
    return wrong("the books", say.faults(found[0], len(found) - 1), say.LOOK_AT_BOOKS)
