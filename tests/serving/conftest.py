from __future__ import annotations

import shutil
from pathlib import Path

import pytest


@pytest.fixture
def book(demo_book: Path, tmp_path: Path) -> Path:
    """A copy in a folder of its own."""
    folder = tmp_path / "house"
    folder.mkdir()
    return Path(shutil.copy(demo_book, folder / "book.sqlite"))
