"""The rack: every slot once, signs that say what they mean without colour, a look that is a look."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.cli import run
from rounds.presenters import rack_lines
from rounds.records.observations import EnclosureState
from rounds.records.tables import Enclosure, Place
from rounds.store import read
from rounds.store.read_visits import last_days
from rounds.views.page import Link, OpenPage, Page, Shelf, Tile
from rounds.views.rack_page import shade
from rounds.walk.core import Walk
from tests.screens import house


def rack(walk: Walk) -> Page:
    return walk.pages.page(OpenPage(Link("rack")))


def tile(walk: Walk, code: str) -> Tile:
    return next(t for s in rack(walk).shelves for t in s.tiles if t.texts[0] == code)


def test_every_box_stands_once_where_the_books_have_it(walk: Walk) -> None:
    ledger = walk.acts.ledger
    drawn = [(s.name, t.enclosure) for s in rack(walk).shelves for t in s.tiles if t.enclosure is not None]
    shelves = {place.id: place.shelf_name for place in ledger.rows(Place)}
    kept = {(shelves[box.place], box.id) for box in ledger.rows(Enclosure)}
    assert len(drawn) == len(kept)
    assert set(drawn) == kept


def test_free_slots_are_drawn_and_open_nothing(walk: Walk) -> None:
    free = [t for s in rack(walk).shelves for t in s.tiles if t.link is None]
    ledger = walk.acts.ledger
    held = {box.place for box in ledger.rows(Enclosure)}
    assert len(free) == sum(1 for place in ledger.rows(Place) if place.id not in held)
    at = next(i for i, t in enumerate(t for s in rack(walk).shelves for t in s.tiles) if t.link is None)
    house.press(walk, "right", "1", "home", *["right"] * at, "enter")
    assert walk.state.message == "nothing stands in this slot"
    house.press(walk, "d")
    assert "nothing can be recorded" in walk.state.message


def test_the_rack_opens_at_the_box_one_stands_at(walk: Walk) -> None:
    house.go(walk, 14)
    house.press(walk, "right", "1")
    here = rack(walk).at(walk.state.pages[-1].cursor)
    assert isinstance(here, Tile)
    assert here.texts[0] == "TL-014"
    house.press(walk, "enter")
    assert walk.state.pages[-1].link.kind == "enclosure"
    house.press(walk, "home", "enter")
    assert not walk.state.pages
    assert walk.route.label(walk.state.at) == "TL-014"


def test_a_box_says_its_worst_action_its_lock_and_what_is_due(walk: Walk) -> None:
    found = tile(walk, "TL-014")
    assert (found.mark, found.style) == ("!!!", "now")
    assert "lock" in found.signs
    assert any("Smell: sour" in x for x in found.said)
    for i, stop in enumerate(walk.route.stops):
        drawn = tile(walk, stop.enclosure.code)
        assert ("lock" in drawn.signs) is bool(stop.locks)
        assert ("due" in drawn.signs) is any(d.planned() <= walk.day for d in stop.dues)
        assert bool(drawn.mark) is bool(walk.desk.actions(i))


def test_a_look_shows_at_once_and_a_skip_is_none(walk: Walk) -> None:
    house.go(walk, 47)
    before = tile(walk, "TL-047").shade
    assert before == "░1d"
    house.press(walk, "s", "1")
    assert tile(walk, "TL-047").shade == before
    house.go(walk, 47)
    house.press(walk, "2")
    assert tile(walk, "TL-047").shade == "✓"
    house.press(walk, "u")
    assert tile(walk, "TL-047").shade == before


@pytest.mark.parametrize(
    ("ago", "sign"),
    [(0, "✓"), (1, "░1d"), (2, "░2d"), (3, "▒3d"), (99, "▒99d"), (500, "▒99+d"), (None, "▓?")],
)
def test_days_since_the_last_look_have_signs_of_their_own(ago: int | None, sign: str) -> None:
    box = EnclosureState(1, "T", 1, "larvae", None, None, 0, "")
    assert shade(box, None if ago is None else 1000 - ago, 1000) == sign


def test_the_newest_look_is_the_one_that_all_visits_give(book: Path) -> None:
    """Against going through every visit; a skip, and a visit taken back, count for nothing."""
    with house.walking(book) as walk:
        for number in range(1, 30, 3):
            house.go(walk, number)
            house.press(walk, "s", "1")
        house.go(walk, 2)
        house.press(walk, "2", "u")
    with house.walking(book, day=house.DAY + 1) as walk:
        every = read.history(walk.book, since_day=1)
        wanted = {
            box: max(v.day for v in some if v.looked)
            for box, some in every.items()
            if any(v.looked for v in some)
        }
        assert last_days(walk.book) == wanted
        newest = {box: max(v.day for v in some) for box, some in every.items()}
        assert newest != wanted, "the control: visits alone would say something else"


names = st.text(st.characters(codec="utf-8"), max_size=12)
tiles = st.builds(
    Tile,
    st.tuples(names, st.sampled_from(("laying", "quarantine", "larvae L3"))),
    st.just(Link("enclosure", 1)),
    st.sampled_from(("", "!", "!!", "!!!")),
    st.sampled_from(("", "look", "today", "now")),
    st.sampled_from(("", "✓", "░1d", "▒99+d", "▓?")),
    st.just(1),
    st.sampled_from(((), ("due",), ("lock",), ("due", "lock"))),
    st.lists(st.text(max_size=200), max_size=5).map(tuple),
)
shelves = st.lists(
    st.one_of(
        st.builds(Shelf, names, st.lists(tiles, max_size=20).map(tuple), st.sampled_from(("", "A", "B"))),
        st.builds(Shelf, names, tiles.map(lambda tile: (tile,)), st.just(""), st.just(value=True)),
    ),
    min_size=1,
    max_size=30,
).filter(lambda some: any(s.tiles for s in some))


@given(shelves, st.integers(0, 700), st.integers(12, 200), st.integers(1, 60))
def test_the_box_at_the_cursor_is_always_drawn(some: list[Shelf], cursor: int, width: int, room: int) -> None:
    page = Page("the rack", shelves=tuple(some))
    lines = rack_lines.lines(page, cursor, width, room)
    assert len(lines) == room
    grid = rack_lines.layout(page, width)
    if room >= 14:
        pointed = [line for line in lines if any(t[:1] == ">" and look == "cursor" for t, look in line)]
        assert len(pointed) == 1
    assert grid.across >= 1


@pytest.mark.parametrize("width", [30, 12])
def test_without_colour_no_two_states_look_alike(width: int) -> None:
    seen = set()
    states = [
        (mark, shown, signs)
        for mark in ("", "!", "!!", "!!!")
        for shown in ("", "✓", "░1d", "▒3d", "▓?")
        for signs in ((), ("due",), ("lock",), ("due", "lock"))
    ]
    for mark, shown, signs in states:
        one = Tile(("TL-014", "laying"), Link("enclosure", 1), mark, "", shown, 1, signs)
        page = Page("the rack", shelves=(Shelf("A1", (one,)),))
        seen.add(
            "\n".join("".join(text for text, _ in line) for line in rack_lines.lines(page, 0, width, 10))
        )
    assert len(seen) == len(states)


def test_boxes_that_share_a_slot_stand_side_by_side_and_leave_theirs_free(book: Path) -> None:
    told = ["--book", str(book), "--today", "2026-03-01", "record", "move-box", "TL-001", "to=B3-1", "--sure"]
    assert run(told) == 0
    with house.walking(book) as walk:
        by_name = {s.name: [t.texts[0] for t in s.tiles] for s in rack(walk).shelves}
        assert by_name["B3"] == ["TL-001", "TL-014", "TL-004", "TL-016", "TL-060"]
        assert by_name["B2"] == ["", "TL-002", "TL-011", "TL-013"]
        house.go(walk, 1)
        house.press(walk, "right", "1")
        for size in house.SIZES:
            assert any(">TL-001" in line for line in house.screen(walk, *size)), size


def test_a_shelf_longer_than_the_screen_is_followed_to_both_ends() -> None:
    many = tuple(Tile((f"TL-{i:03}", "larvae"), Link("enclosure", i), enclosure=i) for i in range(40))
    page = Page("the rack", shelves=(Shelf("A1", many), Shelf("A2", many[:3])))
    for at in (*range(40), 40, 42):
        lines = house.text(rack_lines.lines(page, at, 80, 15))
        assert any(f">{many[at % 40].texts[0]}" in line for line in lines), at
    assert lines[1].startswith("<") is False, "the short shelf's cursor is at the left end again"


def test_shelves_stand_in_the_order_in_which_they_are_walked(book: Path) -> None:
    for shelf in ("10", "2"):
        told = ["--book", str(book), "--today", "2026-03-01", "record"]
        assert run([*told, "shelf", "bay=E", f"shelf={shelf}", "slots=1"]) == 0
        assert run([*told, "box", f"code=E-{shelf}", f"place=E{shelf}-1"]) == 0
    with house.walking(book) as walk:
        walked = list(dict.fromkeys(s.shelf for s in walk.route.stops))
        assert [s.name for s in rack(walk).shelves] == walked
        assert walked[-2:] == ["E2", "E10"]


@pytest.mark.parametrize("width", [80, 120])
def test_only_the_mark_of_a_box_has_its_look_not_the_gap_before_it(walk: Walk, width: int) -> None:
    """Where looks are underlines, an underlined gap would read as a sign of its own."""
    page = walk.pages.page(OpenPage(Link("rack")))
    marks = {tile.mark for shelf in page.shelves for tile in shelf.tiles if tile.mark}
    runs = [run for line in rack_lines.lines(page, 0, width, 60) for run in line]
    looked = [
        text for text, look in runs if look in ("now", "today", "look") and text.strip("░▒▓?d0123456789 ")
    ]
    assert marks
    assert set(looked) == marks


def test_boxes_without_a_place_are_a_list_of_their_own(book: Path) -> None:
    told = ["--book", str(book), "--today", "2026-03-01", "record"]
    for code in ("N-1", "N-2"):
        assert run([*told, "box", f"code={code}"]) == 0
    with house.walking(book) as walk:
        house.press(walk, "right", "1", "end")
        for size in ((80, 24), (120, 40)):
            lines = house.screen(walk, *size)
            at = next(i for i, line in enumerate(lines) if line.startswith(" boxes without a place"))
            assert lines[at + 1].startswith("  N-1")
            assert lines[at + 2].startswith("> N-2")
            assert any("TL-059" in line for line in lines) is (size == (120, 40)), (
                "with the rack where both fit"
            )
        house.press(walk, "up")
        assert any(line.startswith("> N-1") for line in house.screen(walk, 80, 24))
        house.press(walk, "pageup")
        assert any(">TL-044" in line for line in house.screen(walk, 80, 24)), "the first box of the last bay"
