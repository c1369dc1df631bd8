"""A round walked with a number pad alone, under both ways terminals name its keys."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from tests.endtoend import rack
from tests.endtoend.beside import Beside, beside
from tests.endtoend.keys import PAD_KEYS, pad_keys
from tests.endtoend.terminal import Terminal
from tests.sampled import sampled

pytestmark = pytest.mark.pty

PLAIN = {key: b"\r" if key == "enter" else key.encode() for key in PAD_KEYS}
# The keyboard protocol that tells keys apart sends a pad's keys as numbers of the private use
# area: 57399 is the pad's 0, 57409 to 57414 are . / * - + and Enter, 57416 the separator
# (the protocol's table of functional keys, from memory).
NAMED = {
    **{str(i): f"\x1b[{57399 + i}u".encode() for i in range(10)},
    ".": b"\x1b[57409u",
    "/": b"\x1b[57410u",
    "*": b"\x1b[57411u",
    "-": b"\x1b[57412u",
    "+": b"\x1b[57413u",
    "enter": b"\x1b[57414u",
    ",": b"\x1b[57416u",
}
NAMINGS = {"plain": PLAIN, "named": NAMED}
LEAVE = ("enter", *["*"] * 60, "/", "0", "6")
"""Ends whatever is half typed in any mode on a pad, and quits."""


def pad(naming: str, *keys: str) -> bytes:
    return b"".join(NAMINGS[naming][key] for key in keys)


def begun(book: Path, begin: Callable[..., Terminal], **how: object) -> Terminal:
    terminal = begin(rack.worse(book, "--keys", "numbers", **how))
    terminal.wait_for("1 of 60")
    return terminal


def rows(book: Path, sql: str) -> list[tuple[object, ...]]:
    db = sqlite3.connect(f"{book.absolute().as_uri()}?mode=ro", uri=True)
    try:
        return db.execute(sql).fetchall()
    finally:
        db.close()


@pytest.mark.parametrize("naming", [*NAMINGS][: sampled(1, 2)])  # both stand in every burst below
def test_a_whole_round_on_a_number_pad(naming: str, book: Path, begin: Callable[..., Terminal]) -> None:
    """Sixty enclosures, an undo, a skip, a number gone to, work put off, an act, the summary, and out."""
    with beside(book, begin, "--keys", "numbers", config=rack.config().with_keys("numbers")) as both:
        whole_round(both, naming, book)
        assert both.terminal.ended() == 0

    cells = rack.cells_today(book)
    assert len({code for code, kind in cells if kind == "as_expected"}) == 60
    assert not [value for (_, kind), value in cells.items() if kind == "skipped"], (
        "it was looked at after all"
    )
    found = dict(
        rows(
            book,
            "SELECT state, COUNT(*) FROM action WHERE closed IS NOT NULL OR until IS NOT NULL GROUP BY 1",
        )
    )
    assert len(found) == 2, "one was put off, one was done"
    walk = rack.opened(book, rack.config())
    assert walk.round.unseen() == ()
    walk.close(5.0)


def whole_round(both: Beside, naming: str, book: Path) -> None:
    def press(*keys: str) -> str:
        for key in keys:
            both.press(key, pad(naming, key))
        return both.terminal.text

    def sees(what: str, *keys: str) -> str:
        press(*keys)
        both.terminal.wait_for(what)
        return both.terminal.words

    # The first enclosure: an answer, taken back, given again.
    sees("taken back", "3", "*")
    sees("not read at", "2", "enter")  # the shelf's temperature stops nobody
    # A number half typed and left; another one mended, and gone to.
    sees("stayed here", "/", "3", "9", "*", "*")
    at = re.search(r"(\d+) of 60", sees(r"no\. 14 at", "/", "3", "1", "5", "*", "4", "enter"))
    assert at is not None
    # Skipped with a reason; back there; a page of help turned and closed.
    sees("skipped TL-014", "/", "1", "3")
    sees(f"{at[1]} of 60", "-")
    sees("page 2 of", "/", "8", "+")
    sees(r"Record which\?", "0", ".")
    # An act by digits alone, and taken back.
    screen = press(_digit_of(both.terminal.words, "search"))
    for _ in range(9):
        if "recorded: " in screen:
            break
        screen = press(*("1", "enter") if re.search(r"_\s*$", screen, re.MULTILINE) else "1")
    sees("taken back", "*")
    # From the first to the last, one after the other.
    sees(" 1 of 60", "/", "3", *_number_of_first(book), "enter")
    screen = both.terminal.text
    for _ in range(400):
        if "end of the walk" in screen:
            break
        feeding = re.search(r"^> jelly eaten", screen, re.MULTILINE)
        answered = re.search(r"^> jelly eaten.*[✓…]", screen, re.MULTILINE)
        screen = press("1" if feeding and not answered else "enter")
    assert "60 of 60 seen" in screen
    # On the summary: down the list and up, one action put off with a ready reason, one done, and out.
    press("+", "/", "7")
    sees("how many days", "/", "5")
    sees("Why is it put off", "3", "enter")
    sees("put off 3 days", "2", "enter")
    sees("done: ", "/", "4")
    both.terminal.send(pad(naming, "/", "0", "6"))


def _digit_of(screen: str, title: str) -> str:
    found = re.search(rf"(\d) [^\d]*{title}", screen.partition("Record which?")[2])
    assert found is not None, screen
    return found[1]


def _number_of_first(book: Path) -> str:
    walk = rack.opened(book, rack.config())
    number = str(walk.route.stops[0].enclosure.number)
    walk.close(5.0)
    return number


@pytest.mark.parametrize("seed", range(sampled(1, 6)))
@pytest.mark.parametrize("naming", NAMINGS)
def test_a_burst_on_the_pad_is_the_same_keys_typed_slowly(
    seed: int, naming: str, demo_book: Path, tmp_path: Path, begin: Callable[..., Terminal]
) -> None:
    keys = [k for k in pad_keys(Random(seed), 150) if k in PAD_KEYS] + list(LEAVE)
    slow, fast = (Path(shutil.copy(demo_book, tmp_path / f"{name}.sqlite")) for name in ("slow", "fast"))
    rack.typed_slowly(slow, keys, rack.config().with_keys("numbers"))
    terminal = begun(fast, begin, clock=rack.MORNING)
    terminal.send(pad(naming, *keys))
    assert terminal.ended() == 0
    found = rack.differences(rack.content(slow), rack.content(fast))
    assert not found, found
    assert rack.content(fast)["step"], "a burst that records nothing would prove nothing"


def test_a_pad_whose_point_sends_a_comma_records_an_act_too(
    book: Path, begin: Callable[..., Terminal]
) -> None:
    terminal = begun(book, begin)
    for separator in (b",", NAMED[","]):
        terminal.send(separator)
        terminal.wait_for(r"Record which\?")
        terminal.send(pad("plain", "enter"))
        terminal.wait_for("nothing recorded")
    terminal.send(pad("plain", "/", "0", "6"))
    assert terminal.ended() == 0


def test_with_letters_in_force_the_pad_alone_does_not_leave(
    book: Path, begin: Callable[..., Terminal]
) -> None:
    """The control: what the pad's layout does is not what every layout does."""
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.send(pad("named", "/", "0", "6"))
    terminal.wait_for("look for: 06_")
    terminal.press("backspace", "left", "q")
    assert terminal.ended() == 0
