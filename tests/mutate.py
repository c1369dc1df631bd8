"""How many small mistakes the tests notice: ``python -m tests.mutate --seed 1``.

A seeded sample of edits (a comparison turned round, ``and`` for ``or``, a number one off, a
negation dropped, a default returned) is made, one at a time, in a copy of the checkout; the
tests that belong to the module are run, and an edit that no test noticed has survived. Which
tests belong is told by :data:`BELONGING`: the folder that mirrors the module's own, and what
drives it from outside.

Prints each survivor with its place, then ``150 edits, 131 noticed (87.3 %), 19 survived``.
The exit code is 0 when at least ``--least`` per cent (85) were noticed, 1 otherwise.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue
from typing import NamedTuple

ROOT = Path(__file__).parents[1]
ROOMS = ("analysis", "rules", "records", "acts", "walk", "store")

BELONGING = {
    "analysis": ("tests/analysis", "tests/external", "tests/test_pairings.py", "tests/test_kinship.py"),
    "rules": ("tests/rules",),
    "records": ("tests/records", "tests/acts", "tests/store/test_ledger_store.py", "tests/views"),
    "acts": ("tests/acts", "tests/store/test_ledger_store.py", "tests/walk/test_acts.py"),
    "walk": ("tests/walk", "tests/line_ui", "tests/screens/test_screens.py", "tests/presenters"),
    "store": ("tests/store", "tests/walk", "tests/files"),
}
"""Where the tests of a room are, those that are likeliest to notice first."""

SECONDS = 240
"""A run that takes longer has noticed: the edit made something endless."""

TURNED: dict[type[ast.cmpop], str] = {
    ast.Lt: "<=",
    ast.LtE: "<",
    ast.Gt: ">=",
    ast.GtE: ">",
    ast.Eq: "!=",
    ast.NotEq: "==",
    ast.Is: "is not",
    ast.IsNot: "is",
    ast.In: "not in",
    ast.NotIn: "in",
}
EXCHANGED: dict[type[ast.operator], str] = {ast.Add: "-", ast.Sub: "+", ast.Mult: "+", ast.FloorDiv: "*"}


class Edit(NamedTuple):
    """One small mistake: ``old`` between two offsets (in bytes) of a file becomes ``new``."""

    module: Path
    line: int
    start: int
    end: int
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.module.relative_to(ROOT)}:{self.line}  {self.old}  ->  {self.new}"


def edits(module: Path) -> Iterator[Edit]:
    """Every edit this module offers, in the order of its text."""
    data = module.read_bytes()
    starts = [0]
    for line in data.splitlines(keepends=True):
        starts.append(starts[-1] + len(line))

    def at(line: int | None, column: int | None) -> int:
        return starts[(line or 1) - 1] + (column or 0)

    def edit(node: ast.expr, new: str) -> Edit:
        start, end = at(node.lineno, node.col_offset), at(node.end_lineno, node.end_col_offset)
        return Edit(module, node.lineno, start, end, data[start:end].decode(), new)

    tree = ast.parse(data)
    skipped = {id(n) for top in ast.walk(tree) if _is_for_types(top) for n in ast.walk(top)}
    for node in ast.walk(tree):
        if id(node) in skipped:
            continue
        match node:
            case ast.Compare(left, [op], [right]) if type(op) in TURNED:
                yield edit(node, f"{ast.unparse(left)} {TURNED[type(op)]} {ast.unparse(right)}")
            case ast.BoolOp(op, values):
                word = " or " if isinstance(op, ast.And) else " and "
                yield edit(node, "(" + word.join(f"({ast.unparse(v)})" for v in values) + ")")
            case ast.UnaryOp(ast.Not(), operand):
                yield edit(node, f"bool({ast.unparse(operand)})")
            case ast.BinOp(left, op, right) if type(op) in EXCHANGED and not _is_text(left, right):
                yield edit(node, f"({ast.unparse(left)} {EXCHANGED[type(op)]} {ast.unparse(right)})")
            case ast.Constant(bool() as value):
                yield edit(node, str(not value))
            case ast.Constant(int() as value):
                yield edit(node, str(value + 1))
            case ast.IfExp(test, body, orelse):
                yield edit(node, f"({ast.unparse(orelse)} if {ast.unparse(test)} else {ast.unparse(body)})")


def _is_for_types(node: ast.AST) -> bool:
    """Annotations and what only the type checker reads change nothing at run time."""
    if isinstance(node, ast.If):
        return isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"
    return isinstance(node, ast.AnnAssign) and node.value is None


def _is_text(*nodes: ast.expr) -> bool:
    return any(isinstance(n, ast.JoinedStr | ast.List | ast.Tuple) or _is_str(n) for n in nodes)


def _is_str(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def sample(seed: int, count: int) -> list[Edit]:
    """``count`` edits, the modules drawn by how much code they hold."""
    every = [
        e
        for room in ROOMS
        for module in sorted((ROOT / "rounds" / room).rglob("*.py"))
        for e in edits(module)
    ]
    return random.Random(seed).sample(every, count)


def tests_of(edit: Edit) -> list[str]:
    """The tests that belong to the module, its own first."""
    room, *_, name = edit.module.relative_to(ROOT / "rounds").with_suffix("").parts
    own = sorted((ROOT / "tests").rglob(f"test_{name}.py"))
    folders = [t for t in BELONGING[room] if (ROOT / t).exists()]
    return [*(str(p.relative_to(ROOT)) for p in own), *folders]


def survives(edit: Edit, copy: Path) -> bool:
    """Whether the tests pass with the edit made in ``copy`` (which is put back afterwards)."""
    target = copy / edit.module.relative_to(ROOT)
    data = target.read_bytes()
    target.write_bytes(data[: edit.start] + edit.new.encode() + data[edit.end :])
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-x",
        "-q",
        "-n",
        "0",
        "-p",
        "no:cacheprovider",
        "-m",
        "not pty",
    ]
    # Examples of properties are the same every time, or an edit would be noticed by luck.
    environment = os.environ | {"PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1", "CI": "true"}
    try:
        run = subprocess.run(
            [*command, *tests_of(edit)],
            cwd=copy,
            env=environment,
            capture_output=True,
            timeout=SECONDS,
            check=False,
        )
        return run.returncode == 0
    except subprocess.TimeoutExpired:
        return False
    finally:
        target.write_bytes(data)


def main() -> int:
    """Draw, edit, test, and print what survived."""
    parser = argparse.ArgumentParser(description="How many small mistakes the tests notice.")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=150)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--least", type=float, default=85.0, help="per cent that must be noticed")
    asked = parser.parse_args()
    drawn = sample(asked.seed, asked.count)
    with tempfile.TemporaryDirectory() as scratch:
        copies: SimpleQueue[Path] = SimpleQueue()
        for n in range(asked.jobs):
            copies.put(Path(shutil.copytree(ROOT, Path(scratch) / str(n), ignore=_ignored)))

        def tried(edit: Edit) -> bool:
            copy = copies.get()
            try:
                found = survives(edit, copy)
            finally:
                copies.put(copy)
            if found:
                print(f"survived  {edit}", flush=True)
            return found

        with ThreadPoolExecutor(asked.jobs) as pool:
            survived = sum(pool.map(tried, drawn))
    share = 100 * (len(drawn) - survived) / len(drawn)
    print(f"{len(drawn)} edits, {len(drawn) - survived} noticed ({share:.1f} %), {survived} survived")
    return 0 if share >= asked.least else 1


def _ignored(folder: str, names: list[str]) -> list[str]:
    return [
        n for n in names if n in {".git", ".venv", "__pycache__", ".hypothesis", ".mypy_cache", ".ruff_cache"}
    ]


if __name__ == "__main__":
    sys.exit(main())
