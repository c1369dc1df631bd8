"""Keys on the pages: nothing raises, pages close again, looking records nothing, bursts end as slow keys do."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rounds.views.page import TOPICS, Tile, Topic
from rounds.views.page_registry import PAGE_KINDS
from rounds.views.sources import Slow
from rounds.walk.background import Behind
from rounds.walk.core import Walk
from rounds.walk.machine.action_modes import ChoosingDays, GivingReason
from rounds.walk.machine.state import State
from tests.sampled import sampled
from tests.screens import house
from tests.views.conftest import ready

BY_DIGIT = tuple(t for t in TOPICS if t.key)
"""The others are reached through find (tests/views/test_pages_on_walk.py)."""
DIGITS = tuple(t.key for t in BY_DIGIT)
LOOKING = (
    "right",
    "enter",
    "space",
    "b",
    "left",
    "up",
    "down",
    "tab",
    "pageup",
    "pagedown",
    "home",
    "end",
    "/",
    "?",
    "backspace",
    *DIGITS,
    "1",
    "2",
    "3",
    "v",
    "x",
    "ü",
)
"""Keys that only look. Letters that are typed where something is looked for are among them."""
ACTING = (*LOOKING, "d", "p", "n", "c", "s", "u", "g", "y", "l", ".", "4", "7", "enter", "enter")
FEW = settings(
    max_examples=sampled(6, 20),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@contextmanager
def walking(demo: Path) -> Iterator[tuple[Walk, Path]]:
    # A copy of the book that is made beside it may still be on its way when the walk has ended.
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        book = Path(shutil.copy(demo, folder))
        with house.walking(book) as walk:
            ready(walk)
            yield walk, book


def rows_of(book: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table."""
    db = sqlite3.connect(book)
    try:
        tables = [n for (n,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {
            n: db.execute(f'SELECT * FROM "{n}"').fetchall() for n in tables if not n.startswith("sqlite_")
        }
    finally:
        db.close()


def check(walk: Walk) -> None:
    """The cursor is on a row wherever there is one, it is in sight, and the way is no circle."""
    state = walk.state
    assert len({o.link for o in state.pages}) == len(state.pages)
    if not state.pages or state.mode.name != "walk":
        return
    page = walk.pages.page(state.pages[-1])
    at = min(state.pages[-1].cursor, max(0, page.size() - 1))
    assert page.size() == 0 or page.at(at) is not None
    lines = house.screen(walk, 80, 24)
    assert len(lines) == 24
    if page.shelves:
        here = page.at(at)
        assert isinstance(here, Tile)
        assert any(">" in line for line in lines)
    elif page.size():
        assert any(line.startswith("> ") for line in lines), "\n".join(lines)


@FEW
@given(st.lists(st.sampled_from(ACTING), max_size=60))
def test_no_key_raises_and_pages_close_again(demo: Path, keys: list[str]) -> None:
    with walking(demo) as (walk, _):
        for key in ("right", *keys):
            if walk.state.mode.name == "left":
                break
            walk.press(key)
            check(walk)
        for _ in range(60):  # out of any mode, then back page by page
            if not walk.state.pages:
                break
            on_page = walk.state.mode.name == "walk"
            typed = on_page and walk.pages.page(walk.state.pages[-1]).typed
            walk.press("left" if typed else "b" if on_page else "backspace")
            walk.press("backspace") if walk.state.mode.name not in ("walk", "left") else None
        assert not walk.state.pages
        assert walk.drain(10)


@FEW
@given(st.lists(st.sampled_from(LOOKING), min_size=5, max_size=60))
def test_looking_records_nothing(demo: Path, keys: list[str]) -> None:
    with walking(demo) as (walk, book):
        before = rows_of(book)
        walk.press("right")
        for key in keys:
            if not walk.state.pages:  # on the walk itself these keys do record
                walk.press("right")
            walk.press(key)
            house.screen(walk, 120, 40)
        assert walk.drain(10)
        assert not walk.state.steps
        assert rows_of(book) == before


def test_a_recorded_key_is_seen_in_the_rows(demo: Path) -> None:
    """The control of the test above."""
    with walking(demo) as (walk, book):
        before = rows_of(book)
        house.press(walk, "right", "3", "d")
        assert rows_of(book) != before


def without_ids(state: State) -> State:
    """The state without the ids that a walk makes up for what it raises itself."""
    steps = tuple(
        s if s.action is None else s._replace(action=s.action._replace(uid=b"")) for s in state.steps
    )
    mode = (
        replace(state.mode, action=b"") if isinstance(state.mode, ChoosingDays | GivingReason) else state.mode
    )
    return state._replace(mode=mode, steps=steps)


@FEW
@given(st.lists(st.sampled_from(ACTING), max_size=50))
def test_a_burst_ends_as_the_same_keys_typed_slowly(demo: Path, keys: list[str]) -> None:
    """With the rows that are at hand; what is found meanwhile comes in below them (see test_find)."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Behind, "ask", lambda self, name, key, work, of_visits: Slow(None, "working …"))
        found = []
        for slowly in (True, False):
            with walking(demo) as (walk, _):
                for key in ("right", *keys):
                    walk.press(key)
                    if slowly:
                        assert walk.drain(10)
                        walk.take_dues()
                        walk.take_found()
                        for size in house.SIZES:
                            house.screen(walk, *size)
                assert walk.drain(10)
                found.append((without_ids(walk.state), house.screen(walk, 80, 24)))
        (slow, seen), (burst, shown) = found
        assert burst == slow
        assert [line for line in shown if "saved" not in line] == [
            line for line in seen if "saved" not in line
        ]


def test_every_topic_has_its_page_and_no_digit_opens_two() -> None:
    assert list(DIGITS) == sorted(set(DIGITS))
    assert all(digit in "0123456789" and len(digit) == 1 for digit in DIGITS)
    assert all(t.link.kind in PAGE_KINDS for t in TOPICS)
    assert list(PAGE_KINDS) == sorted(set(PAGE_KINDS))


@pytest.mark.parametrize("topic", BY_DIGIT, ids=lambda t: t.link.kind)
def test_a_digit_opens_its_page_from_every_other_and_b_leads_back(demo: Path, topic: Topic) -> None:
    with walking(demo) as (walk, _):
        for first in BY_DIGIT:
            if first.link.kind in ("find", topic.link.kind):
                continue
            walk.state = walk.state._replace(pages=())
            walk.press("right")
            walk.press(first.key)
            walk.press(topic.key)
            assert walk.state.pages[-1].link == topic.link
            walk.press("left" if topic.link.kind == "find" else "b")
            assert walk.state.pages[-1].link == first.link


@pytest.mark.parametrize("first", ["", "1", "2"])
def test_quit_leaves_from_any_page(demo: Path, first: str) -> None:
    with walking(demo) as (walk, _):
        walk.press("right")
        if first:
            walk.press(first)
        walk.press("q")
        assert walk.state.mode.name == "left"


def test_on_a_pad_every_box_of_the_rack_is_reached_and_is_opened(book: Path) -> None:
    """Its keys have no arrows: the one for down goes from box to box, not only to the shelf below."""
    with house.walking(book, house.shipped().with_keys("numbers")) as walk:
        house.press(walk, "/", "0", "3", "1")
        page = walk.pages.page(walk.state.pages[-1])
        assert page.shelves
        house.press(walk, *["/", "7"] * page.size())
        met = []
        for _ in range(page.size()):
            met.append(walk.state.pages[-1].cursor)
            walk.press("+")
        assert met == list(range(page.size()))
        assert walk.state.pages[-1].cursor == page.size() - 1, "it stays at the last"
        codes = [t.texts[0] for shelf in page.shelves for t in shelf.tiles]
        house.press(walk, *["/", "7"] * (page.size() - 1 - codes.index("TL-014")), "enter")
        tile = page.at(codes.index("TL-014"))
        assert isinstance(tile, Tile)
        assert walk.state.pages[-1].link == tile.link
        house.press(walk, "-", "/", "8")
        assert any("one box back or on" in line for line in house.screen(walk, 80, 24))
    with house.walking(book) as walk:
        house.press(walk, "right", "1", "home", "down")
        assert walk.state.pages[-1].cursor == len(page.shelves[0].tiles), "an arrow goes to the shelf below"
