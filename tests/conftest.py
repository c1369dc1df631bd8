"""Shared by all tests: reproducible property tests, and no config or book of whoever runs them."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile("ci", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("dev", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("ci" if os.environ.get("CI") else "dev")


@pytest.fixture(autouse=True)
def _a_house_of_its_own(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test reads or writes the config folder or the book of the person running it."""
    home = tmp_path_factory.getbasetemp() / "home"
    home.mkdir(exist_ok=True)
    for name in ("ROUNDS_BOOK", "ROUNDS_CONFIG"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(home / "config"))
    monkeypatch.setenv("XDG_DATA_HOME", str(home / "data"))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update", action="store_true", help="write the screens compared in tests/screens anew")


@pytest.fixture(scope="session")
def demo_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo book, loaded once; tests copy it and never write into it."""
    from rounds.commands.books import load_demo
    from tests.endtoend import rack

    path = tmp_path_factory.mktemp("demo") / "demo.sqlite"
    load_demo(path, None, rack.TODAY)
    return path
