"""For tests: a book whose reads fail from some moment on, as those of a damaged one do."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Sequence
from typing import Any

import pytest

from rounds.store.orm import pw

WRITERS_THREAD = "rounds-writer"


class Damage:
    """Once ``there``, every SELECT ends as SQLite ends it at a page that is out of order; those of the writer go on.

    ``only_in`` is the name of the one thread whose reads fail, "" for all.
    """

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.there, self.only_in = False, ""
        execute = pw.SqliteDatabase.execute_sql

        def read(db: pw.SqliteDatabase, sql: str, values: Sequence[Any] = (), *more: Any) -> Any:
            told = self.there and sql.lstrip().startswith(("SELECT", "WITH"))
            here = threading.current_thread().name
            if told and (here == self.only_in if self.only_in else here != WRITERS_THREAD):
                raise malformed()
            return execute(db, sql, values, *more)

        monkeypatch.setattr(pw.SqliteDatabase, "execute_sql", read)


def malformed() -> pw.DatabaseError:
    """What peewee makes of SQLITE_CORRUPT."""
    inner = sqlite3.DatabaseError("database disk image is malformed")
    inner.sqlite_errorname = "SQLITE_CORRUPT"  # type: ignore[attr-defined]
    return pw.DatabaseError(inner, *inner.args)
