"""Which tests execute which line, and how long each takes: for :mod:`tests.mutate`.

The whole run but the tests through a terminal is measured once, in a copy of the checkout, and kept
beside the caches of the other tools. After that only test files that changed are measured again; of
a module that changed, every test that executes anything of it counts for each of its lines, as it
does for lines executed at import. To measure everything anew (when helpers of the tests or the
config changed much), delete the kept file.
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
from collections.abc import Iterable, Mapping, Sequence, Set
from pathlib import Path
from typing import Any, NamedTuple, TypedDict

LEFT_OUT = {".git", ".venv", "__pycache__", ".hypothesis", ".mypy_cache", ".ruff_cache", ".line_map"}
FIRST = ("rules", "records", "acts", "walk", "store", "analysis", "views", "due", "husbandry", "files")
LEFT_TO_OTHERS = ("tests/serving", "tests/endtoend", "tests/bench")
"""Folders of tests through a terminal or a browser: slow, and what they execute others execute, too."""


class LineMap(NamedTuple):
    """What executes what, and how long each test took unedited."""

    tests: Sequence[str]
    lines: Mapping[str, Mapping[str, Sequence[int]]]  # module, line, numbers of its tests
    seconds: Mapping[str, float]

    def tests_of(self, module: Path, line: int, most: float) -> list[str]:
        """The tests that execute the statement on a line, cheapest first, within ``most`` seconds in all."""
        of = self.lines.get(module.as_posix().rpartition("/rounds/")[2], {})
        found = self._names(of.get(str(n), ()) for n in _statement(module, line))
        if not found or "" in found:  # executed at import, or only in another process
            found = self._names(of.values())
        out: list[str] = []
        left = most
        for test in sorted(found - {""}, key=lambda t: (self.seconds.get(t, most), t)):
            left -= self.seconds.get(test, most) + 0.01
            if out and left < 0:
                break
            out.append(test)
        return out

    def _names(self, numbers: Iterable[Iterable[int]]) -> set[str]:
        return {self.tests[i] for i in set().union(*numbers)}


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


def pytest(
    copy: Path, *options: str, timeout: float | None = None, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Run the tests of a copy; examples of properties are the same every time.

    Raises ``subprocess.TimeoutExpired`` after ``timeout`` seconds by the clock.

    Nothing compiled is kept: an edit within the second that leaves a module as long as it was would not show.
    """
    unkept = {"PYTHONDONTWRITEBYTECODE": "1", "TREE_IS_EDITED": "1"}
    of = {"PYTHONPATH": str(copy), "CI": "true", **unkept, **environment}
    command = [sys.executable, "-m", "pytest", *options]
    return subprocess.run(
        command, cwd=copy, env=os.environ | of, capture_output=True, text=True, check=False, timeout=timeout
    )


def measured(root: Path, kept: Path, jobs: int, *, measure: bool = True) -> LineMap:
    """The map of this checkout: the kept one, brought up to date by measuring what changed.

    What is measured is kept folder by folder, so that a stop loses little; without ``measure``
    the kept map is taken as it is.
    """
    now = digests(root)
    found: _Kept = {"digests": {}, "tests": [], "lines": {}, "seconds": {}}
    if kept.exists():
        found = json.loads(kept.read_text())
    for folder, files in _to_measure(now, found["digests"]).items() if measure else ():
        print(f"measuring which lines the tests of {folder} execute: {len(files)} files", flush=True)
        gone = {p for p in found["digests"] if now.get(p) != found["digests"][p]} | set(files)
        old = found["digests"]
        found = _merged(found, gone, _measure(root, jobs, files))
        program = {p: old.get(p, d) for p, d in now.items() if p.startswith("rounds/")}
        found["digests"] = {p: d for p, d in old.items() if p in now} | program | {p: now[p] for p in files}
        kept.parent.mkdir(exist_ok=True)
        kept.write_text(json.dumps(found))
    then = found["digests"]
    lines = {
        module: of
        if now.get(f"rounds/{module}") == then.get(f"rounds/{module}")
        else {"0": sorted(set().union(*of.values()))}
        for module, of in found["lines"].items()
    }
    return LineMap(found["tests"], lines, found["seconds"])


def _to_measure(now: Mapping[str, str], old: Mapping[str, str]) -> dict[str, list[str]]:
    """Files of tests that are not measured as they are now, by folder."""
    out: dict[str, list[str]] = {}
    rank = {room: i for i, room in enumerate(FIRST)}
    for path in sorted(now, key=lambda p: (rank.get(p.split("/")[1], len(FIRST)), p)):
        folder = path.rpartition("/")[0]
        if (
            Path(path).name.startswith("test_")
            and now[path] != old.get(path)
            and folder not in LEFT_TO_OTHERS
        ):
            out.setdefault(folder, []).append(path)
    return out


class _Kept(TypedDict):
    """What is kept of a map: texts by path as they were when it was measured, and the map itself."""

    digests: dict[str, str]
    tests: list[str]
    lines: dict[str, dict[str, list[int]]]
    seconds: dict[str, float]


def _measure(root: Path, jobs: int, files: Sequence[str]) -> _Kept:
    """What the tests of these files execute."""
    from coverage import CoverageData  # only this measurement needs it

    with tempfile.TemporaryDirectory() as scratch:
        copy = copied(root, Path(scratch) / "copy")
        data, times = copy / ".measured", copy / "seconds.json"
        options = ("-q", "-n", str(jobs), "-p", "no:cacheprovider", "-p", "tests.line_map", "--cov=rounds")
        where = {"COVERAGE_FILE": str(data), "TEST_SECONDS": str(times)}
        done = pytest(copy, *options, "--cov-context=test", "--cov-report=", "-m", "not pty", *files, **where)
        if done.returncode not in (0, 1, 5):  # 5: only tests through a terminal
            raise SystemExit(f"The tests cannot be run:\n{done.stdout[-4000:]}{done.stderr[-4000:]}")
        if done.returncode == 5:
            return {"digests": {}, "tests": [], "lines": {}, "seconds": {}}
        read = CoverageData(str(data))
        read.read()
        numbers: dict[str, int] = {}
        lines = {
            Path(file).as_posix().rpartition("/rounds/")[2]: {
                str(line): sorted({numbers.setdefault(c.partition("|")[0], len(numbers)) for c in contexts})
                for line, contexts in read.contexts_by_lineno(file).items()
            }
            for file in read.measured_files()
        }
        seconds, failed = json.loads(times.read_text())
    if failed:
        print(f"left out, as they fail unedited: {', '.join(failed)}", flush=True)
        without = {numbers[t] for t in failed if t in numbers}
        lines = {
            module: {n: [t for t in tests if t not in without] for n, tests in of.items()}
            for module, of in lines.items()
        }
    return {"digests": {}, "tests": list(numbers), "lines": lines, "seconds": seconds}


def _merged(old: _Kept, gone: Set[str], new: _Kept) -> _Kept:
    """What was measured now, and of the old what does not come from tests of the files ``gone``."""
    numbers: dict[str, int] = {}
    lines: dict[str, dict[str, list[int]]] = {}
    for part, without in ((old, gone), (new, frozenset[str]())):
        to = {
            i: numbers.setdefault(test, len(numbers))
            for i, test in enumerate(part["tests"])
            if test.partition("::")[0] not in without
        }
        for module, of in part["lines"].items():
            into = lines.setdefault(module, {})
            for n, tests in of.items():
                into[n] = sorted({*into.get(n, ()), *(to[i] for i in tests if i in to)})
    seconds = {t: s for t, s in old["seconds"].items() if t in numbers} | new["seconds"]
    return {"digests": {}, "tests": list(numbers), "lines": lines, "seconds": seconds}


def digests(root: Path) -> dict[str, str]:
    """What tells whether a file of the program or its tests changed, by its path."""
    return {
        p.relative_to(root).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()[:16]
        for folder in ("rounds", "tests")
        for p in sorted((root / folder).rglob("*.py"))
    }


SECONDS: dict[str, float] = {}
FAILED: set[str] = set()


def pytest_runtest_logreport(report: Any) -> None:
    """As a plugin of the measured run: what each test took in all, and which fail."""
    if report.failed:
        FAILED.add(report.nodeid)
    SECONDS[report.nodeid] = SECONDS.get(report.nodeid, 0.0) + report.duration


def pytest_sessionfinish(session: Any) -> None:
    if "TEST_SECONDS" in os.environ and not hasattr(session.config, "workerinput"):
        Path(os.environ["TEST_SECONDS"]).write_text(json.dumps([SECONDS, sorted(FAILED)]))
