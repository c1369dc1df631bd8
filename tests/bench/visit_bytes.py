"""Bytes of a book per visit with four readings, with its checksums and without: prints figures, asserts nothing.

``python -m tests.bench.visit_bytes [VISITS]`` (default 30,000). Floor: the same book with every
checksum taken out again.
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path

from rounds.store.row_verifying import verify
from tests.store.houses import fill, new_house

BOXES = 100
CELLS = [("jelly_gone", 2), ("moisture", "right"), ("temperature", 23.5), ("mites", "few")]


def size(path: Path) -> int:
    """Bytes of the file once it is packed."""
    with closing(sqlite3.connect(path)) as db:
        db.execute("VACUUM")
    return path.stat().st_size


def main() -> None:
    visits = int(sys.argv[1]) if len(sys.argv) > 1 else 30_000
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bytes.sqlite"
        with new_house(path, BOXES) as book:
            empty = size(path)
            began = time.process_time()
            fill(book, visits // BOXES, range(1, BOXES + 1), CELLS)
            wrote = time.process_time() - began
        visits = visits // BOXES * BOXES
        with_them = (size(path) - empty) / visits
        with closing(sqlite3.connect(path)) as db:
            began = time.process_time()
            found = verify(db)
            verified = time.process_time() - began
            db.execute("UPDATE visit SET crc = NULL")
            db.commit()
        without = (size(path) - empty) / visits
        print(
            f"{visits} visits of {len(CELLS)} readings, {found.rows} rows with a checksum, {len(found.damaged)} damaged"
        )
        print(f"bytes a visit: {with_them:.1f} with checksums, {without:.1f} without")
        print(
            f"verifying: {verified / visits * 1e6:.1f} us a visit; writing: {wrote / visits * 1e6:.0f} us a visit"
        )


if __name__ == "__main__":
    main()
