"""What a keeper sees at 80×24 wherever the walk stands: the question with its neighbours, every headline, the keys."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from rounds.keys.commands import LISTED
from rounds.presenters import care_lines, footer
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from tests.screens import house

WORST = 14
"""The number of the box of the invented house with three urgent actions, a lock and due work."""


def seen(walk: Walk, width: int = 80, height: int = 24) -> list[str]:
    return [line.rstrip() for line in house.screen(walk, width, height)]


def titles(lines: list[str], asks: list[str]) -> list[str]:
    """The readings whose rows are on the screen, in their order."""
    return [a for line in lines for a in asks if re.match(rf"[> ] {re.escape(a)}( |$)", line)]


def test_at_every_box_the_question_stands_between_its_neighbours(book: Path) -> None:
    with house.walking(book) as walk:
        for stop in walk.route.stops:
            house.go(walk, stop.enclosure.number)
            asks = [a.kind.title for a in steps.rows(walk.state, walk.desk) if a.kind.subject != "shelf"]
            for cursor in range(len(asks)):
                walk.state = walk.state._replace(cursor=cursor)
                shown = titles(seen(walk), asks)
                assert set(asks[max(0, cursor - 1) : cursor + 2]) <= set(shown)


def test_the_worst_box_shows_every_headline_every_question_and_the_keys(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, WORST)
        lines = seen(walk)
        text = "\n".join(lines)
        assert len(walk.desk.actions(walk.state.at)) == 3
        for action in walk.desk.actions(walk.state.at):
            title = next(r.title for r in walk.config.rules if r.id == action.rule)
            assert re.search(rf"^OPEN !!! {title}: ", text, re.MULTILINE)
        assert re.search("^LOCK ", text, re.MULTILINE)
        assert re.search("^DUE  ", text, re.MULTILINE)
        asks = [a.kind.title for a in steps.rows(walk.state, walk.desk) if a.kind.subject != "shelf"]
        assert titles(lines, asks) == asks
        assert lines[-1].endswith(" all keys")


def test_what_there_is_no_room_for_is_counted(book: Path) -> None:
    """Eight lines fewer: no question and no headline goes without being counted."""
    with house.walking(book) as walk:
        house.go(walk, WORST)
        items = len(care_lines.at_hand(walk))
        lines = seen(walk, 80, 17)
        more = re.search(r"and (\d+) more", "\n".join(lines))
        heads = sum(line.startswith(("LOCK ", "OPEN ", "DUE ")) for line in lines)
        assert more is not None
        assert heads + int(more[1]) == items
        rows = steps.rows(walk.state, walk.desk)
        counted = next(
            re.search(r"^  (\d+) more below: (.*)", line) for line in lines if "more below" in line
        )
        assert counted is not None
        below = [a.kind.title for a in rows[-int(counted[1]) :]]
        assert "moisture" in below
        assert "moisture" in counted[2], "what has to be read is named"
        assert "lid fastened" not in counted[2]


@pytest.mark.parametrize("keys", ["letters", "numbers"])
def test_the_line_of_keys_is_one_line_of_seven_at_most(book: Path, keys: str) -> None:
    with house.walking(book, house.shipped().with_keys(keys)) as walk:
        (line,) = footer.commands(walk, 80, 3)
        assert 0 < sum(style == "key" for _, style in line) <= footer.MOST
        walk.press("v" if keys == "letters" else "/")
        if keys == "numbers":
            walk.press("6")
        assert walk.state.at == walk.route.count()
        (line,) = footer.commands(walk, 80, 3)
        assert 0 < sum(style == "key" for _, style in line) <= footer.MOST


def test_every_place_names_the_key_that_lists_the_others() -> None:
    for place, listed in LISTED.key_line.items():
        assert "help" in listed, place
