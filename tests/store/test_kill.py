"""Killed at any moment, a book holds everything that was said to be saved."""

from __future__ import annotations

import random
import time
from pathlib import Path

import pytest

from rounds.store.book import open_book
from tests.store import children
from tests.store.houses import new_house

# Both builds take 4 ms from the last write to COMMIT, so that a kill can fall in between; the
# control says "saved" before that, as a program would that believes a transaction begun is kept.
ROUND = """
    import sys, time
    from rounds.records.entries import Assign, OpenRound, OpenVisit
    from rounds.store.apply_entries import apply
    from rounds.store.writer import Writer

    class Slow(Writer):
        def save(self, batch):
            book = self.open()
            with book.writing():
                apply(book, [t.entry for t in batch])
                if sys.argv[2] == "early":
                    print(batch[-1].ticket)
                time.sleep(0.004)
            self.saved(batch)

    w = Slow(sys.argv[1], lambda n: sys.argv[2] == "early" or print(n), lambda t: None)
    start = int(sys.argv[3])
    r, v = start.to_bytes(16, "big"), (start + 1).to_bytes(16, "big")
    w.put([OpenRound(r, "Ferrow", 1, 1, "UTC"), OpenVisit(v, r, 1, 1, 1)])
    n = 0
    while True:
        w.put([Assign(v, "jelly_gone", 1, n or None, n + 1, n, "Ferrow")])
        n += 1
        time.sleep(0.0005)
"""


def kills(path: Path, build: str, times: int, seed: int) -> tuple[int, int]:
    """Acknowledged entries, and how many of them the book did not have afterwards."""
    chance = random.Random(seed)
    acked = lost = 0
    for n in range(times):
        start = 1000 * n
        with children.start(ROUND, path, build, start) as child:
            assert child.stdout is not None
            first = child.stdout.readline()
            time.sleep(chance.uniform(0.0, 0.05))
            child.kill()
            said = [int(line) for line in [first, *child.stdout] if line.endswith("\n")]
        with open_book(path) as book:
            row = book.row(
                "SELECT c.number FROM visit v JOIN cell c ON c.visit = v.id WHERE v.uid = ?",
                ((start + 1).to_bytes(16, "big"),),
            )
            assert book.row("PRAGMA quick_check") == ("ok",)
        # Ticket t puts the number t - 2 into the one cell.
        has = 2 + (int(row[0]) if row else 0)
        acked += len(said)
        lost += max(0, said[-1] - has)
    return acked, lost


@pytest.mark.long
def test_nothing_said_to_be_saved_is_lost(path: Path) -> None:
    new_house(path).close()
    acked, lost = kills(path, "late", 25, seed=1)
    assert acked > 25
    assert lost == 0


@pytest.mark.long
def test_control_saying_so_before_the_commit_is_found_out(path: Path) -> None:
    new_house(path).close()
    _, lost = kills(path, "early", 25, seed=2)
    assert lost > 0
