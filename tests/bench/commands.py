"""What whole commands cost: processor time and memory, the cases in turn, against a bare program of the same run.

    python -m tests.bench.commands BOOK [--of click labels replay] [--times 9]

``click`` takes ``--version``, a completion and ``--help`` against ``python -c 'import click'``; ``labels`` is
a PDF of a label for every box (1.5 s for 1,000 is wanted); ``replay`` is ``rules replay`` over the last 28 days against a
bare loop over the same rows (5 s and 100 MiB are wanted for 10,000 boxes). Memory of a small process is
that of this one, from which it was started. The books come from ``tests.bench.make_book``.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from tests.bench.figures import percentile
from tests.endtoend.terminal import ROOT

ROUNDS = (sys.executable, "-m", "rounds")
LOOP = """
import sqlite3, sys
rows = sqlite3.connect(sys.argv[1]).execute(
    'SELECT v.enclosure, r.day, d.kind, d.number FROM visit v JOIN "round" r ON r.id = v.round'
    ' JOIN reading d ON d.visit = v.id WHERE r.day >= (SELECT max(day) FROM "round") - 27 ORDER BY v.id'
)
print(len({row[0] for row in rows}))
"""


class Cost(NamedTuple):
    """Processor time (ms), and the most memory the process held (MiB)."""

    cpu: float
    memory: float


def cost(argv: Sequence[str], env: Mapping[str, str]) -> Cost:
    """What a process costs from its start to its end. Raises SystemExit when it fails."""
    sink = os.open(os.devnull, os.O_RDWR)
    try:
        actions = [(os.POSIX_SPAWN_DUP2, sink, to) for to in (0, 1, 2)]
        pid = os.posix_spawn(argv[0], argv, {**os.environ, **env}, file_actions=actions)
        _, status, used = os.wait4(pid, 0)
    finally:
        os.close(sink)
    if status:
        raise SystemExit(f"{' '.join(argv)} ended with {os.waitstatus_to_exitcode(status)}")
    return Cost((used.ru_utime + used.ru_stime) * 1000, used.ru_maxrss / 1024)


class Case(NamedTuple):
    """A command, against which other case it is taken, and how many times as much it may cost."""

    argv: Sequence[str]
    against: str = ""
    budget: float = 0.0
    env: Mapping[str, str] = {}


def cases(of: Sequence[str], book: Path, folder: Path) -> dict[str, Case]:
    at = (*ROUNDS, "--book", str(book))
    out: dict[str, Case] = {}
    if "click" in of:
        words = {"_ROUNDS_COMPLETE": "bash_complete"}
        out["import click"] = Case((sys.executable, "-c", "import click"))
        out["--version"] = Case((*ROUNDS, "--version"), "import click", 1.15)
        for name, line in (
            ("complete a command", "rounds su"),
            ("complete an option", "rounds labels --p"),
        ):
            out[name] = Case(ROUNDS, "import click", 1.3, words | {"_ROUNDS_LINE": line})
        out["--help"] = Case((*ROUNDS, "--help"), "import click", 1.5)
    if "labels" in of:
        out["labels"] = Case((*at, "labels", "--force", "--out", str(folder / "labels.pdf")))
    if "replay" in of:
        out["bare loop"] = Case((sys.executable, "-c", LOOP, str(book)))
        out["replay"] = Case((*at, "rules", "replay", "--as", "json"), "bare loop")
    return out


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("book", type=Path)
    parser.add_argument("--of", nargs="+", choices=("click", "labels", "replay"), default=["click"])
    parser.add_argument("--times", type=int, default=9)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="rounds-bench-") as folder:
        wanted = cases(given.of, given.book, Path(folder))
        plain = {"ROUNDS_CONFIG": "/nonexistent-rounds-config", "PYTHONPATH": str(ROOT)}
        taken: dict[str, list[Cost]] = {name: [] for name in wanted}
        for turn in range(given.times + 1):
            for name, case in wanted.items():
                found = cost(case.argv, {**plain, **case.env})
                if turn:  # the first fills the caches
                    taken[name].append(found)
    for name, case in wanted.items():
        cpu, memory = (percentile([c[i] for c in taken[name]], 0.5) for i in (0, 1))
        ratio = cpu / percentile([c.cpu for c in taken[case.against]], 0.5) if case.against else 1.0
        said = f", {ratio:.2f} x {case.against}" if case.against else ""
        budget = f" (budget {case.budget})" if case.budget else ""
        print(f"{name:<20} {cpu:8.1f} ms of CPU, {memory:6.1f} MiB{said}{budget}")


if __name__ == "__main__":
    main()
