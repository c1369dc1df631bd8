"""The invented house of the screens' tests."""

from __future__ import annotations

from tests.screens.conftest import book, demo, plain  # noqa: F401  # fixtures
