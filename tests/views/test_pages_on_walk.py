"""Pages of kin on a walk over the demo: reached by keys, never waited for, and acts from them at their enclosure."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.views import animal_sentences, find_page, page_registry
from rounds.views.page import TOPICS, Link, ListRow, Page, Topic
from rounds.walk.core import Walk
from tests.screens import house
from tests.screens.page_places import KIN


@pytest.fixture
def walk(demo_book: Path, tmp_path: Path) -> Iterator[Walk]:
    with house.walking(house.copied(demo_book, tmp_path)) as opened:
        house.go(opened, 14)
        yield opened


@pytest.mark.parametrize("name", KIN)
def test_every_place_is_reached_by_its_keys(walk: Walk, name: str) -> None:
    kind, keys = KIN[name]
    for key in keys:
        walk.press(key)
        walk.pages.page(walk.state.pages[-1])  # what it needs is worked out beside the keys
        assert walk.pages.lookup.behind.wait(60)
        walk.take_found()
    assert walk.state.pages[-1].link.kind == kind
    page = walk.pages.page(walk.state.pages[-1])
    assert page.size() > 0
    for width, height in house.SIZES:
        lines = house.screen(walk, width, height)
        assert len(lines) == height
        assert page.title[:20] in lines[0]


def test_what_is_worked_out_beside_the_keys_is_shown_when_it_is_there(walk: Walk) -> None:
    house.press(walk, *KIN["a brood"][1], "backspace")
    before = dict(walk.pages.page(walk.state.pages[-1]).facts)["F of young"]
    assert before[0].isdigit() or before.startswith("work")
    assert walk.pages.lookup.behind.wait(60)
    walk.take_found()
    after = dict(walk.pages.page(walk.state.pages[-1]).facts)
    assert after["F of young"][0].isdigit()
    assert after["father"].partition(":")[2]  # why


def test_the_record_key_goes_to_the_enclosure_a_row_is_about_and_offers_acts_there(walk: Walk) -> None:
    house.press(walk, *KIN["animals"][1], "down", "down")
    page = walk.pages.page(walk.state.pages[-1])
    row = page.at(walk.state.pages[-1].cursor)
    house.press(walk, "y")
    assert walk.state.mode.name == "acts"
    assert walk.state.pages == ()
    assert walk.route.stops[walk.state.at].enclosure.id == row.enclosure  # type: ignore[union-attr]


def test_a_note_of_this_round_is_among_the_looks_that_name_it(walk: Walk) -> None:
    one = next(c for c in walk.route.stops[walk.state.at].enclosure.contents if c.animal)
    house.press(walk, "n", *(f"{one.line} {one.animal} is calm").replace(" ", "|"), "enter")
    assert walk.drain(10)
    house.press(walk, "right")
    page = walk.pages.page(walk.state.pages[-1])
    at = next(i for i in range(page.size()) if (r := page.at(i)) and r.link and r.link.kind == "animal")
    house.press(walk, *["down"] * at, "right")
    walk.pages.page(walk.state.pages[-1])
    assert walk.pages.lookup.behind.wait(60)
    walk.take_found()
    looks = next(p for p in walk.pages.page(walk.state.pages[-1]).parts if p.title == animal_sentences.LOOKS)
    assert [r.cells[1].replace("|", " ") for r in looks.rows][:1] == [f"{one.line} {one.animal} is calm"]


def test_a_look_of_this_round_counts_on_pages_and_boxes_not_reached_have_none(
    demo_book: Path, tmp_path: Path
) -> None:
    with house.walking(house.copied(demo_book, tmp_path), day=house.DAY + 1) as walk:
        here, later = (walk.route.stops[walk.state.at + n].enclosure.id for n in (0, 1))
        lookup = walk.pages.lookup
        before, looks = [lookup.seen(box, 3) for box in (here, later)], dict(lookup.last_looks())
        house.press(walk, "n", *"calm", "enter")
        *earlier, newest = lookup.seen(here, 4)
        assert earlier == before[0]
        assert (newest.day, newest.note) == (walk.day, "calm")
        assert lookup.seen(later, 3) == before[1]
        assert lookup.last_looks() == looks | {here: walk.day}
        assert looks[here] < walk.day


def test_no_page_of_kin_loads_numbers_libraries_where_keys_wait(demo_book: Path, tmp_path: Path) -> None:
    code = f"""
import sys
sys.path.insert(0, {str(Path(__file__).resolve().parents[2])!r})
from pathlib import Path
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Brood, Line, Lot, Pairing
from rounds.store import ledger_store as stored
from rounds.store.book import open_book
from tests.views.on_books import OnBooks
with open_book(Path({str(demo_book)!r}), readonly=True) as book:
    books = OnBooks(stored.load(book), wait=True)
for kind, of in (("animal", Animal), ("line", Line), ("pairing", Pairing), ("brood", Brood), ("lot", Lot)):
    books.page(kind, next(record.id for record in books.ledger.rows(of)))
for kind in ("animals", "lines", "pairings", "lots"):
    books.page(kind)
print(*sorted(m for m in sys.modules if m.partition(".")[0] in ("numpy", "scipy", "textual") or "kinship" in m))
"""
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=tmp_path, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == []


@pytest.mark.parametrize("name", [n for n, (kind, _) in KIN.items() if kind not in ("match", "couple")])
def test_from_every_page_acts_are_one_key_away_where_there_is_an_enclosure(walk: Walk, name: str) -> None:
    house.press(walk, *KIN[name][1])
    page = walk.pages.page(walk.state.pages[-1])
    row = page.at(walk.state.pages[-1].cursor)
    assert isinstance(row, ListRow)
    box = row.enclosure if row.enclosure is not None else page.enclosure
    house.press(walk, "y")
    if box is None:
        assert "nothing can be recorded from here" in walk.state.message
        assert walk.state.pages
    else:
        assert (walk.state.mode.name, walk.route.stops[walk.state.at].enclosure.id) == ("acts", box)


def test_a_page_that_no_digit_opens_is_reached_through_find(
    walk: Walk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All ten digits are given: the next page of the house is listed on the find page, and found there."""
    quiet = Topic("", Link("quiet"), "quiet corners")
    monkeypatch.setitem(
        page_registry.PAGE_KINDS, "quiet", lambda: lambda opened, sources: Page("quiet corners")
    )
    monkeypatch.setattr(find_page, "TOPICS", (*TOPICS, Topic("", Link("due"), "quiet"), quiet))
    without = [t for t in find_page.TOPICS if not t.key]
    house.press(walk, "right", "0")
    assert walk.pages.page(walk.state.pages[-1]).size() == len(without)
    for keys in (["down"] * without.index(quiet), tuple("corn"), (*"quiet", "space", *"corners")):
        house.press(walk, *keys, "enter")
        assert walk.state.pages[-1].link == quiet.link
        assert "quiet corners" in house.screen(walk, 80, 24)[0]
        house.press(walk, "b")
        house.press(walk, *["backspace"] * len(walk.state.pages[-1].query))
    house.press(walk, *"quiet")
    assert walk.pages.page(walk.state.pages[-1]).at(0).link == Link("due")  # type: ignore[union-attr]
    house.press(walk, *"x")
    assert all(
        row.link != quiet.link for part in walk.pages.page(walk.state.pages[-1]).parts for row in part.rows
    )
