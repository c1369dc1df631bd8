"""The invented house: its tables are what its generator makes, and load without a word."""

from __future__ import annotations

import csv
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import pytest

import demo_data
from demo_data import house, story
from rounds.analysis.pairing.book_pairings import rank
from rounds.config import read
from rounds.files.csv_tables import TABLES
from rounds.files.load import Loaded, last_day, load_folder
from rounds.husbandry.readings import Vocabulary
from rounds.husbandry.readings_file import vocabulary
from rounds.records.invariants import faults
from rounds.records.ledger import Add
from rounds.records.observations import House
from rounds.records.tables import Content, Enclosure
from rounds.settings import yamlfile
from rounds.settings.layers import layers
from rounds.store import ledger_store
from rounds.store.book import Book, create
from rounds.store.snapshot import held
from tests.sampled import sampled

SHIPPED = Path(demo_data.__file__).parent
ROOT = SHIPPED.parent
FILES = [t.file for t in TABLES if (SHIPPED / t.file).exists()]


@pytest.fixture(scope="module")
def words() -> Vocabulary:
    return vocabulary([yamlfile.read(ROOT / "config" / "readings.yaml")])


class Shipped(NamedTuple):
    """The tables as they are shipped, loaded once: nobody writes to the book."""

    loaded: Loaded
    book: Book


@pytest.fixture(scope="module")
def shipped(words: Vocabulary, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shipped]:
    with create(tmp_path_factory.mktemp("shipped") / "a.book", House("", "UTC")) as book:
        yield Shipped(load_folder(SHIPPED, book, words), book)


@cache
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


def test_it_loads_without_a_problem_or_a_remark(shipped: Shipped) -> None:
    loaded = shipped.loaded
    assert loaded.remarks == ()
    assert loaded.added["visits"] == len(table("visits"))
    assert loaded.added["readings"] == len(table("readings"))
    for name in FILES:
        assert loaded.added[name.removesuffix(".csv")] > 0, name


def test_its_books_are_sound(shipped: Shipped) -> None:
    found = ledger_store.load(shipped.book)
    assert faults(found) == []
    # The control: a beetle in two boxes is not.
    content = next(c for c in found.rows(Content, Content.until.is_(None)) if c.animal is not None)
    elsewhere = content.changed(Content.enclosure, content.enclosure % 60 + 1)
    twice = found.after([Add("content", found.next_id(Content), elsewhere.values)])
    assert faults(twice) != []


@pytest.mark.parametrize("by", [-400, 1, 97, 250, 365][: sampled(1, 5)])
def test_it_loads_shifted_to_any_day(book: Book, words: Vocabulary, by: int) -> None:
    load_folder(SHIPPED, book, words, shift_days=by)
    assert book.row('SELECT max(day) FROM "round"') == (last_day(SHIPPED) + by,)
    assert len(held(book.db).tables["enclosure"]) == 60


def test_the_rack_is_the_opening_rack(shipped: Shipped) -> None:
    have = held(shipped.book.db).tables
    stages = Counter(e["stage"] for e in have["enclosure"].values())
    assert stages == {
        "quarantine": 2,
        "resting": 4,
        "holding": 9,
        "pairing": 5,
        "laying": 8,
        "eggs": 4,
        "larvae": 8 + 12,
        "cell": 6,
        "colony": 1,
        "prepared": 1,
    }
    assert len(have["place"]) == 64
    assert len({e["place"] for e in have["enclosure"].values()}) == 60
    assert {e["number"] for e in have["enclosure"].values()} == set(range(1, 61))
    now = [c for c in have["content"].values() if c["until"] is None]
    assert len({c["enclosure"] for c in now if c["instar"] == "L3"} - {"TL-060"}) == 12
    assert not any(code.startswith(("A", "B", "C", "D")) for code in have["enclosure"])


def test_every_day_was_walked_by_the_keeper_of_the_day() -> None:
    by_day = {v["at"][:10]: v["keeper"] for v in table("visits")}
    assert len(by_day) == 365
    assert (min(by_day), max(by_day)) == ("2025-03-01", "2026-02-28")
    for iso, keeper in by_day.items():
        away = story.HOLIDAY[0] <= iso <= story.HOLIDAY[1]
        assert keeper == ("Tamsel" if away or date.fromisoformat(iso).weekday() >= 5 else "Ferrow"), iso


def test_most_looks_are_as_expected_and_feeding_is_observed() -> None:
    how = Counter(r["how"] for r in table("readings"))
    assert how["expected"] > 2 * how["read"]
    observed = Counter(r["reading"] for r in table("readings") if r["how"] == "read")
    assert observed["jelly_gone"] > 0.2 * len(table("visits"))
    assert not any(r["how"] == "expected" for r in table("readings") if r["reading"].startswith("jelly"))


def test_every_shelf_is_measured_once_a_day() -> None:
    codes = {e["code"]: e["place"] for e in table("enclosures")}
    at = {v["visit"]: ((v["place"] or codes[v["enclosure"]])[:2], v["at"][:10]) for v in table("visits")}
    counts = Counter(at[r["visit"]] for r in table("readings") if r["reading"] == "shelf_temp")
    assert set(counts.values()) == {1}
    assert len({shelf for shelf, _ in counts}) == 16


def test_every_trouble_of_the_story_was_found() -> None:
    codes = {e["code"]: e["place"] for e in table("enclosures")}
    at = {v["visit"]: (codes[v["enclosure"]], v["at"][:10]) for v in table("visits")}
    read = {(*at[r["visit"]], r["reading"]): r["value"] for r in table("readings") if r["how"] == "read"}
    for event in (*story.YEAR, *story.EVENTS):
        day = date.fromisoformat(event.first)
        while day.isoformat() <= event.last:
            for reading, value in event.found.items():
                assert read.get((event.place, day.isoformat(), reading)) == value, (event, day)
            day += timedelta(days=1)
    hot = [float(read["A1-1", f"2026-02-{d}", "shelf_temp"]) for d in range(12, 18)]
    cool = [float(read["A2-1", f"2026-02-{d}", "shelf_temp"]) for d in range(12, 18)]
    assert all(h > c + 3 for h, c in zip(hot, cool, strict=True))


def test_cells_eggs_and_fresh_laying_boxes_are_locked() -> None:
    locked = {r["enclosure"]: r["forbids"].split() for r in table("locks") if not r["lifted"]}
    for box in house.BOXES:
        if box.stage == "cell":
            assert locked[box.code] == ["open", "move", "wet"]
        elif box.stage == "laying":
            assert locked[box.code] == ["dig"]
        elif box.stage == "eggs":
            assert "dig" in locked[box.code]
        elif box.stage != "resting":
            assert box.code not in locked


def test_a_digging_lock_ends_before_its_search_window_opens() -> None:
    """So that no day asks for a search and forbids it; as the act that sets such a lock does."""
    ends = {(r["enclosure"], r["from"]): r["until"] for r in table("locks") if r["forbids"] == "dig"}
    opens = {
        (r["enclosure"], _before(r["likely"], 28)): r["earliest"]
        for r in table("due")
        if r["what"] == "first search"
    }
    assert len(opens) > 20
    for at, earliest in opens.items():
        assert ends[at] == _before(earliest, 1), at


def _before(day: str, days: int) -> str:
    return (date.fromisoformat(day) - timedelta(days=days)).isoformat()


def test_there_is_something_to_plan(book: Book, words: Vocabulary) -> None:
    """A plan worth looking at: pairs of three species, of two lines each, and one choice that is hard."""
    load_folder(SHIPPED, book, words)
    ledger, today = ledger_store.load(book), last_day(SHIPPED) + 1
    found = rank(ledger, read(layers(None)[:1]).species, today)
    plans = {group.name: group.plan().pairs for group in found.groups}
    assert {name: len(pairs) for name, pairs in plans.items()} == {
        "Mecynorhina torquata": 2,
        "Dicronorhina derbyana": 2,
        "Eudicella smithi": 2,
    }
    # Related and unrelated partners to choose from in each, all awake at once.
    for k, group in enumerate(found.groups):
        every = [found.reasons[k].of(cell) for cell in group.cells]
        assert any(pair.f.high == 0 for pair in every)
        assert any(pair.f.high >= 0.25 for pair in every)
        assert group.warnings == []
    # The hard one: the least related male for her is near the end of his life. The others are her
    # brother, one that may be her half-brother or closer, and one whose own parents nobody knows.
    (hard,) = (x for x in found if (x.pair.male, x.pair.female) == ("KESTREL/K11", "UMBER/17"))
    planned = [(pair.male, pair.female) for pair in plans["Mecynorhina torquata"]]
    assert (hard.pair.male, hard.pair.female) in planned
    assert hard.until is not None
    assert hard.until - today < 14
    others = [x for x in found if x.pair.female == "UMBER/17" and x.number != hard.number]
    assert all(x.until is not None and x.until - today > 60 for x in others)
    assert sorted(x.pair.male for x in others if x.pair.f.high > 0) == ["UMBER/11", "UMBER/13"]
    (unknown,) = (x for x in others if x.pair.f.high == 0)
    assert unknown.pair.male == "KESTREL/K13"
    assert unknown.pair.cost > hard.pair.cost


def test_the_tables_stay_small() -> None:
    assert sum((SHIPPED / f).stat().st_size for f in FILES) < 6_000_000


def test_the_year_adds_up_to_about_what_such_a_house_does() -> None:
    """Orders of magnitude, from the arithmetic of the invented house (an estimate, no source)."""
    visits, readings = table("visits"), table("readings")
    assert 20_000 <= len(visits) <= 24_000
    put_in = sum(int(r["value"]) for r in readings if r["reading"] == "jelly_in") / 4
    assert 1_600 <= put_in <= 3_200
    pairings = table("pairings")
    trial = [p for p in pairings if p["pairing"].startswith("T-")]
    assert Counter(p["purpose"] for p in trial) == {"sibs": 6, "cross": 6}
    assert 12 <= len(pairings) - len(trial) <= 26  # thirteen of them stand on the rack of the last day
    found = sum(int(b["unsexed"] or 0) for b in table("broods"))
    assert 550 <= found <= 950
    animals, fewer = table("animals"), table("fewer")
    up = [a for a in animals if a["emerged"] >= "2025-03-01" and a["emerged"][0] == "2"]
    handed_on = sum(int(f["males"] or 0) + int(f["females"] or 0) for f in fewer if "adults" in f["cause"])
    reached = sum(int(f["unsexed"] or 0) for f in fewer if "reached" in f["cause"])
    assert 200 <= len(up) + handed_on + reached <= 400
    assert 60 <= sum(a["died"] >= "2025-03-01" for a in animals) <= 110
    noticed = sum(int(f["unsexed"] or 0) for f in fewer if f["how"] == "dead")
    never_seen = sum(int(f["unsexed"] or 0) for f in fewer if f["how"] == "missing")
    assert 20 <= noticed <= 90
    assert never_seen > noticed


def test_past_stages_follow_one_another_up_to_the_present_one() -> None:
    past: dict[str, list[dict[str, str]]] = {}
    for row in table("stage_past"):
        past.setdefault(row["enclosure"], []).append(row)
    since = {e["code"]: e["stage_since"] for e in table("enclosures")}
    assert len(past) > 50
    for code, rows in past.items():
        for before, after in pairwise(rows):
            assert before["since"] <= before["until"] == after["since"], (code, before, after)
            assert before["stage"] != after["stage"]
        if since[code][:3] == "202":  # a day, not a span in words
            assert rows[-1]["until"] == since[code], code


def test_the_beats_of_the_year_are_in_the_books() -> None:
    by = {p["pairing"]: p for p in table("pairings")}
    assert (by["P-01"]["since"], by["P-01"]["until"]) == ("2025-03-01", "2025-03-19")
    first = next(s for s in table("searches") if s["pairing"] == "P-01")
    assert (first["made"], first["l1"], first["eggs"], first["at_least"]) == ("2025-04-16", "14", "3", "yes")
    assert sum("swapped" in c["doubt"] for c in table("contents")) == 2
    assert [a["mark_lost"] for a in table("animals") if a["mark_lost"]] == ["2025-09-14"]
    assert {x["owner"] for x in table("loans")} == {"Nine Alders"}
    assert [x["mated_before"] for x in table("lots")] == ["unknown", "unknown"]
    cold = [
        r["value"]
        for r in table("readings")
        if r["reading"] == "shelf_temp" and r["visit"].startswith("251118")
    ]
    assert sum(float(v) < 18.5 for v in cold) == 4
    hot = [
        float(r["value"])
        for r in table("readings")
        if r["reading"] == "shelf_temp" and r["visit"].startswith("250721")
    ]
    assert sum(h > 28 for h in hot) == 1
    closed = [f for f in table("fewer") if f["made"] == "2025-12-18" and "reached" in f["cause"]]
    arms = {p["pairing"]: p["purpose"] for p in table("pairings")}
    counts = Counter(broods()[f["brood"]]["pairing"] for f in closed)
    assert {arms[p] for p in counts} == {"sibs", "cross"}


def broods() -> dict[str, dict[str, str]]:
    return {b["brood"]: b for b in table("broods")}


def test_every_trouble_is_at_a_box_that_was_looked_at_that_day() -> None:
    codes = {e["place"]: e["code"] for e in table("enclosures")}
    seen = {(v["enclosure"], v["at"][:10]) for v in table("visits") if not v["skipped"]}
    days = [t.day for t in story.TROUBLES]
    assert days == sorted(days)
    for trouble in story.TROUBLES:
        assert (codes[trouble.place], trouble.day) in seen, trouble


def test_the_first_tables_load_into_a_new_book_and_are_sound(book: Book, words: Vocabulary) -> None:
    """README's first day: ten boxes, some of whose facts are not known."""
    loaded = load_folder(SHIPPED / "first_tables", book, words)
    assert {k: n for k, n in loaded.added.items() if n} == {
        "places": 10,
        "lines": 1,
        "animals": 8,
        "enclosures": 10,
        "contents": 9,
        "locks": 1,
    }
    (remark,) = loaded.remarks  # its laying box has the lock that keeps it from being dug
    assert remark.startswith("T-03 is for pairing, and no pairing is on record there.")
    assert not list(faults(ledger_store.load(book)))
    assert sorted(e.number for e in ledger_store.load(book).rows(Enclosure)) == list(range(1, 11))
