"""Hostile texts of a book and its config, read out in every mode: only printable signs and line ends."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from rounds.config import Config
from rounds.line_ui.run_lines import Door
from tests.line_ui.lines import Typing
from tests.screens import hostile, house
from tests.screens.test_sweep import steering


@pytest.fixture(scope="module")
def config(tmp_path_factory: pytest.TempPathFactory) -> Config:
    return hostile.config(tmp_path_factory.mktemp("hostile") / "config")


@pytest.fixture(scope="module")
def poisoned(tmp_path_factory: pytest.TempPathFactory, config: Config) -> Path:
    return hostile.book(tmp_path_factory.mktemp("hostile"), config)


EVERYWHERE = (
    "here",
    "help",
    "water",
    "2",
    "note",
    "",
    "skip",
    "",
    "other",
    "0",
    "",
    "correct",
    "1",
    "3",
    "",
    "done",
    "",
    "put off",
    "1",
    "3",
    "why \x1b[2J",
    "record",
    "0",
    "",
    "record look-again",
    "x\x1b]0;t\x07",
    "",
    "undo",
    "closer",
    "summary",
    "all",
    "help",
    "1",
    "done",
    "summary",
    "zzz\x1b[31m\x9b",
    "go \x1b[2J",
    "skip \x9b1m",
    "record \u202e",
)


@pytest.mark.parametrize("name", hostile.TEXTS)
def test_no_text_leaves_its_line(poisoned: Path, config: Config, tmp_path: Path, name: str) -> None:
    with house.walking(house.copied(poisoned, tmp_path), config, name=hostile.TEXTS["osc"]) as walk:
        typing = Typing(walk)
        typing.type(f"go {hostile.NUMBER[name]}", *EVERYWHERE)
        for line in typing.said:
            assert not steering(line), line
            assert "\n" not in line


@pytest.mark.parametrize("width", [None, 20, 72])
def test_no_byte_but_line_ends_and_text(
    poisoned: Path, config: Config, tmp_path: Path, width: int | None
) -> None:
    sink = io.StringIO()
    door = Door(io.StringIO("x\n" * 100), sink, width)
    with house.walking(house.copied(poisoned, tmp_path), config) as walk:
        typing = Typing(walk)
        for number in hostile.NUMBER.values():
            typing.type(f"go {number}", *EVERYWHERE[:12])
        for line in typing.said:
            door.say(line)
        door.ask(typing.asked)
    text = sink.getvalue()
    assert not {c for c in text if ord(c) < 0x20} - {"\n"}
    if width is not None:
        from rich.cells import cell_len

        assert max(map(cell_len, text.splitlines())) <= width
