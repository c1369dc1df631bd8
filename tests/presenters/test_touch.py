"""Fingers and mice: what is shown as a key is one, a row of a list is reached, and nothing else is hit."""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from rounds.keys import key_names
from rounds.keys.commands import LISTED
from rounds.presenters import prompt_lines, rack_lines, touch, touch_lines
from rounds.presenters.lines import Line
from rounds.screens.app import WalkApp
from rounds.screens.board import compose
from rounds.walk.core import Walk
from rounds.walk.machine.mode import Walking
from tests.sampled import sampled
from tests.screens import hostile, house, seen
from tests.screens.test_sweep import NOT_HERE, steering

SIZES = ((80, 24), (113, 33), (120, 40), (40, 20))
ON_BOOKS = {"a box's page": ("right",), "the rack": ("right", "1"), "find": ("/", *"tl")}
PLACES = {**house.KEYS, **ON_BOOKS}


class Walks(dict[str, Walk]):
    """A walk at each place a screen can be at, on a book of its own, opened when it is first asked for."""

    def __init__(self, demo: Path, folder: Path) -> None:
        super().__init__()
        self.demo, self.folder = demo, folder

    def __missing__(self, place: str) -> Walk:
        own = self.folder / str(len(self))
        own.mkdir()
        walk = Walk(house.copied(self.demo, own), house.shipped(), day=house.DAY, clock=house.Clock())
        self[place] = walk
        house.go(walk, 14)
        house.press(walk, *PLACES[place])
        return walk


@pytest.fixture(scope="module")
def walks(demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Walks]:
    opened = Walks(demo, tmp_path_factory.mktemp("touch"))
    yield opened
    for walk in opened.values():
        assert walk.close(10) is None


def cells(line: Line) -> list[tuple[int, str, str]]:
    """Each cell as (number of its run, the run's text, its look)."""
    return [(i, text, look) for i, (text, look) in enumerate(line) for _ in range(cell_len(text))]


def shown_key(walk: Walk, line: Line, x: int) -> str | None:
    """The key under a cell, found cell by cell: by the run it is in, or the run before its word."""
    at = cells(line)
    if x >= len(at):
        return None
    i, text, look = at[x]
    if look == "" and i > 0 and line[i - 1][1] == "key" and len(line[i - 1][0].split()) == 1:
        text = line[i - 1][0]
    elif look != "key":
        return None
    names = {sign: name for name, sign in key_names.ARROWS.items()}
    words = [names.get(w, w) for w in text.split()]
    if len(words) > 1:  # several keys in one run: the word that the cell is in
        inside = x - next(n for n, c in enumerate(at) if c[0] == i)
        before = text[:inside].split(" ")[-1] if inside else ""
        word = (before + text[inside:].split(" ")[0]) if text[inside] != " " else ""
        if any(len(w) > 1 and w not in key_names.NAMED for w in words):
            return None
        words = [names.get(word, word)]
    key = words[0] if words else ""
    if len(key) > 1:
        return key if key in key_names.NAMED else None
    offered = {
        run.strip() for answer in prompt_lines.answers(walk, 9_000) for run, look_ in answer if look_ == "key"
    }
    return key if key in offered or key in walk.desk.commands or (key.isascii() and key.isalnum()) else None


@pytest.mark.parametrize("place", PLACES)
def test_all_that_is_shown_as_a_key_is_hit_and_nothing_else(walks: Walks, place: str) -> None:
    walk = walks[place]
    hit = set()
    for width, height in SIZES:
        lines = compose(walk, width, height)
        for y, line in enumerate(lines):
            for x in range(-1, width + 2):
                pressed = touch.keys_at(walk, lines, x, y)
                wanted = shown_key(walk, line, x) if x >= 0 else None
                if wanted is None:
                    assert not pressed or walk.state.mode.name == "walk", (x, y, line)  # a row of a list
                elif pressed != [wanted]:
                    assert touch.row_at(walk, lines, x, y) == pressed, (x, y, line)
                else:
                    hit.add(wanted)
        assert touch.keys_at(walk, lines, 3, height) == touch.keys_at(walk, lines, 3, -1) == []
    if walk.state.mode.name == "walk" and place != "find":  # there letters are text
        assert {"space", "?", "q"} <= hit


def test_the_answers_of_a_question_are_keys(walks: Walks) -> None:
    walk = walks["walk"]
    line = next(line for line in prompt_lines.answers(walk, 80))
    assert [(s.key, s.word) for s in touch.keys_of(line, touch.pressable(walk))], line
    skip = touch.keys_of(prompt_lines.answers(walks["skip"], 300)[0], touch.pressable(walks["skip"]))
    assert [s.word for s in skip] == [c.title for c in walks["skip"].desk.skips]


def test_what_only_looks_like_a_key_is_none(walks: Walks) -> None:
    known = touch.pressable(walks["walk"])
    assert touch.keys_of((("OPEN ", "key"), ("!!! ", "now"), ("it smells", "")), known) == []
    assert touch.keys_of(((" !!! !! !", "key"), (" open action ", "")), known) == []
    several = touch.keys_of((("  space enter  ", "key"), ("and go on", "")), known)
    assert [(s.x, s.end, s.key) for s in several] == [(2, 7, "space"), (8, 13, "enter")]


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("at", [1, 3, 14, 33, 60])
def test_a_tap_on_a_question_leads_there(book: Path, size: tuple[int, int], at: int) -> None:
    with house.walking(book) as walk:
        house.go(walk, at)
        for y, line in enumerate(compose(walk, *size)):
            lines = compose(walk, *size)
            keys = touch.row_at(walk, lines, 4, y)
            if not keys or keys == ["space"]:
                continue
            name = line[0][0][2:]
            house.press(walk, *keys)
            now = next(x for x in compose(walk, *size) if x[0][1] == "cursor")
            assert now[0][0][2:].split("  ")[0] == name.split("  ")[0]
            house.press(walk, *["up"] * 30)
        assert touch.row_at(walk, compose(walk, *size), 4, 0) is None


def rows_of(lines: list[Line]) -> list[tuple[int, str]]:
    """Lines that a list's rows begin at, with their text, by the two cells before each."""
    text = house.text(lines)
    return [
        (y, text[y][2:])
        for y, line in enumerate(lines)
        if line[0][0][:2] in ("  ", "> ") and line[0][1] in ("strong", "cursor", "") and text[y][2:3].strip()
    ]


@pytest.mark.parametrize(
    "keys", [("v",), ("v", *["down"] * 7), ("/", *"tl"), ("/", *"tl", *["down"] * 9)], ids=str
)
@pytest.mark.parametrize("size", [(80, 24), (113, 33)], ids=str)
def test_a_tap_on_a_row_leads_there_and_a_second_opens_it(
    book: Path, size: tuple[int, int], keys: tuple[str, ...]
) -> None:
    with house.walking(book) as walk:
        house.press(walk, *keys)
        tried = 0
        for y, text in rows_of(compose(walk, *size)):
            before = walk.state
            pressed = touch.keys_at(walk, compose(walk, *size), 5, y)
            if not pressed:
                continue
            house.press(walk, *pressed)
            if walk.state.at == before.at and len(walk.state.pages) == len(before.pages):
                lines = compose(walk, *size)
                now = next(
                    i for i, line in enumerate(lines) if line[0][1] == "cursor" and line[0][0][:1] == ">"
                )
                assert house.text(lines)[now][2:17] == text[:15]
                tried += 1
                opened = touch.keys_at(walk, lines, 5, now)
                assert opened in (["space"], ["enter"])
            walk.state = before
        assert tried >= 3


@pytest.mark.parametrize("size", [(80, 24), (113, 33), (200, 50)], ids=str)
@pytest.mark.parametrize("layout", ["letters", "numbers"])
def test_a_tap_on_the_rack_leads_to_the_box(book: Path, layout: str, size: tuple[int, int]) -> None:
    opening = {"letters": ("right", "1", "down", "right"), "numbers": (*"/031", *"+++++")}[layout]
    with house.walking(book, house.shipped().with_keys(layout)) as walk:
        house.press(walk, *opening)
        codes = {s.enclosure.code for s in walk.route.stops}
        text = house.screen(walk, *size)
        tried = 0
        for y, line in enumerate(text):
            for word in [w for w in line.replace(">", " ").split() if w in codes]:
                before = walk.state
                pressed = touch.keys_at(walk, compose(walk, *size), line.index(word) + 1, y)
                if not pressed:
                    continue  # the title, and the words below the shelves
                if walk.desk.commands.get(pressed[0]) != "next":  # else the cursor is there
                    house.press(walk, *pressed)
                opened = walk.state.pages[-1]
                assert rack_lines.spot(walk.pages.page(opened), opened.cursor).tile.texts[0] == word
                walk.state = before
                tried += 1
        assert tried >= 12


# The large keys

places = st.sampled_from(sorted(PLACES))
sizes = st.tuples(st.integers(1, 130), st.integers(1, 50))


@settings(max_examples=sampled(12, 40))
@given(place=places, size=sizes)
def test_large_keys_are_large_apart_and_hit(walks: Walks, place: str, size: tuple[int, int]) -> None:
    walk, (width, height) = walks[place], size
    shown = touch_lines.block(walk, width, height)
    covered: dict[tuple[int, int], str] = {}
    for k in shown.keys:
        assert k.width >= 6
        assert k.height >= 3
        assert k.x >= 0
        assert k.x + k.width <= width
        assert shown.top <= k.y
        assert k.y + k.height <= height
        for x in range(k.x, k.x + k.width):
            for y in range(k.y, k.y + k.height):
                assert covered.setdefault((x, y), k.key) == k.key, "no key lies on another"
    for y in range(height):
        for x in range(-1, width + 1):
            assert shown.hit(x, y) == covered.get((x, y))
    lines = compose(walk, width, height, touch=True)
    assert len(lines) == height
    assert all(sum(cell_len(t) for t, _ in line) == width for line in lines[shown.top :])
    assert height - shown.top <= height / 2


@pytest.mark.parametrize("size", [(80, 24), (113, 33), (106, 40)], ids=str)
def test_the_keys_of_every_enclosure_stand_where_they_stood(walks: Walks, size: tuple[int, int]) -> None:
    walk = walks["walk"]
    stood: dict[str, tuple[int, int]] = {}
    before = walk.state
    for at in range(walk.route.count() + 1):
        walk.state = before._replace(at=at, cursor=0)
        for k in touch_lines.block(walk, *size).keys:
            assert stood.setdefault(k.key, (k.x, k.y)) == (k.x, k.y)
    walk.state = before
    assert {*"1234567890", "space", "b", "n", "u", "?"} <= set(stood)


def test_a_digit_says_what_it_answers(walks: Walks) -> None:
    walk = walks["skip"]
    words = {k.key: k.word for k in touch_lines.block(walk, 113, 33).keys}
    for skip in walk.desk.skips:
        assert words[skip.key] == skip.title
    assert words["backspace"] == "none"


def test_every_command_has_a_large_key_where_there_is_room(walks: Walks) -> None:
    walk = walks["noted"]
    keys = {walk.desk.commands.get(k.key) for k in touch_lines.block(walk, 113, 33).keys}
    assert set(LISTED.at_foot["walk"]) & set(walk.desk.commands.values()) <= keys


@pytest.mark.parametrize("place", PLACES)
def test_a_large_key_is_shown_with_its_sign_or_word(walks: Walks, place: str) -> None:
    walk = walks[place]
    for size in SIZES:
        text = house.text(compose(walk, *size, touch=True))
        for k in touch_lines.block(walk, *size).keys:
            inside = " ".join(
                text[y][k.x + 1 : k.x + k.width - 1] for y in range(k.y + 1, k.y + k.height - 1)
            )
            sign = touch_lines.SIGNS.get(k.key, k.key)
            assert sign in inside or k.word[:3] in inside


SEEN = ("walk", "skip", "note", "summary", "help", "the rack")


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (113, 33)], ids=str)
@pytest.mark.parametrize("place", SEEN)
def test_large_keys_look_as_they_did(
    walks: Walks, request: pytest.FixtureRequest, place: str, size: tuple[int, int]
) -> None:
    lines = touch_lines.lines(touch_lines.block(walks[place], *size), *size)
    name = f"touch-{place.replace(' ', '-')}-{size[0]}x{size[1]}.txt"
    found = "".join(f"{line.rstrip()}\n" for line in house.text(lines))
    seen.compare(name, found, bool(request.config.getoption("--update")))


# Another layout


def test_with_few_keys_what_the_menu_numbers_is_tapped_too(book: Path) -> None:
    """Where a command has no key of its own, a tap presses the menu's key and its number."""
    config = house.shipped().with_keys("numbers")

    async def run() -> None:
        app = WalkApp(walk, touch=True)
        async with app.run_test(size=(113, 33)) as pilot:

            def large(command: str) -> tuple[int, int]:
                keys = touch_lines.block(walk, 113, 33).keys
                k = next(k for k in keys if walk.desk.commands.get(k.key) == command)
                return k.x + 2, k.y + 1

            await pilot.click(offset=large("reading_down"))
            await pilot.click(offset=large("reading_down"))
            assert walk.state.cursor == 2
            y = next(i for i, line in enumerate(house.screen(walk, 113, 33)) if "jelly eaten" in line[:60])
            await pilot.click(offset=(6, y))
            assert walk.state.cursor == 0
            await pilot.click(offset=large("help"))
            assert walk.state.mode.name == "help"
            await pilot.click(offset=large("help"))
            await pilot.click(offset=large("summary"))
            assert walk.over
            app.exit()

    with house.walking(book, config) as walk:
        assert walk.desk.commands.get("?") is None
        asyncio.run(run())


# Hostile texts


@pytest.fixture(scope="module")
def poisoned(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Walk]:
    config = hostile.config(tmp_path_factory.mktemp("hostile") / "config")
    book = hostile.book(tmp_path_factory.mktemp("hostile"), config)
    with house.walking(book, config) as walk:
        yield walk


@pytest.mark.parametrize("place", [*(place for place in house.KEYS if place not in NOT_HERE), *ON_BOOKS])
def test_no_text_leaves_its_key_or_presses_one(poisoned: Walk, place: str) -> None:
    """Texts of the book and the config, whatever they hold, are no keys and stay in their box."""
    walk, before = poisoned, poisoned.state
    some = sampled(3, 1)  # by default every third size, another with each text and at each place
    numbers = (1, *list(hostile.NUMBER.values())[::4])
    for turn, number in enumerate(numbers, list(PLACES).index(place)):
        house.go(walk, number)
        house.press(walk, *PLACES[place])
        for size in SIZES[turn % some :: some]:
            lines = compose(walk, *size, touch=True)
            assert [sum(cell_len(t) for t, _ in line) for line in lines] == [size[0]] * size[1]
            assert not any(steering(t) for line in lines for t, _ in line)
            plain = compose(walk, *size)
            means = {*walk.desk.commands, *"1234567890", *key_names.NAMED, *(c.key for c in walk.desk.skips)}
            means |= {k.ask_key for k in walk.desk.kinds.values()} | {*".+-*"}  # and the pages of long lists
            for y, line in enumerate(plain):
                for x in range(0, size[0], 2):
                    assert set(touch.keys_at(walk, plain, x, y)) <= means, (x, y, line)
        walk.state = walk.state._replace(mode=Walking(), earlier=None, pages=())
    walk.state = before._replace(looks=walk.state.looks, steps=walk.state.steps, seq=walk.state.seq)
