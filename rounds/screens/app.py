"""The walk as a full-screen program: one screen, one widget, signals that lose nothing."""

from __future__ import annotations

import asyncio
import contextlib
import gc
import signal

from textual import events
from textual.app import App, ComposeResult
from textual.screen import Screen

from rounds.screens.board import Board
from rounds.walk import Walk

CLOSE_SECONDS = 8.0  # how long a signal waits for what is not committed yet


class WalkScreen(Screen[None], inherit_bindings=False):
    """Holds the board and hands it every key.

    Nothing can have the focus here. The keys typed while the program starts come to the
    screen before any widget could have it, and a widget that took it later would find
    the first of them gone or behind the others.
    """

    def __init__(self, walk: Walk) -> None:
        super().__init__()
        self.board = Board(walk)

    def compose(self) -> ComposeResult:
        yield self.board

    def on_key(self, event: events.Key) -> None:
        self.board.on_key(event)

    def on_paste(self, event: events.Paste) -> None:
        self.board.on_paste(event)


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

    def on_ready(self) -> None:
        """All that a start makes stays; from here on rubbish is collected again (see run_walk)."""
        gc.freeze()
        gc.enable()

    def _ended_by(self, number: int) -> None:
        if not self.walk.said:  # with a book that cannot be written, waiting would only risk being killed
            self.walk.drain(CLOSE_SECONDS)
        self.exit(number)
