"""A whole round over the invented house, typed at the real program."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from statistics import median

import pytest

from tests.endtoend import rack
from tests.endtoend.beside import Beside, beside
from tests.endtoend.terminal import Terminal

pytestmark = pytest.mark.pty

FEEDING = ("QUARANTINE", "HOLDING", "PAIRING", "LAYING", "COLONY")


def test_a_round_takes_one_key_an_enclosure_and_ends_in_the_book(
    book: Path, begin: Callable[..., Terminal]
) -> None:
    with beside(book, begin) as both:
        walked(both, book)


def walked(both: Beside, book: Path) -> None:
    keys: dict[int, int] = {}
    plain: dict[int, bool] = {}  # nothing open, nothing odd, no thermometer to read
    feeding: dict[int, bool] = {}
    fed: list[str] = []
    order: list[str] = []
    at = 0
    screen = both.settled()
    while match := re.match(r" (\d+) of 60 ", screen):
        assert int(match[1]) in (at, at + 1), "the walk goes box by box"
        if int(match[1]) != at:
            at = int(match[1])
            keys[at] = 0
            stage = re.search(r"([A-Z]+)  day", screen)
            feeding[at] = stage is not None and stage[1] in FEEDING
            plain[at] = not re.search(r"^OPEN|^!|! odd|! open|! once", screen, re.MULTILINE)
            order.append(_number(screen))
        first = re.search(r"^> jelly eaten", screen, re.MULTILINE)
        if first and not re.search(r"^> jelly eaten.*[✓…]", screen, re.MULTILINE):
            screen = both.press("1", b"1")
            fed.append(order[-1])
        else:
            screen = both.press("space", b" ")
        keys[at] += 1
        assert keys[at] < 6, screen
    assert "end of the walk" in screen
    assert "60 of 60 seen" in screen
    assert "not seen" not in screen
    both.terminal.press("q")
    assert both.terminal.ended() == 0

    adults = [keys[i] for i in keys if plain[i] and feeding[i]]
    others = [keys[i] for i in keys if plain[i] and not feeding[i]]
    assert len(adults) >= 5
    assert len(others) >= 15
    assert median(others) == 1
    assert median(adults) == 2

    config = rack.config()
    walk = rack.opened(book, config)
    assert [str(s.enclosure.number) for s in walk.route.stops] == order
    assert walk.round.unseen() == ()
    cells = rack.cells_today(book)
    by_number = {str(s.enclosure.number): s.enclosure.code for s in walk.route.stops}
    assert dict.fromkeys(map(by_number.__getitem__, fed), 1.0) == {
        code: value for (code, kind), value in cells.items() if kind == "jelly_gone"
    }
    others_read = {kind for _, kind in cells} - {"jelly_gone", "as_expected"}
    assert not others_read, "only what was typed is a reading; the rest is confirmed"
    for stop in walk.route.stops:
        confirmed = json.loads(str(cells[stop.enclosure.code, "as_expected"]))
        assert "jelly_gone" not in confirmed or str(stop.enclosure.number) not in fed
    walk.close(5.0)


def _number(screen: str) -> str:
    found = re.search(r"no\. (\d+)", screen)
    assert found, screen
    return found[1]


def test_a_burst_of_next_is_a_round(book: Path, begin: Callable[..., Terminal]) -> None:
    """Held down, the key walks to the end and no further; what needs an answer is left unread, not invented."""
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.press(*["space"] * 110)
    terminal.wait_for(r"end of the walk|\d+ of 60")
    screen = terminal.quiet(0.3)
    terminal.press("q")
    assert terminal.ended() == 0
    walk = rack.opened(book, rack.config())
    for i in range(walk.route.count()):
        cells = walk.state.looks[i].cells if i in walk.state.looks else {}
        assert set(cells) <= {"as_expected"}, (screen, cells)
    walk.close(5.0)


def test_the_screen_marks_what_is_saved(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("nothing typed yet")
    terminal.press("1")
    terminal.wait_for(r"jelly eaten \(¼ cup\) +1 +✓")
    terminal.wait_for("1 saved")
    terminal.press("g", "3")
    terminal.wait_for("3_")
    assert rack.cells_today(book) != {}


def test_half_a_number_shows_as_pending_and_is_no_reading(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.press("down", "2")  # jelly given: up to 40, so 2 may be half of 20
    terminal.wait_for("2_ …")
    terminal.kill()
    assert rack.cells_today(book) == {}


def test_quit_is_not_held_back_by_a_number_that_is_none(book: Path, begin: Callable[..., Terminal]) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.press("down", "9", "9", "space")
    terminal.wait_for("above 40")
    terminal.press("q")
    assert terminal.ended() == 0
    assert rack.cells_today(book) == {}
