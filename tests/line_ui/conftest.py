from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.config import Config
from tests.endtoend import rack
from tests.line_ui.lines import Typing, opened


@pytest.fixture(scope="session")
def shipped() -> Config:
    return rack.config()


@pytest.fixture
def book(demo_book: Path, tmp_path: Path) -> Path:
    folder = tmp_path / "house"
    folder.mkdir()
    return Path(shutil.copy(demo_book, folder / "book.sqlite"))


@pytest.fixture
def typing(book: Path, shipped: Config) -> Iterator[Typing]:
    """A session at the first enclosure of the demo house."""
    walk = opened(book, shipped)
    yield Typing(walk)
    assert walk.close(10.0) is None
