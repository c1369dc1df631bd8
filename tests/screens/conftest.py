from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.conftest import demo_of
from tests.screens import house


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented house on the fixed day; copied before it is walked."""
    return demo_of(house.DAY, tmp_path_factory)


@pytest.fixture
def book(demo: Path, tmp_path: Path) -> Path:
    return house.copied(demo, tmp_path)


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No config, colour setting or theme of whoever runs the tests."""
    monkeypatch.setenv("ROUNDS_CONFIG", str(tmp_path / "no-config"))
    for name in ("NO_COLOR", "TEXTUAL_THEME", "COLORTERM"):
        if name in os.environ:
            monkeypatch.delenv(name)
