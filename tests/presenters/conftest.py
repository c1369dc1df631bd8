"""What is shown is tested on the same houses as the screens that show it."""

from tests.screens.conftest import book, demo, plain

__all__ = ["book", "demo", "plain"]
