"""No source of due work is forgotten: each is asked for work, and each table it goes through is in the part.

Read from the source text, so that a function that nobody calls is told as well.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable
from pathlib import Path

import pytest

from rounds import due
from rounds.due.nearby import near
from rounds.records import tables
from rounds.records.ledger import Ledger
from rounds.records.record import Record

DUE = Path(due.__file__).parent
SOURCES = ("due_sources", "awaited_stages", "lasting_states", "planned_work")
"""The modules whose functions say what work follows from."""

READ_FOR_WORK = (*SOURCES, "due_index", "planned_pairings", "work")
"""The modules that go through tables of the books to find work."""

LEFT_WHOLE = {
    "pairing_male": "read only for whether a planned pairing can be made; those of pairings left out are skipped",
}
"""Tables that :func:`near` need not narrow though they are gone through, and why."""

READ_ELSEWHERE = {"label_swap"}
"""Tables that work is found in by a function of the records: ``open_swaps``."""


def parsed(*modules: str) -> list[ast.stmt]:
    return [
        statement
        for module in modules
        for statement in ast.parse((DUE / f"{module}.py").read_text(encoding="utf-8")).body
    ]


def makes_work(statement: ast.stmt) -> bool:
    """Is it a function that gives work sources?"""
    if not isinstance(statement, ast.FunctionDef) or statement.returns is None:
        return False
    return "WorkSource" in ast.unparse(statement.returns)


def forgotten(statements: Iterable[ast.stmt]) -> set[str]:
    """Functions that make due work and that neither ``facts`` nor ``_OF_KIND`` comes to."""
    uses: dict[str, set[str]] = {}
    makers: set[str] = set()
    for statement in statements:
        if isinstance(statement, ast.FunctionDef):
            name = statement.name
        elif isinstance(statement, ast.AnnAssign) and isinstance(statement.target, ast.Name):
            name = statement.target.id
        else:
            continue
        uses[name] = {node.id for node in ast.walk(statement) if isinstance(node, ast.Name)} - {name}
        if makes_work(statement):
            makers.add(name)
    reached, open_ = set[str](), {"facts", "_OF_KIND"}
    while open_:
        reached |= open_
        open_ = {used for name in open_ for used in uses.get(name, ())} - reached
    return makers - reached


def test_every_function_that_makes_due_work_is_asked_for_it() -> None:
    assert forgotten(parsed(*SOURCES)) == set()


@pytest.mark.parametrize(
    "left_out", ["_weighing", "_leftovers", "loans_back", "planned_pairings", "_from_eggs"]
)
def test_a_forgotten_one_is_told(left_out: str) -> None:
    """The control: with its name taken out of wherever it stands, it is found."""

    class Without(ast.NodeTransformer):
        def visit_Name(self, node: ast.Name) -> ast.Name:
            return ast.Name("_other", node.ctx) if node.id == left_out else node

    assert forgotten(Without().visit(s) for s in parsed(*SOURCES)) == {left_out}


def gone_through(statements: Iterable[ast.stmt]) -> set[str]:
    """The tables whose rows are gone through: the first argument of each ``rows(...)``."""
    found = set()
    for statement in statements:
        for node in ast.walk(statement):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and node.func.attr == "rows"
                and isinstance(node.args[0], ast.Name)
            ):
                record: type[Record] = getattr(tables, node.args[0].id)
                found.add(record.table)
    return found


def narrowed_tables(monkeypatch: pytest.MonkeyPatch) -> set[str]:
    """The tables of which the part has fewer rows than the whole."""
    given: set[str] = set()
    real = Ledger.narrowed

    def seen(self: Ledger, parts: dict[str, dict[int, Record]]) -> Ledger:
        given.update(parts)
        return real(self, parts)

    monkeypatch.setattr(Ledger, "narrowed", seen)
    near(Ledger(), set())
    return given


def test_the_part_looks_at_every_table_that_work_is_found_in(monkeypatch: pytest.MonkeyPatch) -> None:
    read, part = gone_through(parsed(*READ_FOR_WORK)), narrowed_tables(monkeypatch)
    assert "pairing" in read
    assert read - part == set(LEFT_WHOLE)
    assert part <= read | READ_ELSEWHERE, "narrowed for nothing"
