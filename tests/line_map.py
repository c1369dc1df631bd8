"""Which tests execute which line, and how long each takes: for :mod:`tests.mutate`.

The whole run but the tests through a terminal is measured once for a state of the checkout, in a
copy of it, and kept beside the caches of the other tools. A test of a line executed at import is
one that executes anything of its module.
"""

from __future__ import annotations

import ast
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

FOLDERS = ("rounds", "tests", "config", "demo_data")
LEFT_OUT = {".git", ".venv", "__pycache__", ".hypothesis", ".mypy_cache", ".ruff_cache", ".line_map"}
NOT_MEASURED = ("-m", "not pty", "--ignore=tests/serving", "--ignore=tests/endtoend", "--ignore=tests/bench")


class LineMap(NamedTuple):
    """``lines``: module, line, its tests; ``seconds``: what each test took, unedited."""

    lines: Mapping[str, Mapping[int, frozenset[str]]]
    seconds: Mapping[str, float]

    def tests_of(self, module: Path, line: int, most: float) -> list[str]:
        """The tests that execute the statement on a line, cheapest first, within ``most`` seconds in all."""
        of = self.lines.get(module.as_posix().rpartition("/rounds/")[2], {})
        found = frozenset().union(*(of.get(n, frozenset()) for n in _statement(module, line)))
        if not found or "" in found:  # executed at import, or only in another process
            found = frozenset().union(*of.values())
        out, left = [], most
        for test in sorted(found - {""}, key=lambda t: (self.seconds.get(t, most), t)):
            left -= self.seconds.get(test, most) + 0.01
            if out and left < 0:
                break
            out.append(test)
        return out


def _statement(module: Path, line: int) -> range:
    """The lines of the innermost statement around a line, or of its header if it has a body."""
    best = range(line, line + 1)
    for node in ast.walk(ast.parse(module.read_bytes())):
        if isinstance(node, ast.stmt) and node.lineno <= line <= (node.end_lineno or line):
            body: list[ast.stmt] = getattr(node, "body", [])
            last = (body[0].lineno - 1 if body else node.end_lineno) or line
            if line <= last:
                best = range(node.lineno, last + 1)
    return best


def copied(root: Path, to: Path) -> Path:
    """A copy of the checkout without its caches."""
    return Path(shutil.copytree(root, to, ignore=lambda _, names: [n for n in names if n in LEFT_OUT]))


def pytest(copy: Path, *options: str, **environment: str) -> int:
    """Run the tests of a copy; examples of properties are the same every time."""
    of = {"PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1", "CI": "true", **environment}
    command = [sys.executable, "-m", "pytest", *options]
    done = subprocess.run(command, cwd=copy, env=os.environ | of, capture_output=True, check=False)
    return done.returncode


def measured(root: Path, jobs: int) -> LineMap:
    """The map of this state of the checkout, made now unless it is kept."""
    kept = root / ".line_map" / f"{_state(root)}.json"
    if not kept.exists():
        kept.parent.mkdir(exist_ok=True)
        with tempfile.TemporaryDirectory() as scratch:
            kept.write_text(json.dumps(_measure(copied(root, Path(scratch) / "copy"), jobs)))
    found = json.loads(kept.read_text())
    names: list[str] = found["tests"]
    lines = {
        module: {int(line): frozenset(names[i] for i in tests) for line, tests in of.items()}
        for module, of in found["lines"].items()
    }
    return LineMap(lines, found["seconds"])


def _measure(copy: Path, jobs: int) -> dict[str, Any]:
    from coverage import CoverageData  # only this measurement needs it

    data, times = copy / ".measured", copy / "seconds.json"
    options = ("-q", "-n", str(jobs), "-p", "no:cacheprovider", "-p", "tests.line_map", "--cov=rounds")
    where = {"COVERAGE_FILE": str(data), "TEST_SECONDS": str(times)}
    code = pytest(copy, *options, "--cov-context=test", "--cov-report=", *NOT_MEASURED, **where)
    if code != 0:
        raise SystemExit(f"The tests do not pass unedited (pytest ended with {code}).")
    read = CoverageData(str(data))
    read.read()
    numbers: dict[str, int] = {}
    lines: dict[str, dict[int, list[int]]] = {}
    for file in read.measured_files():
        module = Path(file).as_posix().rpartition("/rounds/")[2]
        lines[module] = {
            line: sorted({numbers.setdefault(c.partition("|")[0], len(numbers)) for c in contexts})
            for line, contexts in read.contexts_by_lineno(file).items()
        }
    return {"tests": list(numbers), "lines": lines, "seconds": json.loads(times.read_text())}


def _state(root: Path) -> str:
    digest = hashlib.sha256()
    for path in _files(root):
        digest.update(path.as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:16]


def _files(root: Path) -> Iterator[Path]:
    for folder in FOLDERS:
        yield from sorted(p for p in (root / folder).rglob("*") if p.is_file() and p.suffix != ".pyc")


SECONDS: dict[str, float] = {}


def pytest_runtest_logreport(report: Any) -> None:
    """As a plugin of the measured run: what each test took in all."""
    SECONDS[report.nodeid] = SECONDS.get(report.nodeid, 0.0) + report.duration


def pytest_sessionfinish(session: Any) -> None:
    if "TEST_SECONDS" in os.environ and not hasattr(session.config, "workerinput"):
        Path(os.environ["TEST_SECONDS"]).write_text(json.dumps(SECONDS))
