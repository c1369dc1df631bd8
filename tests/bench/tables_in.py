"""Tables loaded into an empty book, against the least that has to be done for it.

    python -m tests.bench.tables_in BOOK.sqlite [--times 3]

The book is written out once. The floor puts its visits and readings, as they lie in the book,
into an empty book's tables with sqlite3's executemany: the same rows, the same indexes, foreign
keys checked, one commit. Nothing is read from a file and nothing checked. Both run in turn as
processes of their own; what is compared is the processor's time.
"""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.bench.figures import percentile
from tests.bench.tables_out import asked_for, spent

TABLES = ("keeper", "place", "enclosure", "kind", "phrase", "remark", "round", "visit", "reading")


def floor(book: Path, into: Path) -> None:
    """Every row of ``book`` that a load of its tables makes, put into the empty book ``into``."""
    with (
        sqlite3.connect(f"{book.absolute().as_uri()}?mode=ro", uri=True) as have,
        sqlite3.connect(into) as made,
    ):
        made.execute("PRAGMA foreign_keys = 1")
        for table in TABLES:
            rows = have.execute(f'SELECT * FROM "{table}" ORDER BY 1, 2')
            marks = ", ".join("?" * len(rows.description))
            made.executemany(f'INSERT INTO "{table}" VALUES ({marks})', rows)


def main() -> None:
    given = asked_for(__doc__ or "")
    if given.floor:
        floor(given.book, given.floor)
        return
    scratch = Path(tempfile.mkdtemp(prefix="rounds-bench-", dir=given.book.parent))
    ours = [sys.executable, "-m", "rounds", "--book"]
    least, loading = [], []
    try:
        tables = scratch / "tables"
        subprocess.run([*ours, str(given.book), "write", str(tables)], check=True, capture_output=True)
        for n in range(given.times):
            bare, book = scratch / f"f{n}.sqlite", scratch / f"o{n}.sqlite"
            for path in (bare, book):
                subprocess.run(
                    [sys.executable, "-m", "rounds", "new", str(path)], check=True, capture_output=True
                )
            bench = [sys.executable, "-m", "tests.bench.tables_in", str(given.book), "--floor", str(bare)]
            least.append(spent(bench))
            loading.append(spent([*ours, str(book), "load", str(tables)]))
            assert _rows(bare) == _rows(book), "not the same rows"
            bare.unlink()
            book.unlink()
    finally:
        shutil.rmtree(scratch)
    a, b = percentile(least, 0.5), percentile(loading, 0.5)
    print(f"floor {a:.2f} s, load {b:.2f} s of the processor: {b / a:.2f} (budget 4)")


def _rows(book: Path) -> tuple[int, int]:
    with sqlite3.connect(book) as db:
        counts = (db.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in ("visit", "reading"))
        return next(counts), next(counts)


if __name__ == "__main__":
    main()
