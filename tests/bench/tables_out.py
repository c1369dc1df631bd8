"""The whole book as tables, against the least that has to be done for it.

    python -m tests.bench.tables_out BOOK.sqlite [--times 3]

The floor is a loop over the same visits and readings with sqlite3 and csv alone. Both run in
turn as processes of their own; what is compared is the processor's time.
"""

from __future__ import annotations

import argparse
import csv
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.bench.figures import percentile


def floor(book: Path, folder: Path) -> None:
    """Visits and readings as two CSV files, ids and all, without putting anything into words."""
    folder.mkdir()
    with sqlite3.connect(f"{book.absolute().as_uri()}?mode=ro", uri=True) as db:
        for name, select in (
            ("visits", "SELECT hex(uid), at_ms, enclosure, seq, round, place FROM visit ORDER BY id"),
            (
                "readings",
                "SELECT hex(v.uid), c.reading, c.depth, c.number, c.text FROM visit v JOIN cell c ON c.visit = v.id"
                " ORDER BY v.id",
            ),
        ):
            with (folder / f"{name}.csv").open("w", newline="") as f:
                csv.writer(f).writerows(db.execute(select))


def spent(argv: list[str]) -> float:
    """Seconds of the processor that a program takes."""
    before = os.times()
    subprocess.run(argv, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


def asked_for(about: str) -> argparse.Namespace:
    """``book``, how many ``times``, and ``floor``: where the process that is the floor puts its rows."""
    parser = argparse.ArgumentParser(description=about.split("\n", 1)[0])
    parser.add_argument("book", type=Path)
    parser.add_argument("--times", type=int, default=3)
    parser.add_argument("--floor", type=Path, help=argparse.SUPPRESS)
    return parser.parse_args()


def main() -> None:
    given = asked_for(__doc__ or "")
    if given.floor:
        floor(given.book, given.floor)
        return
    scratch = Path(tempfile.mkdtemp(prefix="rounds-bench-", dir=given.book.parent))
    least, ours = [], []
    try:
        for n in range(given.times):
            least.append(
                spent(
                    [
                        sys.executable,
                        "-m",
                        "tests.bench.tables_out",
                        str(given.book),
                        "--floor",
                        str(scratch / f"f{n}"),
                    ]
                )
            )
            ours.append(
                spent(
                    [
                        sys.executable,
                        "-m",
                        "rounds",
                        "--book",
                        str(given.book),
                        "write",
                        str(scratch / f"o{n}"),
                    ]
                )
            )
    finally:
        shutil.rmtree(scratch)
    a, b = percentile(least, 0.5), percentile(ours, 0.5)
    print(f"floor {a:.2f} s, write {b:.2f} s of the processor: {b / a:.2f} (budget 3)")


if __name__ == "__main__":
    main()
