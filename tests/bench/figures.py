"""Small tools of the benchmarks: percentiles, a raw terminal without an emulator, memory of a process."""

from __future__ import annotations

import os
import re
import sys
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

from tests.endtoend.painted import Painted
from tests.endtoend.terminal import ROOT, Terminal

BARE = (sys.executable, "-m", "tests.bench.bare")


def percentile(values: Sequence[float], share: float) -> float:
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(len(ordered) * share))]


def said(name: str, values: Sequence[float], unit: str = "ms") -> str:
    p50, p95 = percentile(values, 0.5), percentile(values, 0.95)
    return f"{name:<44} p50 {p50:8.2f}  p95 {p95:8.2f} {unit}  (n={len(values)})"


class Raw(Terminal):
    """A terminal without an emulator: the bytes, when they came, and the text they leave on the screen."""

    def __init__(
        self, argv: Sequence[str], env: Mapping[str, str] | None = None, columns: int = 80, lines: int = 24
    ) -> None:
        self.began = time.perf_counter()
        super().__init__(
            argv,
            env={"ROUNDS_CONFIG": "/nonexistent-rounds-config", **(env or {})},
            columns=columns,
            lines=lines,
        )
        self.painted = Painted(columns, lines)
        self._stream = self.painted  # type: ignore[assignment]

    def until(self, pattern: str, patience: float = 30.0) -> float:
        """Milliseconds from now until the screen matches."""
        start = time.perf_counter()
        wanted = re.compile(pattern)
        while not wanted.search(self.painted.text):
            if time.perf_counter() - start > patience:
                raise TimeoutError(f"{pattern!r} did not come: {self.painted.text}")
            self.read(0.5)
        return (time.perf_counter() - start) * 1000

    def next_bytes(self) -> float:
        """Milliseconds from now until anything comes."""
        start = time.perf_counter()
        self.read(30.0)
        return (time.perf_counter() - start) * 1000

    def processor_time(self) -> float:
        """Milliseconds of processor time that all threads have used (Linux)."""
        tasks = Path(f"/proc/{self.pid}/task").glob("*/schedstat")
        return sum(int(task.read_text().split()[0]) for task in tasks) / 1e6

    def memory(self) -> float:
        """Resident MiB."""
        for line in Path(f"/proc/{self.pid}/status").read_text().splitlines():
            if line.startswith("VmRSS:"):
                return int(line.split()[1]) / 1024
        raise LookupError("no VmRSS here")


def walk(book: Path) -> list[str]:
    return [sys.executable, "-m", "rounds", "--book", str(book), "walk"]


def with_path(*more: str) -> dict[str, str]:
    return {"PYTHONPATH": os.pathsep.join([str(ROOT), *more])}
