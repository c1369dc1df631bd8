"""SQL as text stands only where its reason is written down."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from rounds.store import sql_text
from tests.store import sql_strings

LISTS = (sql_text.STARTS, sql_text.WALKS, sql_text.EVERY_SECOND, sql_text.COMES_BY_THE_MILLION)
PORTABLE = {where: n for some in LISTS for where, n in some.items()}


def listed() -> dict[str, int]:
    return PORTABLE | {where: n for where, (n, _) in sql_text.ONLY_SQLITE.items()}


def test_every_statement_is_listed_with_its_reason() -> None:
    assert Counter(found.where for found in sql_strings.every()) == listed()


def test_no_function_is_listed_twice() -> None:
    assert sum(map(len, (*LISTS, sql_text.ONLY_SQLITE))) == len(listed())


def test_what_is_called_portable_has_nothing_of_sqlite_alone() -> None:
    """PostgreSQL knows no PRAGMA, and its tables are not in ``sqlite_master``."""
    own = ("PRAGMA", "sqlite_", "SAVEPOINT", "BEGIN IMMEDIATE", "rowid")
    found = [s for s in sql_strings.every() if s.where in PORTABLE and any(word in s.text for word in own)]
    assert found == []


@pytest.mark.parametrize(
    "source",
    [
        'def f(db):\n    run(db, "DELETE FROM visit")',
        'class A:\n    def f(self):\n        self.run(f"SELECT {x} FROM visit")',
        'QUERY = ("SELECT 1"\n    " FROM visit")',
    ],
)
def test_control_a_new_statement_is_found(source: str) -> None:
    assert len(list(sql_strings.in_module("new", source))) == 1


def test_control_a_docstring_is_no_statement() -> None:
    source = 'def f():\n    """Select what is there."""\n    return "selected"\n'
    assert list(sql_strings.in_module("new", source)) == []


def test_the_list_is_no_part_of_the_program() -> None:
    """It costs no start anything: nobody imports it."""
    for file in Path(sql_text.__file__).parents[1].rglob("*.py"):
        assert "sql_text import" not in file.read_text("utf-8")
        assert "import sql_text" not in file.read_text("utf-8")
