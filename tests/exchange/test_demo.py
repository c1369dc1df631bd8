"""The invented house: its tables are what its generator makes, and load without a word."""

from __future__ import annotations

import csv
import os
import subprocess
import sys
from collections import Counter
from datetime import date, timedelta
from pathlib import Path

import pytest

import demo_data
from demo_data import house, story
from rounds.exchange.load import last_day, load_folder
from rounds.exchange.tables import TABLES
from rounds.husbandry.readings import Vocabulary
from rounds.husbandry.readings_file import vocabulary
from rounds.settings import yamlfile
from rounds.store.book import Book
from rounds.store.held import held

SHIPPED = Path(demo_data.__file__).parent
ROOT = SHIPPED.parent
FILES = [t.file for t in TABLES]


@pytest.fixture(scope="module")
def words() -> Vocabulary:
    return vocabulary([yamlfile.read(ROOT / "config" / "readings.yaml")])


def table(name: str) -> list[dict[str, str]]:
    with (SHIPPED / f"{name}.csv").open(encoding="utf-8", newline="") as f:
        return list(csv.DictReader(f))


def made(folder: Path, seed: str = "", hash_seed: str = "0") -> dict[str, bytes]:
    folder.mkdir()
    change = f"import demo_data.params as p; p.SEED = {seed!r}; " if seed else ""
    code = f"{change}from demo_data.make import write; from pathlib import Path; write(Path({str(folder)!r}))"
    env = os.environ | {"PYTHONHASHSEED": hash_seed, "PYTHONPATH": str(ROOT)}
    subprocess.run([sys.executable, "-c", code], check=True, env=env, cwd=folder)
    return {name: (folder / name).read_bytes() for name in FILES}


def test_the_same_seed_makes_the_same_bytes(tmp_path: Path) -> None:
    shipped = {name: (SHIPPED / name).read_bytes() for name in FILES}
    assert made(tmp_path / "a", hash_seed="1") == shipped
    assert made(tmp_path / "b", hash_seed="2") == shipped
    # The control: another seed is another story, in the same house.
    other = made(tmp_path / "c", seed="another")
    assert other["readings.csv"] != shipped["readings.csv"]
    assert other["enclosures.csv"] == shipped["enclosures.csv"]


def test_it_loads_without_a_problem_or_a_remark(book: Book, words: Vocabulary) -> None:
    loaded = load_folder(SHIPPED, book, words)
    assert loaded.remarks == ()
    assert loaded.added["visits"] == len(table("visits"))
    assert loaded.added["readings"] == len(table("readings"))
    assert all(loaded.added.values()), loaded.added


@pytest.mark.parametrize("by", [-400, 1, 97, 250, 365])
def test_it_loads_shifted_to_any_day(book: Book, words: Vocabulary, by: int) -> None:
    load_folder(SHIPPED, book, words, shift_days=by)
    assert book.row('SELECT max(day) FROM "round"') == (last_day(SHIPPED) + by,)
    assert len(held(book.db).enclosures) == 60


def test_the_rack_is_the_opening_rack(book: Book, words: Vocabulary) -> None:
    load_folder(SHIPPED, book, words)
    have = held(book.db)
    stages = Counter(e.stage for e in have.enclosures.values())
    assert stages == {
        "quarantine": 2, "resting": 4, "holding": 6, "pairing": 5, "laying": 8, "eggs": 4, "larvae": 9 + 14,
        "cell": 6, "colony": 1, "prepared": 1,
    }  # fmt: skip
    assert len(have.places) == 64
    assert len({e.place for e in have.enclosures.values()}) == 60
    assert {e.number for e in have.enclosures.values()} == set(range(1, 61))
    l3 = {c.enclosure for c in have.contents if c.instar == "L3"} - {"TL-060"}
    assert len(l3) == 14
    assert not any(e.code.startswith(("A", "B", "C", "D")) for e in have.enclosures.values())


def test_every_day_was_walked_by_the_keeper_of_the_day() -> None:
    by_day = {v["at"][:10]: v["keeper"] for v in table("visits")}
    first, last = date.fromisoformat(story.FIRST), date.fromisoformat(story.LAST)
    assert (last - first).days + 1 == 35
    for n in range(35):
        day = first + timedelta(days=n)
        assert by_day[day.isoformat()] == ("Tamsel" if day.weekday() >= 5 else "Ferrow")


def test_most_looks_are_as_expected_and_feeding_is_observed() -> None:
    how = Counter(r["how"] for r in table("readings"))
    assert how["expected"] > 2 * how["read"]
    observed = Counter(r["reading"] for r in table("readings") if r["how"] == "read")
    assert observed["jelly_gone"] > 0.25 * len(table("visits"))
    assert not any(r["how"] == "expected" for r in table("readings") if r["reading"].startswith("jelly"))


def test_every_shelf_is_measured_once_a_day() -> None:
    codes = {e["code"]: e["place"][:2] for e in table("enclosures")}
    at = {v["visit"]: (codes[v["enclosure"]], v["at"][:10]) for v in table("visits")}
    counts = Counter(at[r["visit"]] for r in table("readings") if r["reading"] == "shelf_temp")
    assert set(counts.values()) == {1}
    assert len({shelf for shelf, _ in counts}) == 16


def test_every_trouble_of_the_story_was_found() -> None:
    codes = {e["code"]: e["place"] for e in table("enclosures")}
    at = {v["visit"]: (codes[v["enclosure"]], v["at"][:10]) for v in table("visits")}
    read = {(*at[r["visit"]], r["reading"]): r["value"] for r in table("readings") if r["how"] == "read"}
    for event in story.EVENTS:
        day = date.fromisoformat(event.first)
        while day.isoformat() <= event.last:
            for reading, value in event.found.items():
                assert read.get((event.place, day.isoformat(), reading)) == value, (event, day)
            day += timedelta(days=1)
    hot = [float(read["A1-1", f"2026-02-{d}", "shelf_temp"]) for d in range(12, 18)]
    cool = [float(read["A2-1", f"2026-02-{d}", "shelf_temp"]) for d in range(12, 18)]
    assert all(h > c + 3 for h, c in zip(hot, cool, strict=True))


def test_cells_eggs_and_fresh_laying_boxes_are_locked() -> None:
    locked = {r["enclosure"]: r["forbids"].split() for r in table("locks")}
    for box in house.BOXES:
        if box.stage == "cell":
            assert locked[box.code] == ["open", "move", "wet"]
        elif box.stage == "laying":
            assert locked[box.code] == ["dig"]
        elif box.stage == "eggs":
            assert "dig" in locked[box.code]
        elif box.stage != "resting":
            assert box.code not in locked


def test_the_tables_stay_small() -> None:
    assert (SHIPPED / "readings.csv").stat().st_size < 600_000
