"""From the command to the first usable screen, against a bare one-screen program.

    python -m tests.bench.start BIG.sqlite EMPTY.sqlite [--pairs 15] [--large LARGE.sqlite] [--drivers FOLDER]

The books come from ``tests.bench.make_book``; ``--drivers`` is a folder with PostgreSQL
drivers (``pip install --target FOLDER ...``), which are then importable in one more case.
All cases are started in turn, so that a slow minute of the machine hits each alike. Beside the
milliseconds until the screen is there, which other work on the machine lengthens, the processor time
used by then is given.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
from pathlib import Path

from rounds.commands.book_commands import load_demo
from tests.bench.figures import BARE, Raw, percentile, said, walk, with_path


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("big", type=Path)
    parser.add_argument("empty", type=Path)
    parser.add_argument("--pairs", type=int, default=15)
    parser.add_argument("--large", type=Path, help="a house of 10,000 boxes")
    parser.add_argument("--drivers")
    given = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="rounds-bench-"))
    try:
        demo = folder / "demo.sqlite"
        load_demo(demo, None, None)
        cases: dict[str, tuple[list[str], str, list[str]]] = {
            "bare": ([*BARE, "one"], "READY", []),
            "demo": (walk(demo), r"1 of 60", []),
            "empty": (walk(given.empty), r"1 of \d+ ", []),
            "big": (walk(given.big), r"1 of \d+ ", []),
        }
        if given.large:
            cases["large"] = (walk(given.large), r"1 of \d+ ", [])
        if given.drivers:
            cases["big, drivers installed"] = (walk(given.big), r"1 of \d+ ", [given.drivers])
        taken: dict[str, list[float]] = {name: [] for name in cases}
        used: dict[str, list[float]] = {name: [] for name in cases}
        for turn in range(given.pairs + 2):
            for name, (argv, mark, more) in cases.items():
                with Raw(argv, env=with_path(*more)) as terminal:
                    ms = terminal.until(mark)
                    if turn >= 2:  # caches are warm from the third on
                        taken[name].append(ms)
                        used[name].append(terminal.processor_time())
    finally:
        shutil.rmtree(folder)
    for name in cases:
        print(said(name, taken[name]))
        print(said(f"{name}, processor time", used[name]))
    for name, other, budget in (
        ("demo", "bare", 1.35),
        ("big", "bare", 1.35),
        ("large", "bare", 1.25),
        ("big, drivers installed", "bare", 1.35),
        ("big", "empty", 1.05),
    ):
        if name in taken:
            until, spent = (percentile(of[name], 0.5) / percentile(of[other], 0.5) for of in (taken, used))
            print(f"{name} / {other}: {until:.2f}, of processor time {spent:.2f} (budget {budget})")


if __name__ == "__main__":
    main()
