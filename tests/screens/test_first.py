"""The very first time: an empty book says what to do, and after the first key of all that it can be taken back."""

from __future__ import annotations

from pathlib import Path

import pytest

from rounds.cli import run
from rounds.screens.run import left_words
from rounds.views.page import TOPICS, Link, OpenPage, Topic
from rounds.views.page_sentences import NO_BOX
from rounds.walk.core import Walk
from tests.files.folders import HOUSE, write
from tests.screens import house


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    path = tmp_path / "empty.sqlite"
    assert run(["new", str(path), "--zone", "Europe/Berlin"]) == 0
    return path


@pytest.fixture
def unwalked(empty: Path, tmp_path: Path) -> Path:
    """Three boxes that nobody ever looked at."""
    tables = {name: text for name, text in HOUSE.items() if name not in ("visits", "readings")}
    assert run(["--book", str(empty), "load", str(write(tmp_path / "tables", tables))]) == 0
    return empty


def text(walk: Walk, size: tuple[int, int] = (80, 24)) -> str:
    return " ".join("\n".join(house.screen(walk, *size)).split())


@pytest.mark.parametrize("size", house.SIZES, ids=str)
def test_a_walk_without_a_box_says_how_to_get_one(empty: Path, size: tuple[int, int]) -> None:
    with house.walking(empty) as walk:
        assert "There is no box in this book yet" in text(walk, size)
        assert "Nothing needs you" not in text(walk, size)


@pytest.mark.parametrize("topic", TOPICS, ids=lambda t: t.link.kind)
def test_every_page_of_an_empty_book_says_what_to_do_first(empty: Path, topic: Topic) -> None:
    with house.walking(empty) as walk:
        walk.press("right")
        walk.press(topic.key)
        house.screen(walk, 80, 24)
        assert walk.pages.lookup.behind.wait(30)
        walk.take_found()
        page = walk.pages.page(walk.state.pages[-1])
        assert page.hint
        assert all(word in text(walk) for word in page.hint.split()[:4])
        walk.press("?")
        assert all(word in text(walk) for word in page.hint.split()[:4]), "help says it too"


def test_the_commands_it_names_are_there(empty: Path, tmp_path: Path) -> None:
    """What the empty book says to type works as it stands."""
    book = ["--book", str(empty)]
    assert run([*book, "record", "shelf", "bay=A", "shelf=1", "slots=4"]) == 0
    assert run([*book, "record", "box", "code=TL-01", "place=A1-1"]) == 0
    assert run(["load", "--columns"]) == 0
    with house.walking(empty) as walk:
        assert [s.enclosure.code for s in walk.route.stops] == ["TL-01"]
        assert "There is no box" not in text(walk)


def test_the_first_round_says_how_it_begins_and_once_that_a_key_is_taken_back(unwalked: Path) -> None:
    with house.walking(unwalked) as walk:
        assert "first round: type what you see" in text(walk)
        house.press(walk, "3")
        assert "1 saved · u takes it back" in text(walk)
        house.press(walk, "2", "enter")
        assert "takes it back" not in text(walk)
        assert "2 saved" in text(walk)
    with house.walking(unwalked) as walk:  # it is no longer the first time
        assert "first round" not in text(walk)
        house.press(walk, "2")
        assert "takes it back" not in text(walk)


def test_a_book_that_was_walked_is_told_neither(book: Path) -> None:
    with house.walking(book) as walk:
        assert "first round" not in text(walk)
        house.press(walk, "3")
        assert "takes it back" not in text(walk)


@pytest.mark.parametrize("kind", ["animals", "lines", "pairings", "lots"])
def test_without_a_box_no_page_sends_to_one(empty: Path, kind: str) -> None:
    """A first box comes before animals, lines and pairings: what they say first needs one to stand at."""
    with house.walking(empty) as walk:
        assert walk.pages.page(OpenPage(Link(kind))).hint == NO_BOX
    assert run(["--book", str(empty), "record", "shelf", "bay=A", "shelf=1", "slots=4"]) == 0
    assert run(["--book", str(empty), "record", "box", "code=TL-01", "place=A1-1"]) == 0
    with house.walking(empty) as walk:
        assert "the record key" in walk.pages.page(OpenPage(Link(kind))).hint
        assert walk.pages.page(OpenPage(Link("rack"))).title == "the rack, 1 box"


def test_help_where_an_empty_walk_ends_says_what_to_do_first(empty: Path) -> None:
    with house.walking(empty) as walk:
        walk.press("?")
        assert "There is no box in this book yet" in text(walk)


def test_saved_counts_answers_and_acts_as_a_keeper_would(book: Path) -> None:
    """A note once, however many keys it took, and what was taken back not at all; the round's, not the start's."""

    def saved(walk: Walk) -> str:
        assert walk.drain(30)
        return text(walk)

    with house.walking(book) as walk:
        assert "nothing typed yet" in saved(walk)
        house.press(walk, "m", "3", "n", *"dry at the wall", "enter")
        assert " 2 saved " in saved(walk)
        assert walk.kept == 2 < walk.saving.count
        house.press(walk, "n", *" too", "enter", "m", "2")  # typed on, and typed over
        assert " 2 saved " in saved(walk)
        house.press(walk, "u", "u", "down")
        assert " 2 saved " in saved(walk), "what stood before stands again"
        house.press(walk, "u", "down")
        assert " 1 saved " in saved(walk)
        house.press(walk, "space", "space")
        assert walk.drain(30)
        left = walk.kept
        assert f"saved: {left} readings and acts of this round" in left_words(walk)
    with house.walking(book) as walk:
        house.press(walk, "up")
        assert f" {left} saved " in saved(walk)
        assert walk.saving.count == 0
