"""An empty book and its file, for every test of loading."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.records.observations import House
from rounds.store.book import Book, create


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with create(tmp_path / "book" / "a.book", House("", "UTC")) as made:
        yield made
