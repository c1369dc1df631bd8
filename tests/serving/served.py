"""`rounds serve` as a process of its own, and what runs behind it."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

ROOT = Path(__file__).resolve().parents[2]
DAY = "2026-03-02"
PATIENCE = 90.0  # seconds until a test gives up; never a measure of speed
T = TypeVar("T")


class Served:
    """A running server: ``url`` where it listens, ``said`` what it told on stderr so far."""

    def __init__(self, process: subprocess.Popen[bytes], url: str, log: Path) -> None:
        self.process, self.url, self.log = process, url, log

    @property
    def said(self) -> str:
        return self.log.read_text()

    def walks(self) -> list[int]:
        """The walks' processes: the server's children that have not ended."""
        found = []
        for stat in Path("/proc").glob("[0-9]*/stat"):
            with contextlib.suppress(OSError):  # it ended while we looked
                state, parent = stat.read_text().rpartition(")")[2].split()[:2]
                if int(parent) == self.process.pid and state != "Z":
                    found.append(int(stat.parent.name))
        return found

    def stop(self, number: int = signal.SIGTERM) -> int:
        self.process.send_signal(number)
        return self.process.wait(PATIENCE)


@contextmanager
def serving(book: Path, tmp: Path, *more: str) -> Iterator[Served]:
    log = tmp / "serve.log"
    env = {**os.environ, "PYTHONPATH": str(ROOT), "HOME": str(tmp), "TMPDIR": str(tmp)}
    env.pop("NO_COLOR", None)
    argv = [
        sys.executable,
        "-m",
        "rounds",
        "--book",
        str(book),
        "--today",
        DAY,
        "serve",
        "--port",
        "0",
        *more,
    ]
    with log.open("wb") as said:
        process = subprocess.Popen(argv, stdout=subprocess.PIPE, stderr=said, env=env, cwd=tmp)
    assert process.stdout is not None
    try:
        url = process.stdout.readline().decode().strip()
        assert url.startswith("http://127.0.0.1:"), log.read_text()
        yield Served(process, url.rstrip("/"), log)
    finally:
        if process.poll() is None:
            process.terminate()
            try:
                process.wait(PATIENCE)
            finally:
                process.kill()
        process.wait()
        process.stdout.close()


def until(what: Callable[[], T], said: Callable[[], object] = lambda: "") -> T:
    """Wait for something to be true; what it then is."""
    end = time.monotonic() + PATIENCE
    while not (found := what()):
        assert time.monotonic() < end, f"it did not come: {said()}"
        time.sleep(0.02)
    return found
