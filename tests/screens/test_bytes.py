"""The bytes that really reach a terminal: none of them comes from a text of the book or of the config."""

from __future__ import annotations

import re
import sys
import unicodedata
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.endtoend.terminal import Terminal
from tests.sampled import sampled
from tests.screens import hostile, house

pytestmark = pytest.mark.pty

# What the screen library itself sends: colours, positions, modes, queries, keyboard protocol, pointer shape.
OWN = re.compile(
    r"\x1b\[[0-9;:]*m|\x1b\[[0-9]+;[0-9]+H|\x1b\[H|\x1b\[\?[0-9;]+[hl]|\x1b\[\?[0-9;]+\$p|\x1b\[[<>=?][0-9;]*u|\x1b\[>[0-9;]*[a-zA-Z]|\x1b\]22;[a-z-]+\x07|\r|\n"
)
THEIRS = {
    "csi": "\x1b[31mred",
    "clear": "\x1b[2J",
    "osc": "\x1b]0;title",
    "link": "\x1b]8;;file",
    "c1": "\x9b31m",
    "bel": "\x07",
    "back": "\x08",
}


def foreign(output: bytes) -> list[str]:
    """Controls and formats in a terminal's output that the screen library did not send."""
    left = OWN.sub("", output.decode("utf-8"))
    return [
        repr(left[max(0, i - 10) : i + 20])
        for i, c in enumerate(left)
        if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp")
    ]


@pytest.mark.parametrize("name", [n for n in THEIRS if n != "csi"])
def test_the_check_itself_finds_foreign_bytes(name: str) -> None:
    assert foreign(f"\x1b[1mTL-001\x1b[0m {THEIRS[name]}".encode())
    assert not foreign(b"\x1b[1mTL-001\x1b[0m\x1b[3;1Hfine\r\n\x1b[?25l")


class Raw(Terminal):
    """A terminal whose bytes are only collected: the emulator stumbles over marks on wide signs."""

    def __init__(self, argv: list[str], **given: object) -> None:
        super().__init__(argv, **given)  # type: ignore[arg-type]
        self._stream = SimpleNamespace(feed=lambda _: None)  # type: ignore[assignment]

    def wait_for_bytes(self, what: bytes) -> None:
        while what not in self.output:
            assert self.read(30), f"waited for {what!r}"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bytes")
    hostile.book(folder, hostile.config(folder / "own"))
    return folder


@pytest.mark.parametrize("size", house.SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
def test_no_byte_of_a_text_steers_the_terminal(folder: Path, tmp_path: Path, size: tuple[int, int]) -> None:
    book = house.copied(folder / "hostile.sqlite", tmp_path)
    argv = [
        sys.executable,
        "-m",
        "rounds",
        "--book",
        str(book),
        "--config",
        str(folder / "own"),
        "--today",
        "2026-03-01",
        "walk",
    ]
    with Raw(argv, columns=size[0], lines=size[1]) as terminal:
        terminal.wait_for_bytes(b"bold")
        numbers = list(hostile.NUMBER.values())
        some = sampled(3, 1)  # by default every third text and place, others at each size
        for i, (place, keys) in enumerate([*((str(n), ()) for n in numbers), *house.KEYS.items()]):
            if place == "left" or i % some != house.SIZES.index(size) % some:
                continue
            # Which digit gives an act is not known out here; the first on the list is as good.
            known = [k if not k.startswith("act:") else "1" for k in keys]
            terminal.press("g", *str(numbers[i % len(numbers)]), "enter", *known)
            terminal.quiet(0.04)
            # Out of any mode again, whichever it was: enter ends texts, % is no key of a mode, and
            # * leaves a card, after it has rubbed out what was typed.
            terminal.press("enter", "enter", "%", "enter", *"*" * 12)
            terminal.quiet(0.02)
        terminal.press("g", "1", "enter", "q")
        assert terminal.ended() == 0
        output = terminal.output
    assert len(output) > 20_000, "the screens were painted"
    assert not foreign(output)
    for theirs in (t for n, t in THEIRS.items() if n != "bel"):
        assert theirs.encode() not in output
    assert b"\x1b[31m" not in output, "plain red, which none of our looks uses"


def test_without_colour_every_screen_is_painted_and_none_is_coloured(tmp_path: Path, demo: Path) -> None:
    book = house.copied(demo, tmp_path)
    argv = [sys.executable, "-m", "rounds", "--book", str(book), "--today", "2026-03-01", "walk"]
    colours = re.compile(rb"\x1b\[[0-9;:]*[34]8[;:]")
    outputs = {}
    for no_color in ("", "1"):
        with Terminal(argv, env={"NO_COLOR": no_color} if no_color else {}) as terminal:
            terminal.wait_for("1 of 60")
            terminal.press("m", "4", "?")
            terminal.wait_for("page 1 of")
            terminal.press("x", "v")
            terminal.wait_for("boxes need you")
            terminal.press("u", "q")
            assert terminal.ended() == 0
            outputs[no_color] = terminal.output
    assert colours.search(outputs[""]), "with colours, there are some"
    assert not colours.search(outputs["1"])
