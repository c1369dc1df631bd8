"""Terminals that show plain letters only get nothing else: by locale, by kind, by setting; screens, lines and lists."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.endtoend import rack
from tests.endtoend.terminal import PROGRAM, Terminal

pytestmark = pytest.mark.pty
BEYOND = re.compile(rb"[\x80-\xff]+")


def walked(begin: Callable[..., Terminal], book: Path, **env: str) -> bytes:
    """A walk past a flag, a lock, help, the menu of acts, a card, a page of the books, the rack and the summary."""
    terminal = begin(rack.walk_of(book), env=env, columns=100, lines=30)
    terminal.wait_for("1 of 60")
    terminal.press("g", "1", "4", "enter", "m", "4")
    terminal.wait_for("TL-014|no. 14")
    for keys, shown in (
        (("?",), "page 1 of"),
        (("x", "y"), r"Record which\?"),
        (("b", "right", "1"), "the walk|rack"),
        (("b", "v"), "needs action|needs you|to carry"),
    ):
        terminal.press(*keys)
        terminal.wait_for(shown)
    terminal.press("q")
    assert terminal.ended() == 0
    return terminal.output


@pytest.mark.parametrize(
    "env",
    [{"LANG": "C"}, {"TERM": "linux"}, {"ROUNDS_SIGNS": "ascii"}],
    ids=["C locale", "console", "variable"],
)
def test_every_byte_of_a_walk_is_plain(
    env: dict[str, str], book: Path, begin: Callable[..., Terminal]
) -> None:
    assert BEYOND.findall(walked(begin, book, **env)) == []


def test_control_elsewhere_there_are_other_bytes(book: Path, begin: Callable[..., Terminal]) -> None:
    assert {b"\xc2\xb7", "✓".encode()} <= set(BEYOND.findall(walked(begin, book)))


def test_the_setting_alone_does_it(own: Path, book: Path, begin: Callable[..., Terminal]) -> None:
    (own / "settings.yaml").write_text("signs: ascii\n", encoding="utf-8")
    assert BEYOND.findall(walked(begin, book)) == []


def test_lines_and_lists_are_plain_too(book: Path, begin: Callable[..., Terminal]) -> None:
    before = ["--book", str(book), "--today", rack.DAY]
    spoken = begin([*PROGRAM, *before, "--plain", "walk"], env={"LANG": "C"})
    spoken.wait_for("1 of 60")
    spoken.send(b"quit\n")
    assert spoken.ended() == 0
    listed = begin([*PROGRAM, *before, "--no-pager", "summary"], env={"LANG": "C"})
    assert listed.ended() == 0
    helped = begin([*PROGRAM, "--no-pager", "help", "looks"], env={"LANG": "C"})
    assert helped.ended() == 0
    for terminal in (spoken, listed, helped):
        assert terminal.output
        assert BEYOND.findall(terminal.output) == []
