"""How many small mistakes the tests notice: ``python -m tests.mutate --seed 1``.

A seeded sample of edits (a comparison turned round, ``and`` for ``or``, a number one off, a
negation dropped, a default returned) is made, one at a time, in a copy of the checkout; the
tests nearest to the edited module are run, and an edit that no test noticed has survived.
Which these are is told by the words they share (:mod:`tests.near_tests`): they run nearest first, up to
``--seconds`` of the processor. With ``--exact`` they are the tests that execute the edited line, which
is measured first (:mod:`tests.line_map`, about half an hour, kept). What was found is kept, too: a run
that was stopped goes on where it was, and after tests were added only survivors are tried again.

Prints each edit with the test that noticed it, then the survivors with their places, then
``150 edits, 131 noticed (87.3 %), 2 of them as they did not end, 19 survived``.
The exit code is 0 when at least ``--least`` per cent (85) were noticed, 1 otherwise.
"""

from __future__ import annotations

import argparse
import ast
import hashlib
import itertools
import json
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue
from threading import Lock
from typing import NamedTuple

from tests import line_map
from tests.near_tests import Asked, NearTests, Told

ROOT = Path(__file__).parents[1]
ROOMS = ("analysis", "rules", "records", "acts", "walk", "store")

HANGS = 900
"""Seconds by the clock for the tests of one part: more is a test that waits for what never comes."""

ENDLESS = 30.0
"""Seconds of the processor for one test beyond twice what it is known to take: more is an endless loop."""

NO_END = "does not end: "

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


def sample(seed: int, count: int, rooms: Sequence[str] = ROOMS) -> list[Edit]:
    """``count`` edits, the modules drawn by how much code they hold."""
    every = [
        e
        for room in rooms
        for module in sorted((ROOT / "rounds" / room).rglob("*.py"))
        for e in edits(module)
    ]
    return random.Random(seed).sample(every, count)


class Trials:
    """What was found of edits, kept so that a run that was stopped or a seed tried before goes on quickly."""

    def __init__(self, kept: Path, root: Path) -> None:
        self._kept, self._root = kept, root
        lines = kept.read_text().splitlines() if kept.exists() else []
        self._found: dict[str, str] = dict(json.loads(line) for line in lines)
        self._digests = line_map.digests(root)

    def before(self, edit: Edit, tests: Sequence[str]) -> str | None:
        """The test that noticed the edit before ("" for none), unless the module or the tests changed."""
        by = self._found.get(self._key(edit))
        if by:
            return by if self._found.get(by) == self._digest(by) else None
        return by if self._found.get(f"tests of {self._key(edit)}") == self._all(tests) else None

    def keep(self, edit: Edit, tests: Sequence[str], by: str) -> None:
        """Write down what an edit came to."""
        more = {by: self._digest(by)} if by else {f"tests of {self._key(edit)}": self._all(tests)}
        new = {self._key(edit): by, **more}
        self._found |= new
        with self._kept.open("a") as file:
            file.writelines(json.dumps(pair) + "\n" for pair in new.items())

    def _key(self, edit: Edit) -> str:
        return f"{edit} at {edit.start} of {self._digests[edit.module.relative_to(ROOT).as_posix()]}"

    def _digest(self, test: str) -> str:
        return self._digests.get(test.removeprefix(NO_END).partition("::")[0], "")

    def _all(self, tests: Sequence[str]) -> str:
        return hashlib.sha256("\n".join(f"{t} {self._digest(t)}" for t in tests).encode()).hexdigest()[:16]


class Bench:
    """Runs tests of copies of the checkout, and learns what each takes and which fail unedited."""

    def __init__(self, kept: Path, most: float) -> None:
        self._kept, self._most, self._lock = kept, most, Lock()
        self._seconds: dict[str, float] = json.loads(kept.read_text()) if kept.exists() else {}
        self._sound: set[str] = set()
        self._unsound: set[str] = set()

    def noticed_by(self, edit: Edit, copy: Path, parts: Sequence[Sequence[str]]) -> str:
        """The test that fails with the edit made in ``copy``, which is put back afterwards; "" if none does."""
        target = copy / edit.module.relative_to(ROOT)
        data = target.read_bytes()
        left = self._most
        for tests in parts:
            while left > 0:
                target.write_bytes(data[: edit.start] + edit.new.encode() + data[edit.end :])
                try:
                    told = self._run(copy, tests, left, ENDLESS)
                finally:
                    target.write_bytes(data)
                known = told.failed in self._seconds
                if told.failed and not self._passes_unedited(copy, told.failed):
                    continue  # it says nothing of the edit: the others are run without it
                if told.endless and not known and told.failed in self._seconds:
                    continue  # it may just be long: now it is known how long
                if told.failed:
                    return NO_END * told.endless + told.failed
                left -= told.used
                self._learn(told)
                break
        return ""

    def _passes_unedited(self, copy: Path, test: str) -> bool:
        if test not in self._sound | self._unsound:
            told = self._run(copy, [test], self._most, 0.0)
            (self._unsound if told.failed else self._sound).add(test)
            self._learn(told)
        return test in self._sound

    def _learn(self, told: Told) -> None:
        with self._lock:
            self._seconds = {**self._seconds, **told.seconds}  # the other job may be reading it
            self._kept.parent.mkdir(exist_ok=True)
            self._kept.write_text(json.dumps(self._seconds))

    def _run(self, copy: Path, tests: Sequence[str], most: float, endless: float) -> Told:
        asked, answer = copy / ".asked.json", copy / ".answer.json"
        answer.unlink(missing_ok=True)
        asked.write_text(json.dumps(Asked(self._seconds, sorted(self._unsound), most, endless, str(answer))))
        options = ("-x", "-q", "-n", "0", "-p", "no:cacheprovider", "-p", "tests.near_tests")
        try:
            line_map.pytest(copy, *options, *tests, timeout=HANGS if endless else None, ASKED=str(asked))
        except subprocess.TimeoutExpired:
            return Told(most, {}, tests[0], endless=True)
        if not answer.exists():  # the program cannot even be imported by what all tests share
            return Told(0.0, {}, tests[0], endless=False)
        return Told(*json.loads(answer.read_text()))


def main() -> int:
    """Draw, edit, test, and print what survived."""
    parser = argparse.ArgumentParser(description="How many small mistakes the tests notice.")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=150)
    parser.add_argument("--room", action="append", choices=ROOMS, help="only of this room (may be repeated)")
    parser.add_argument("--first", type=int, metavar="N", help="try only the first N of them")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument(
        "--seconds", type=float, default=60.0, help="of the processor, for the tests of one edit"
    )
    parser.add_argument("--least", type=float, default=85.0, help="per cent that must be noticed")
    parser.add_argument("--kept", type=Path, default=ROOT / ".line_map", help="where what was found is kept")
    parser.add_argument("--exact", action="store_true", help="run the tests that execute the edited line")
    parser.add_argument("--as-kept", action="store_true", help="take the kept map, measure nothing")
    asked = parser.parse_args()
    drawn = sample(asked.seed, asked.count, asked.room or ROOMS)[: asked.first]
    asked.kept.mkdir(exist_ok=True)
    near, lines = NearTests(ROOT), None
    if asked.exact:
        lines = line_map.measured(ROOT, asked.kept / "map.json", asked.jobs, measure=not asked.as_kept)
    trials = Trials(asked.kept / "trials.jsonl", ROOT)
    bench = Bench(asked.kept / "seconds.json", asked.seconds)
    start, done = time.monotonic(), itertools.count(1)
    with tempfile.TemporaryDirectory() as scratch:
        copies: SimpleQueue[Path] = SimpleQueue()
        for n in range(asked.jobs):
            copies.put(line_map.copied(ROOT, Path(scratch) / str(n)))

        def tried(edit: Edit) -> str:
            parts = near.parts_of(edit.module)
            if lines is not None:
                parts = [t] if (t := lines.tests_of(edit.module, edit.line, asked.seconds)) else []
            tests = [t for part in parts for t in part] + [f"{asked.seconds:g} s"]
            by = trials.before(edit, tests)
            if by is None:
                copy = copies.get()
                try:
                    by = bench.noticed_by(edit, copy, parts)
                finally:
                    copies.put(copy)
                trials.keep(edit, tests, by)
            print(f"{next(done):4} {time.monotonic() - start:5.0f} s  {edit}  {by or 'SURVIVED'}", flush=True)
            return by

        with ThreadPoolExecutor(asked.jobs) as pool:
            found = list(pool.map(tried, drawn))
    for edit in itertools.compress(drawn, (not by for by in found)):
        print(f"survived  {edit}")
    noticed, endless = sum(map(bool, found)), sum(by.startswith(NO_END) for by in found)
    share = 100 * noticed / len(drawn)
    print(
        f"{len(drawn)} edits, {noticed} noticed ({share:.1f} %), {endless} of them as they did not end, "
        f"{len(drawn) - noticed} survived"
    )
    return 0 if share >= asked.least else 1


if __name__ == "__main__":
    sys.exit(main())
