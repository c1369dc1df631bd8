"""What a key on the books' pages costs with 10,000 animals against 200: a move, and a letter of find.

    python -m tests.bench.pages [--many 10000] [--few 200] [--keys 300]

A key is timed from ``press`` to the composed lines, the two books in turn, on the animals list
(moving the cursor) and on the find page (typing and taking back letters). What is worked out
beside the keys is worked out while they are typed, as it is for a keeper. The first look at a
page, which makes it, is said apart.
"""

from __future__ import annotations

import argparse
import gc
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from rounds.config import read
from rounds.records.ledger import Add
from rounds.records.observations import House
from rounds.records.tables import TABLES
from rounds.screens.board import compose
from rounds.settings.layers import layers
from rounds.store import ledger_store as stored
from rounds.store.book import create
from rounds.values.spans import Span
from rounds.walk.core import Walk
from rounds.walk.machine.mode import Walking
from tests.bench.figures import percentile, said

DAY = date(2026, 3, 1).toordinal()
LINES = ("UMBER", "KESTREL", "LOCH", "TALLOW", "RUSH", "SORREL", "ALDER", "FLINT", "HAZEL", "TEAL")
BOXES = 100
SIZES = ((80, 24), (120, 40))
WORDS = ("umber 1", "kestrel 99", "tl-04", "loch m", "p-7", "q", "1", "dead", "teal 5")
BUDGET = 2.0


def make(path: Path, animals: int) -> None:
    """A house of ``animals`` animals in 100 boxes, a third of them living, each with parents."""
    draw = random.Random(1)
    with create(path, House("bench", "UTC")) as book, book.writing():
        book.run("INSERT INTO keeper (id, name) VALUES (1, 'Ferrow')")
        book.run("PRAGMA defer_foreign_keys = ON")

        def add(table: str, id_: int, **values: object) -> None:
            full = {c.name: c.default for c in TABLES[table].columns} | {"void": False} | values
            stored.make(book, Add(table, id_, full))

        for i, name in enumerate(LINES, 1):
            add("line", i, name=name, species="Mecynorhina torquata", origin="bred here")
        for i in range(1, BOXES + 1):
            add("place", i, bay="ABCDE"[(i - 1) // 20], shelf=(i - 1) % 20 // 4 + 1, slot=(i - 1) % 4 + 1)
            add(
                "enclosure",
                i,
                code=f"TL-{i:03}",
                number=i,
                stage="holding",
                place=i,
                species="Mecynorhina torquata",
            )
        for i in range(1, animals + 1):
            parent = {"sire": i - 7, "dam": i - 8} if i > 20 else {}
            state = "alive" if i % 3 == 0 else "dead"
            born = Span(DAY - draw.randint(200, 900), DAY - 200, "")
            add(
                "animal",
                i,
                line=i % len(LINES) + 1,
                number=str(i // len(LINES) + 1),
                sex="mf"[i % 2],
                state=state,
                born=born,
                note=draw.choice(("", "", "", "a scratch on the left wing case")),
                **parent,
            )
            if state == "alive":
                add("content", i, enclosure=i % BOXES + 1, animal=i, since=Span(DAY - 30, DAY - 30, ""))
        for i in range(1, animals // 20 + 1):
            add(
                "pairing",
                i,
                name=f"P-{i}",
                female=2 * i + 1,
                enclosure=i % BOXES + 1,
                since=Span(DAY - 99, DAY - 99, ""),
            )
            add("pairing_male", i, pairing=i, male=2 * i, since=Span(DAY - 99, DAY - 99, ""))


def timed(walk: Walk, key: str, size: tuple[int, int]) -> float:
    """Milliseconds from the key to the lines it changes."""
    start = time.perf_counter()
    walk.press(key)
    compose(walk, *size)
    return (time.perf_counter() - start) * 1000


def keys_of_find() -> list[str]:
    out: list[str] = []
    for text in WORDS:
        out += ["space" if c == " " else c for c in text]
        out += ["down", "down", *["backspace"] * len(text)]
    return out


def measured(
    walks: dict[str, Walk], keys: Sequence[str], opening: Sequence[str], size: tuple[int, int]
) -> dict[str, list[float]]:
    """Every key on each book in turn, with the pages kept as they are on a screen that is told."""
    found: dict[str, list[float]] = {name: [] for name in walks}
    for name, walk in walks.items():
        walk.state = walk.state._replace(pages=(), mode=Walking())
        first = sum(timed(walk, key, size) for key in opening)
        print(f"{name:<6} first look at this page {first:9.2f} ms")
        walk.pages.lookup.behind.wait(60)
        walk.take_found()
        compose(walk, *size)
        took = timed(walk, keys[0], size)
        print(f"{name:<6} first key on this page  {took:9.2f} ms (budget 50)")
        walk.press("backspace" if opening == ("/",) else "up")
        compose(walk, *size)
    for i, key in enumerate(keys):
        for name, walk in walks.items():
            took = timed(walk, key, size)
            if i >= 10:
                found[name].append(took)
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--many", type=int, default=10_000)
    parser.add_argument("--few", type=int, default=200)
    parser.add_argument("--keys", type=int, default=300)
    given = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="rounds-bench-"))
    walks: dict[str, Walk] = {}
    try:
        for name, count in (("few", given.few), ("many", given.many)):
            make(folder / f"{name}.sqlite", count)
            walks[name] = Walk(folder / f"{name}.sqlite", read(layers()), day=DAY)
            walks[name].look_up_dues()
            assert walks[name].dues.finder is not None
            walks[name].dues.finder.wait(120)  # type: ignore[union-attr]
            walks[name].take_dues()
        gc.collect()
        gc.freeze()  # as the program does once it is on the screen
        moves = random.Random(2).choices(
            ("down", "up", "pagedown", "pageup", "end", "home"), (60, 10, 15, 10, 2, 2), k=given.keys
        )
        for size in SIZES:
            for what, keys, opening in (
                ("a move on the animals list", moves, ("right", "4")),
                ("a key on the find page", keys_of_find(), ("/",)),
            ):
                found = measured(walks, keys, opening, size)
                for name, took in found.items():
                    print(said(f"{size[0]}x{size[1]} {what}, {name}", took))
                ratio = percentile(found["many"], 0.95) / percentile(found["few"], 0.95)
                print(f"p95 many / few: {ratio:.2f} (budget {BUDGET})", flush=True)
    finally:
        for walk in walks.values():
            walk.close(10)
        shutil.rmtree(folder)


if __name__ == "__main__":
    sys.exit(main())
