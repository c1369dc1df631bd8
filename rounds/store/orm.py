"""peewee, imported without the database drivers it would otherwise pull in.

Importing peewee imports every PostgreSQL and MySQL driver that is installed, which can
cost more than the rest of a start together. A book is SQLite, so they are marked as
absent before peewee looks for them. Everything in this package that needs peewee
takes ``pw`` from here, so that the order cannot go wrong.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Any

for _driver in ("psycopg", "psycopg2", "psycopg2cffi", "pymysql", "MySQLdb"):
    sys.modules.setdefault(_driver, None)  # type: ignore[arg-type]  # None: "not installed" to `import`

import peewee as pw  # noqa: E402

__all__ = ["ask", "one_of", "pw", "run", "sql_of"]


def run(db: pw.Database, sql: str, values: Sequence[Any] = ()) -> Any:
    """Run one statement, written with ``?`` for each value; returns the cursor.

    Raises what peewee makes of the driver's errors (``pw.OperationalError`` and so on).
    """
    if db.param != "?":
        sql = sql.replace("?", db.param)
    return db.execute_sql(sql, values)  # type: ignore[no-untyped-call]


def sql_of(db: pw.Database, query: Any) -> tuple[str, Sequence[Any]]:
    """The text and the values of a query made with peewee's builder, for this kind of database."""
    made: tuple[str, Sequence[Any]] = db.get_sql_context().sql(query).query()  # type: ignore[no-untyped-call]
    return made


def ask(db: pw.Database, query: Any) -> Any:
    """Run a query made with the builder on this very database; returns the cursor with plain rows.

    Models are bound to no database, because a process has several connections. Raises what
    :func:`run` raises.
    """
    text, values = sql_of(db, query)
    if db.param != "?":
        text = text.replace("?", db.param)  # those of :func:`one_of`
    return db.execute_sql(text, values)  # type: ignore[no-untyped-call]


def one_of(values: Sequence[Any]) -> pw.SQL:
    """For ``column.in_(…)`` with many values: the builder takes its time over each one it is given itself."""
    return pw.SQL(f"({', '.join('?' * len(values))})", list(values))
