"""A label scanned at the real program: one burst, from every mode, under both layouts."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.endtoend import rack
from tests.endtoend.terminal import Terminal, typed

pytestmark = pytest.mark.pty

# At enclosure 14: two open actions, acts on offer, earlier visits. What is on the screen there, and
# what the scan must say it broke off.
LETTERS = {
    "walk": ((), ""),
    "count half typed": (("i", "1"), "jelly given 1 was only half typed and is not saved"),
    "go": (("g", "T", "L"), ""),
    "skip": (("s",), "it is not skipped"),
    "note": (("n", *"gnawed"), ""),
    "correcting": (("c", "1"), ""),
    "earlier": (("c",), "nothing is corrected"),
    "other": (("o",), "no reading is added"),
    "pick": (("d",), "nothing is ticked off or put off"),
    "days": (("p", "1", "3"), "nothing is put off"),
    "why": (("p", "1", "3", "enter", *"later"), "nothing is put off"),
    "acts": (("y",), "nothing is recorded"),
    "when": (("y", "/", "1"), "nothing is recorded"),
    "help": (("?",), ""),
    "summary": (("v",), ""),
    "page": (("right",), ""),
    "find": (("/", *"umber"), ""),
    "scan cut off": (("tab", *"TL-0"), ""),
}
PAD = {
    "walk": ((), ""),
    "count half typed": (("+", "1"), "jelly given 1 was only half typed and is not saved"),
    "menu": (("/",), ""),
    "go": (("/", "3", "1"), ""),
    "why": (("/", "5", "1", "3", "enter"), "nothing is put off"),
    "acts": ((".",), "nothing is recorded"),
    "summary": (("/", "6"), ""),
}
CASES = [
    *((["letters"], "q", "g", name, *case) for name, case in LETTERS.items()),
    *((["numbers"], "/06", "/3", name, *case) for name, case in PAD.items()),
]


@pytest.mark.parametrize(
    ("layout", "leave", "go", "keys"),
    [(layout, leave, go, keys) for layout, leave, go, _, keys, _ in CASES],
    ids=[f"{layout[0]}-{name}" for layout, _, _, name, _, _ in CASES],
)
def test_one_burst_leads_to_the_enclosure_and_records_nothing(
    layout: list[str],
    leave: str,
    go: str,
    keys: tuple[str, ...],
    book: Path,
    begin: Callable[..., Terminal],
) -> None:
    terminal = begin(rack.walk_of(book, "--keys", *layout))
    terminal.wait_for("1 of 60")
    terminal.send(typed((*go, *"14", "enter", *keys)) + b"\tTL-022\r\r")
    terminal.wait_for(r"no\. 22 at")
    terminal.wait_for("that Enter was taken for the scanner's")
    terminal.press(*leave)
    assert terminal.ended() == 0
    note = {("TL-014", "note"): "gnawed"} if "n" in keys[:1] else {}
    assert rack.cells_today(book) == note


@pytest.mark.parametrize("name", [n for n, (_, said) in LETTERS.items() if said])
def test_what_was_broken_off_is_said(name: str, book: Path, begin: Callable[..., Terminal]) -> None:
    keys, said = LETTERS[name]
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.send(typed(("g", *"14", "enter", *keys)) + b"\t22\r")
    terminal.wait_for(f"scanned TL-022; {said}")
    terminal.press("q")
    assert terminal.ended() == 0


@pytest.mark.parametrize(
    "label", [b"\tTL-999\r", b"\t" + b"X" * 300 + b"\r", b"\t\r", b"\thttps://q.example/u?n=1\r"]
)
def test_a_label_of_nowhere_records_nothing_and_says_so(
    label: bytes, book: Path, begin: Callable[..., Terminal]
) -> None:
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.send(typed(("g", *"14", "enter", "n", *"ok")) + label)
    terminal.wait_for("nothing done")
    terminal.wait_for(r"no\. 14 at")
    terminal.press("q")
    assert terminal.ended() == 0
    assert rack.cells_today(book) == {("TL-014", "note"): "ok"}


def test_without_the_scan_key_a_label_is_typed_into_the_note(
    book: Path, begin: Callable[..., Terminal]
) -> None:
    """The control, and why labels do not begin with the letter that goes to a number."""
    terminal = begin(rack.walk_of(book))
    terminal.wait_for("1 of 60")
    terminal.send(typed(("g", *"14", "enter", "n", *"ok")) + b"gTL-022\r")
    terminal.wait_for(r"note: okgTL-022")
    terminal.press("q")
    assert terminal.ended() == 0
    assert rack.cells_today(book) == {("TL-014", "note"): "okgTL-022"}
