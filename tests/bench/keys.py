"""From a key to its paint, and to the paint that says it is saved.

    python -m tests.bench.keys BIG.sqlite EMPTY.sqlite [--keys 180]

Five programs run at once and get their keys in turn: one line of text; a list of lines
that syncs a line per key (the floor); the walk on an empty book, on a big one, and on the
big one with a disk that takes 100 ms more per flush. Then a burst of 201 keys each, and
what each holds in memory.
"""

from __future__ import annotations

import argparse
import random
import shutil
import sys
import tempfile
import time
from pathlib import Path

from tests.bench.figures import BARE, Raw, percentile, said, walk


def slow(book: Path) -> list[str]:
    return [sys.executable, "-m", "tests.endtoend.runner", '{"slow": 0.1}', "--book", str(book), "walk"]


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("big", type=Path)
    parser.add_argument("empty", type=Path)
    parser.add_argument("--keys", type=int, default=180)
    given = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="rounds-bench-", dir=given.big.parent))
    try:
        books = {
            n: Path(shutil.copy(b, folder / f"{n}.sqlite"))
            for n, b in (("empty", given.empty), ("big", given.big), ("slow", given.big))
        }
        running = {
            "bare": Raw([*BARE, "one"]),
            "lines": Raw([*BARE, "lines", str(folder / "log")]),
            "empty": Raw(walk(books["empty"])),
            "big": Raw(walk(books["big"])),
            "slow": Raw(slow(books["slow"])),
        }
        measure(running, given.keys)
        burst(running, given.keys)
        memory(running)
        for terminal in running.values():
            terminal.kill()
    finally:
        shutil.rmtree(folder)


def measure(running: dict[str, Raw], count: int) -> None:
    draw = random.Random(1)
    painted: dict[str, list[float]] = {name: [] for name in running}
    saved: dict[str, list[float]] = {name: [] for name in running}
    for name, terminal in running.items():
        terminal.until("READY" if name in ("bare", "lines") else r"1 of \d+ ")
        while terminal.read(0.3):
            pass
    for terminal in (running["empty"], running["big"], running["slow"]):
        terminal.press("space")
        terminal.until(r"2 of \d+ ")
        while terminal.read(0.3):
            pass
    for i in range(count):
        key = "2" if i % 2 == 0 else "space"  # moisture right; all else as usual, next box
        for name, terminal in running.items():
            number = i + 1 if name in ("bare", "lines") else i + 2
            time.sleep(draw.uniform(0.015, 0.03))
            start = time.perf_counter()
            terminal.press(key)
            painted[name].append(terminal.next_bytes())
            # Where a shelf was not read, going on says so in the place of the count: answers are measured.
            gone_on = "|next box of the shelf" if key == "space" else ""
            terminal.until(f" {number} saved{gone_on}")
            if i >= 10 and key != "space":
                saved[name].append((time.perf_counter() - start) * 1000)
            while terminal.read(0.005):
                pass
    for name in running:
        print(said(f"{name}: key to first paint", painted[name][10:]))
    for name in running:
        print(said(f"{name}: key to saved to painted", saved[name]))

    def p95(name: str) -> float:
        return percentile(saved[name], 0.95)

    print(
        f"saved, p95: big / lines {p95('big') / p95('lines'):.2f} (budget 1.5), big / empty {p95('big') / p95('empty'):.2f} (budget 1.1)"
    )
    echo = percentile(painted["slow"][10:], 0.95) / percentile(painted["big"][10:], 0.95)
    print(f"echo with a slow disk / on a good day, p95: {echo:.2f} (budget 1.2)")


def burst(running: dict[str, Raw], before: int) -> None:
    for name, terminal in running.items():
        number = before + (201 if name in ("bare", "lines") else 202)
        start = time.perf_counter()
        # The first answers what going on might ask about; the last is an answer: its count is in sight.
        terminal.press("2", *["space", "2"] * 100)
        terminal.until(f" {number} saved")
        print(
            f"{name:<8} burst of 201 keys saved and shown after {(time.perf_counter() - start) * 1000:.0f} ms"
        )


def memory(running: dict[str, Raw]) -> None:
    floor = running["bare"].memory()
    for name, terminal in running.items():
        print(f"{name:<8} {terminal.memory():6.1f} MiB, {terminal.memory() / floor:.2f} x bare (budget 1.5)")


if __name__ == "__main__":
    main()
