"""A book of the invented house, made once; each test types into a copy of its own."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.endtoend.terminal import Terminal


@pytest.fixture
def book(demo_book: Path, tmp_path: Path) -> Path:
    """A copy in a folder of its own."""
    folder = tmp_path / "house"
    folder.mkdir()
    return Path(shutil.copy(demo_book, folder / "book.sqlite"))


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """The keeper's own config folder, empty."""
    folder = tmp_path / "own config"
    folder.mkdir()
    return folder


@pytest.fixture
def begin(own: Path, tmp_path: Path) -> Iterator[Callable[..., Terminal]]:
    """Start the program; what a test leaves running is killed at its end."""
    running: list[Terminal] = []

    def start(argv: list[str], **more: Any) -> Terminal:
        env = {
            "ROUNDS_CONFIG": str(own),
            "TMPDIR": str(tmp_path),
            "HOME": str(tmp_path),
            **more.pop("env", {}),
        }
        running.append(Terminal(argv, env=env, **more))
        return running[-1]

    yield start
    for terminal in running:
        terminal.kill()
