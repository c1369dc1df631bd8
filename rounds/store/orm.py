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

__all__ = ["pw", "run"]


def run(db: pw.Database, sql: str, values: Sequence[Any] = ()) -> Any:
    """Run one statement, written with ``?`` for each value; returns the cursor.

    Raises what peewee makes of the driver's errors (``pw.OperationalError`` and so on).
    """
    if db.param != "?":
        sql = sql.replace("?", db.param)
    return db.execute_sql(sql, values)  # type: ignore[no-untyped-call]
