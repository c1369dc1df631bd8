"""peewee, imported without the database drivers it would otherwise pull in.

Importing peewee imports every PostgreSQL and MySQL driver that is installed, which can
cost more than the rest of a start together. A book is SQLite, so they are marked as
absent before peewee looks for them. Everything in this package that needs peewee
takes ``pw`` from here, so that the order cannot go wrong.
"""

from __future__ import annotations

import sys

for _driver in ("psycopg", "psycopg2", "psycopg2cffi", "pymysql", "MySQLdb"):
    sys.modules.setdefault(_driver, None)  # type: ignore[arg-type]  # None: "not installed" to `import`

import peewee as pw  # noqa: E402

__all__ = ["pw"]
