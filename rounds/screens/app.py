"""The walk as a full-screen program: one screen, one widget, signals that lose nothing."""

from __future__ import annotations

import asyncio
import contextlib
import signal

from textual.app import App, ComposeResult
from textual.screen import Screen

from rounds.screens.board import Board
from rounds.walk import Walk

CLOSE_SECONDS = 8.0  # how long a signal waits for what is not committed yet


class WalkScreen(Screen[None], inherit_bindings=False):
    """Holds the board and nothing else."""

    def __init__(self, walk: Walk) -> None:
        super().__init__()
        self.walk = walk

    def compose(self) -> ComposeResult:
        yield Board(self.walk)


class WalkApp(App["int | Exception"], inherit_bindings=False):
    """Runs a walk. The return value is the signal or the error that ended it, or None."""

    ENABLE_COMMAND_PALETTE = False
    TITLE = "rounds"

    def __init__(self, walk: Walk) -> None:
        super().__init__()
        self.walk = walk

    def get_default_screen(self) -> Screen[None]:
        return WalkScreen(self.walk)

    def on_mount(self) -> None:
        loop = asyncio.get_running_loop()
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            with contextlib.suppress(NotImplementedError):  # no such handlers on Windows
                loop.add_signal_handler(number, self._ended_by, number)

    def _ended_by(self, number: int) -> None:
        if not self.walk.said:  # with a book that cannot be written, waiting would only risk being killed
            self.walk.drain(CLOSE_SECONDS)
        self.exit(number)
