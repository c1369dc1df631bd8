"""What a walk costs while nobody touches it, against a bare one-screen program.

    python -m tests.bench.idle [BOOK] [--seconds 60]

Processor time of both over the same minute, taken side by side; BOOK is the demo's when left out.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
import time
from pathlib import Path

from rounds.commands.book_commands import load_demo
from tests.bench.figures import BARE, Raw, walk

SETTLE = 6.0
"""Seconds for due work to be worked out and the first look to be over."""


def processor_seconds(pid: int) -> float:
    """Processor time so far, of all threads that go on."""
    total = 0
    for task in Path(f"/proc/{pid}/task").iterdir():
        total += int((task / "schedstat").read_text().split()[0])
    return total / 1e9


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("book", type=Path, nargs="?")
    parser.add_argument("--seconds", type=float, default=60.0)
    given = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="rounds-bench-"))
    try:
        book = folder / "book.sqlite"
        if given.book:
            shutil.copy(given.book, book)
        else:
            load_demo(book, None, None)
        running = {"bare": Raw([*BARE, "one"]), "walk": Raw(walk(book))}
        running["bare"].until("READY")
        running["walk"].until(r"1 of \d+ ")
        for terminal in running.values():
            while terminal.read(SETTLE / 2):
                pass
        before = {name: processor_seconds(t.pid) for name, t in running.items()}
        time.sleep(given.seconds)
        spent = {name: processor_seconds(t.pid) - before[name] for name, t in running.items()}
        for name, seconds in spent.items():
            print(
                f"{name}: {seconds * 1000:.1f} ms of processor in {given.seconds:.0f} s ({seconds / given.seconds:.3%})"
            )
        print(f"walk / bare: {spent['walk'] / spent['bare']:.2f} (budget 1.5)")
        for terminal in running.values():
            terminal.kill()
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
