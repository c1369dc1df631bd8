"""The walk as a full-screen program: one screen, one widget, signals that lose nothing."""

from __future__ import annotations

import asyncio
import gc
import os
import signal

from textual import events
from textual.app import App, ComposeResult
from textual.driver import Driver
from textual.screen import Screen

from rounds.ending_signals import ENDING
from rounds.screens import palettes
from rounds.screens.board import Board
from rounds.screens.lost_terminal import lasting
from rounds.screens.typed_input import undisturbed
from rounds.walk.core import Walk

CLOSE_SECONDS = 8.0  # how long a signal waits for what is not committed yet


NOT_HERE = ("_disable_tooltips", "_disable_notifications")
"""Private switches of the library, those of ``App.run_test``. A version without one makes what nobody sees."""


class WalkScreen(Screen[None], inherit_bindings=False, inherit_css=False):
    """Holds the board, and nothing that could have the focus."""

    DEFAULT_CSS = "WalkScreen { layout: vertical; background: ansi_default; color: ansi_default; }"

    def __init__(self, board: Board) -> None:
        super().__init__()
        self.board = board

    def compose(self) -> ComposeResult:
        yield self.board


class WalkApp(App["int | Exception"], inherit_bindings=False, inherit_css=False):
    """Runs a walk. The return value is the signal or the error that ended it, or None.

    It has no use for what the library has ready for any program: styles for widgets that are not
    here, the colours of a theme, a place for notices and for tooltips. Making those took longer
    than the first lines.
    """

    DEFAULT_CSS = "WalkApp { background: ansi_default; color: ansi_default; }"
    ENABLE_COMMAND_PALETTE = False
    TITLE = "rounds"

    def __init__(
        self, walk: Walk, *, touch: bool = False, palette: str = "", ascii_only: bool = False
    ) -> None:
        self.painted = palettes.styles(
            palette or walk.config.choices.palette, colour=not palettes.without_colour()
        )
        # They reach the terminal as they are. The library would turn the sixteen colours into others, and
        # take colours away by setting default ones, also where NO_COLOR is there and asks for nothing.
        os.environ.pop("NO_COLOR", None)
        super().__init__(ansi_color=True)
        for wanted_not in NOT_HERE:
            setattr(self, wanted_not, True)
        self.walk = walk
        self.board = Board(walk, self.painted, touch=touch, ascii_only=ascii_only)

    def get_css_variables(self) -> dict[str, str]:
        return {}  # no style here names a colour of a theme

    def get_driver_class(self) -> type[Driver]:
        return lasting(undisturbed(super().get_driver_class()))

    def get_default_screen(self) -> Screen[None]:
        return WalkScreen(self.board)

    async def on_event(self, event: events.Event) -> None:
        """Hand keys, taps and pastes to the board as they come, all of them out of this one queue.

        The library would hand them on to the screen, and to the widget that has the focus or lies
        under the mouse: one would overtake another, the first keys would come before there is a
        widget, and each key would wait in a second queue. Moves of the mouse mean nothing here.
        """
        match event:
            case events.Key():
                self.board.key_came(event)
            case events.MouseDown() if event.button == 1:
                self.board.tap(event.x, event.y)
            case events.Paste():
                self.board.pasted()
            case events.MouseEvent():
                pass
            case _:
                await super().on_event(event)

    def on_mount(self) -> None:
        loop = asyncio.get_running_loop()
        # On Windows the loop takes none; there only the interpreter itself does.
        takes_signals = type(loop).add_signal_handler is not asyncio.AbstractEventLoop.add_signal_handler
        for number in ENDING:
            if takes_signals:
                loop.add_signal_handler(number, self._ended_by, number)
            else:
                signal.signal(number, lambda n, _frame: loop.call_soon_threadsafe(self._ended_by, n))

    def on_ready(self) -> None:
        """All that a start makes stays; from here on rubbish is collected again (see run_walk)."""
        gc.freeze()
        gc.enable()

    def _ended_by(self, number: int) -> None:
        # With a book that cannot be written, waiting would only risk being killed.
        if not self.walk.saving.said:
            self.walk.drain(CLOSE_SECONDS)
        self.exit(number)
