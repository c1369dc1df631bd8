"""The walk as a full-screen program: one screen, one widget, signals that lose nothing."""

from __future__ import annotations

import asyncio
import gc
import os
import signal
from collections.abc import Mapping

from rich.style import Style
from textual import events
from textual.app import App, ComposeResult
from textual.driver import Driver
from textual.message import Message
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


class Tap(Message, bubble=False):
    """A mouse button or a finger went down at a cell."""

    def __init__(self, x: int, y: int) -> None:
        super().__init__()
        self.x, self.y = x, y


class WalkScreen(Screen[None], inherit_bindings=False, inherit_css=False):
    """Holds the board and hands it every key.

    Nothing can have the focus here. The keys typed while the program starts come to the
    screen before any widget could have it, and a widget that took it later would find
    the first of them gone or behind the others.
    """

    DEFAULT_CSS = "WalkScreen { layout: vertical; background: ansi_default; color: ansi_default; }"

    def __init__(
        self, walk: Walk, styles: Mapping[str, Style], *, touch: bool = False, ascii_only: bool = False
    ) -> None:
        super().__init__()
        self.board = Board(walk, styles, touch=touch, ascii_only=ascii_only)

    def compose(self) -> ComposeResult:
        yield self.board

    def on_key(self, event: events.Key) -> None:
        self.board.on_key(event)

    def on_paste(self, event: events.Paste) -> None:
        self.board.on_paste(event)

    def on_tap(self, event: Tap) -> None:
        self.board.tap(event.x, event.y)


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
        self.walk, self.touch, self.ascii_only = walk, touch, ascii_only

    def get_css_variables(self) -> dict[str, str]:
        return {}  # no style here names a colour of a theme

    def get_driver_class(self) -> type[Driver]:
        return lasting(undisturbed(super().get_driver_class()))

    def get_default_screen(self) -> Screen[None]:
        return WalkScreen(self.walk, self.painted, touch=self.touch, ascii_only=self.ascii_only)

    async def on_event(self, event: events.Event) -> None:
        """Taps wait in the same queue as keys.

        Handed to the widget under it, as the library would, a tap could be overtaken by a key
        that was typed after it. Moves of the mouse mean nothing here and cost nothing.
        """
        if not isinstance(event, events.MouseEvent):
            await super().on_event(event)
        elif isinstance(event, events.MouseDown) and event.button == 1:
            self.screen.post_message(Tap(event.x, event.y))

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
