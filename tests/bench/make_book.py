"""Makes a big book for the benchmarks: a house of many enclosures walked every day for years.

    python -m tests.bench.make_book big.sqlite                 1,000 enclosures, 5 years, 1.8 million visits
    python -m tests.bench.make_book empty.sqlite --years 0     the same house, never walked

Each visit has four readings. Everything is drawn from a seed; the last visit is yesterday's.
"""

from __future__ import annotations

import argparse
import json
import random
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from rounds.husbandry.round_day import round_day
from rounds.records.observations import House
from rounds.store.book import Book, create
from rounds.store.cell_codec import Dictionary
from rounds.store.ids import now_ms

PER_SHELF = 500  # far from a rack, but then hundreds of keys in a row are alike
STAGES = ("larvae", "larvae", "larvae", "larvae", "holding", "cell", "resting", "laying", "pairing", "eggs")
CONFIRMED = {
    "larvae": {"tunnels": True, "droppings": "some", "lid": True},
    "cell": {"lid": True, "cell_seen": True},
    "resting": {"activity": "below", "lid": True},
    "eggs": {"mould": "none", "lid": True},
    "holding": {"on_back": False, "mites": "none", "lid": True},
    "laying": {"smell": "earthy", "lid": True},
    "pairing": {"on_back": False, "mites": "none", "lid": True},
}
SPECIES = ("Mecynorhina torquata", "Eudicella smithi", "Dicronorhina derbyana")


def make(
    path: Path, enclosures: int = 1000, years: float = 5, seed: int = 1, today: int | None = None
) -> int:
    """Make the book and return how many visits it has. Raises BookError if something is there already."""
    house = House("bench", "UTC")
    if today is None:  # before four in the morning the house's day is still the one before
        today = round_day(now_ms(), house.zone, house.day_starts)
    days = round(years * 365.25)
    draw = random.Random(seed)
    with create(path, house) as book, book.writing():
        book.run("INSERT INTO keeper (id, name) VALUES (1, 'Ferrow')")
        stages = _house(book, enclosures, today - days - 30)
        visits = _visits(book, stages, today - days, today, draw) if days else 0
    with create_again(path) as book:
        book.tidy()
    return visits


def create_again(path: Path) -> Book:
    from rounds.store.book import open_book

    return open_book(path)


def _many(book: Book, sql: str, rows: Iterator[tuple[object, ...]]) -> None:
    book.db.cursor().executemany(sql, rows)  # type: ignore[no-untyped-call]


def _house(book: Book, count: int, since: int) -> list[str]:
    """Larvae first, so that a walk's first hundreds of keys are alike."""
    stages = sorted((STAGES[i % len(STAGES)] for i in range(count)), key=lambda s: (s != "larvae", s))
    places = (
        (i + 1, "ABCDEFGHIJ"[i // PER_SHELF % 10], i // PER_SHELF // 10 + 1, i % PER_SHELF + 1)
        for i in range(count)
    )
    _many(book, "INSERT INTO place (id, bay, shelf, slot) VALUES (?, ?, ?, ?)", places)
    rows = (
        (i + 1, f"TL-{i + 1:04}", i + 1, stage, since, since, "", i + 1, 0, SPECIES[i % 3], 12.0, "")
        for i, stage in enumerate(stages)
    )
    _many(
        book,
        "INSERT INTO enclosure (id, code, number, stage, stage_since_earliest, stage_since_latest, stage_since_words,"
        " place, slot_order, species, litres, note) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        rows,
    )
    return stages


def _visits(book: Book, stages: list[str], first: int, today: int, draw: random.Random) -> int:
    words = Dictionary(book.db)
    confirmed = {s: words.cell("as_expected", 0, v) for s, v in CONFIRMED.items()}
    moist = [words.cell("moisture", 0, w) for w in ("right", "right", "right", "right", "wet")]
    active = [words.cell("activity", 0, w) for w in ("below", "out", "still")]
    gone = [words.cell("jelly_gone", 1, n) for n in (0, 1, 1, 2)]
    surfaced, warm = words.cell("surfaced", 0, 0), words.cell("warmth", 1, "even")
    feeding = ("holding", "laying", "pairing")
    epoch = date(1970, 1, 1).toordinal()
    visit = 0
    for day in range(first, today):
        number = day - first + 1
        at = (day - epoch) * 86_400_000 + 7 * 3_600_000
        book.run(
            'INSERT INTO "round" (id, uid, keeper, day, name, zone, bays, opened_ms, closed_ms, fingerprint, source)'
            " VALUES (?, ?, 1, ?, '', 'UTC', '[]', ?, ?, 'bench', 'walked')",
            (number, draw.randbytes(16), day, at, at + 3_600_000),
        )
        _many(
            book,
            "INSERT INTO visit (id, uid, enclosure, round, seq, at_ms, place) VALUES (?, ?, ?, ?, ?, ?, ?)",
            (
                (
                    visit + i + 1,
                    (at + 3000 * i).to_bytes(6, "big") + draw.randbytes(10),
                    i + 1,
                    number,
                    i + 1,
                    at + 3000 * i,
                    i + 1,
                )
                for i in range(len(stages))
            ),
        )
        _many(
            book,
            "INSERT INTO reading (visit, kind, number) VALUES (?, ?, ?)",
            (
                (visit + i + 1, *cell)
                for i, stage in enumerate(stages)
                for cell in sorted(
                    (
                        confirmed[stage],
                        draw.choice(moist),
                        *((draw.choice(gone), draw.choice(active)) if stage in feeding else (surfaced, warm)),
                    )
                )
            ),
        )
        visit += len(stages)
    return visit


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("path", type=Path)
    parser.add_argument("--enclosures", type=int, default=1000)
    parser.add_argument("--years", type=float, default=5)
    given = parser.parse_args()
    visits = make(given.path, given.enclosures, given.years)
    size = given.path.stat().st_size
    print(
        json.dumps(
            {"visits": visits, "bytes": size, "bytes a visit": round(size / visits, 1) if visits else None}
        )
    )


if __name__ == "__main__":
    main()
