"""How soon each of several hands on one book sees what the others committed.

    python -m tests.bench.together [--seconds 60] [--same] [--book FILE]

Two walks in two terminals note something at a box every 0.7 to 1.6 seconds, and `rounds record`
locks a box now and then; ``--same``: both walks are one keeper's. Printed: the seconds from the
last key of a note (or the end of `rounds record`) to the screen of another that shows it.
"""

from __future__ import annotations

import argparse
import os
import shutil
import tempfile
from pathlib import Path

from rounds.commands.book_commands import load_demo
from tests.bench.figures import percentile
from tests.endtoend import rack, together
from tests.endtoend.terminal import Terminal


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--same", action="store_true")
    parser.add_argument("--book", type=Path, help="a copy of this one is walked instead of the demo")
    given = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="rounds-bench-"))
    running: list[Terminal] = []

    def begin(keeper: str) -> Terminal:
        argv = rack.walk_of(book, "--keeper", keeper)
        env = {"ROUNDS_CONFIG": str(folder / "none"), "HOME": str(folder)}
        running.append(Terminal(argv, env=env, columns=together.WIDE, lines=together.HIGH))
        return running[-1]

    try:
        book = folder / "demo.sqlite"
        os.environ["ROUNDS_CONFIG"] = str(folder / "none")
        if given.book:
            shutil.copy(given.book, book)
        else:
            load_demo(book, None, rack.TODAY)
        keepers = ("Ferrow", "Ferrow") if given.same else ("Ferrow", "Wren")
        found, marks, reasons = together.run(book, begin, keepers, given.seconds)
        for terminal in running:
            terminal.press("backspace", "q")
            terminal.ended()
        report(found, marks, reasons, book)
    finally:
        for terminal in running:
            terminal.kill()
        shutil.rmtree(folder)


def report(found: list[together.Seen], marks: list[str], reasons: list[str], book: Path) -> None:
    notes, kept, twice, rounds = together.totals(book)
    print(f"notes typed {len(marks)}, in the book {len(notes)}, the same ones: {notes == sorted(marks)}")
    print(f"acts recorded {len(reasons)}, in the book {len(kept)}, the same ones: {kept == sorted(reasons)}")
    print(f"visits of one box twice in a round: {twice}; rounds of the day: {rounds}")
    for what, first, own in (
        ("notes on the own screen", "AB", True),
        ("notes on the other's", "AB", False),
        ("acts", "R", False),
    ):
        mine = [s for s in found if s.mark[0] in first and s.own is own]
        some = sorted(s.seconds for s in mine if s.seconds is not None)
        never = [s for s in mine if s.seconds is None]
        if some:
            print(
                f"{what}: n {len(some)}, p50 {percentile(some, 0.5):.2f}, p95 {percentile(some, 0.95):.2f},"
                f" most {some[-1]:.2f} s; over 2 s: {sum(s > 2 for s in some)}; never seen: {len(never)}"
            )
            bars = [sum(low <= s < low + 0.25 for s in some) for low in (i / 4 for i in range(12))]
            for i, n in enumerate(bars):
                print(f"  {i / 4:4.2f} to {(i + 1) / 4:4.2f} s  {'#' * n}")


if __name__ == "__main__":
    main()
