"""What a key costs without a screen, what a summary costs, and how big a visit is.

python -m tests.bench.work BIG.sqlite
"""

from __future__ import annotations

import argparse
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from rounds.config import read
from rounds.settings.layers import layers
from rounds.store.book import open_book
from rounds.walk.core import Walk
from rounds.walk.daily_summary import of_day
from tests.bench.figures import percentile, said


def taken(run: Callable[[], object], times: int) -> list[float]:
    out = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        out.append((time.perf_counter() - start) * 1000)
    return out


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("big", type=Path)
    given = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="rounds-bench-", dir=given.big.parent))
    try:
        book = Path(shutil.copy(given.big, folder / "big.sqlite"))
        size(book)
        summary(book)
        keys(book)
    finally:
        shutil.rmtree(folder)


def size(book: Path) -> None:
    db = sqlite3.connect(book)
    visits = db.execute("SELECT count(*) FROM visit").fetchone()[0]
    db.close()
    print(f"bytes a visit: {book.stat().st_size / max(1, visits):.1f} over {visits} visits (budget 140)")


def summary(path: Path) -> None:
    """The summary and flags of a day against reading the last fortnight's rows."""
    config = read(layers())
    with open_book(path, readonly=True) as book:
        day = book.row('SELECT max(day) FROM "round"')
        assert day is not None
        scan = (
            'SELECT v.enclosure, r.day, d.kind, d.number FROM visit v JOIN "round" r ON r.id = v.round'
            " JOIN reading d ON d.visit = v.id WHERE r.day > ? ORDER BY v.id"
        )
        scans: list[float] = []
        summaries: list[float] = []
        for _ in range(15):  # in turn
            scans += taken(lambda: book.rows(scan, (day[0] - 14,)), 1)
            summaries += taken(lambda: of_day(book, config, day[0] + 1), 1)
    print(said("the fortnight's rows, read", scans))
    print(said("summary of a day", summaries))
    ratio = percentile(summaries, 0.5) / percentile(scans, 0.5)
    print(f"summary / fortnight's scan: {ratio:.2f} (budget 1.5 of scan and rules)")


def keys(path: Path) -> None:
    """A walk over some hundred enclosures without a screen; the share that judging takes."""
    walk = Walk(path, read(layers()))
    judged: list[float] = []
    judge = walk.watch.judge

    def timed(*args: object) -> object:
        start = time.perf_counter()
        found = judge(*args)  # type: ignore[arg-type]
        judged.append((time.perf_counter() - start) * 1000)
        return found

    walk.watch.judge = timed  # type: ignore[method-assign,assignment]
    pressed = []
    for i in range(600):
        start = time.perf_counter()
        walk.press("2" if i % 2 == 0 else "space")
        pressed.append((time.perf_counter() - start) * 1000)
    print(said("a key in the walk, rules included", pressed))
    print(said("judging one enclosure", judged))
    arrived = taken(walk.round.carry, 1)
    print(said("what to carry, from all enclosures (first)", arrived))
    print(said("what to carry, again", taken(walk.round.carry, 5)))
    walk.close(60.0)


if __name__ == "__main__":
    main()
