"""The SQL that stands as text in the store's modules, found by their syntax trees."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

STORE = Path(__file__).parents[2] / "rounds" / "store"
_SQL = re.compile(
    r"\s*(WITH|SELECT|INSERT|UPDATE|DELETE|CREATE|DROP|ALTER|PRAGMA|VACUUM|ATTACH|DETACH|BEGIN|COMMIT|ROLLBACK"
    r"|ANALYZE|REPLACE|SAVEPOINT|RELEASE|REINDEX|EXPLAIN)\b"
)


class SqlText(NamedTuple):
    """``where`` is ``module.function``, ``module.Class.method`` or ``module`` (at its top)."""

    where: str
    line: int
    text: str


def in_module(name: str, source: str) -> Iterator[SqlText]:
    """Strings and f-strings that begin as a statement does; docstrings are none."""
    yield from _below(ast.parse(source), name)


def _below(node: ast.AST, where: str) -> Iterator[SqlText]:
    for child in ast.iter_child_nodes(node):
        match child:
            case ast.FunctionDef(name=name) | ast.ClassDef(name=name):
                yield from _below(child, f"{where}.{name}")
            case ast.Expr(value=ast.Constant()):
                continue  # a docstring
            case ast.JoinedStr(values=values):
                text = "".join(str(v.value) if isinstance(v, ast.Constant) else "{}" for v in values)
                if _SQL.match(text):
                    yield SqlText(where, child.lineno, text)
            case ast.Constant(value=str(text)):
                if _SQL.match(text):
                    yield SqlText(where, child.lineno, text)
            case _:
                yield from _below(child, where)


def every() -> list[SqlText]:
    """All of the package's, save for what its list of them says."""
    files = [file for file in sorted(STORE.glob("*.py")) if file.stem != "sql_text"]
    return [found for file in files for found in in_module(file.stem, file.read_text("utf-8"))]
