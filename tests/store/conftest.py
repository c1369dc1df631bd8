from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.store.book import Book
from tests.store.houses import new_house


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "house" / "tarn.book"


@pytest.fixture
def book(path: Path) -> Iterator[Book]:
    """An open book with enclosures 1, 2 and 3."""
    opened = new_house(path)
    yield opened
    opened.close()
