"""The keyboard's bytes, without what breaks a walk: replies of the terminal, and bytes that are no UTF-8.

The library would read the digits of a report it does not know as keys, a single byte that is
not UTF-8 would end the thread that reads, and so would a terminal that is gone: the walk would
hear no key any more, and never end.
"""

from __future__ import annotations

import codecs
import os
import selectors
import signal
import threading
from collections.abc import Callable, Iterator

from textual._xterm_parser import XTermParser
from textual.driver import Driver
from textual.message import Message

from rounds.ending_signals import WINDOW_CLOSED
from rounds.keys.terminal_replies import AS_TYPED, MOST_COLUMNS, MOST_LINES, PATIENCE, TerminalReplies

TICK = 0.1
"""Seconds between two looks whether the walk is over."""


class KeyParser(XTermParser):
    """The library's parser, given whole sequences only: what it waits for the rest of has none."""

    def __init__(self) -> None:
        super().__init__()
        self.replies = TerminalReplies()
        self._decode = codecs.getincrementaldecoder("utf-8")(AS_TYPED).decode

    def keys(self, data: bytes) -> Iterator[Message]:
        """What was typed, of the bytes that came; of no bytes: nothing came for PATIENCE."""
        for unit in self.replies.feed(self._decode(data)) if data else self.replies.late():
            yield from self.feed(unit)
            if self._timeout_time is not None:
                self._timeout_time = 0.0
                yield from self.tick()


def read_keys(fileno: int, exit_event: threading.Event, process: Callable[[Message], None]) -> bool:
    """Read keys from a file and give them to ``process`` until ``exit_event`` is set.

    Returns False when the other end is gone before that.
    """
    parser = KeyParser()
    with selectors.SelectSelector() as selector:
        selector.register(fileno, selectors.EVENT_READ)
        while not exit_event.is_set():
            data = b""
            if selector.select(PATIENCE if parser.replies.waiting else TICK):
                try:
                    data = os.read(fileno, 4096)
                except OSError:
                    return False
                if not data:
                    return False
            for message in parser.keys(data):
                process(message)
    return True


def undisturbed(driver: type[Driver]) -> type[Driver]:
    """The same driver, reading its terminal with :func:`read_keys` where it reads one (not on Windows)."""
    if driver.__name__ != "LinuxDriver":
        return driver

    class UndisturbedDriver(driver):  # type: ignore[misc, valid-type]
        def _get_terminal_size(self) -> tuple[int, int]:
            columns, lines = super()._get_terminal_size()
            return min(columns, MOST_COLUMNS), min(lines, MOST_LINES)

        def run_input_thread(self) -> None:
            # A window that is closed says so by a signal, which may be ignored, or meant for another.
            gone = not read_keys(self.fileno, self.exit_event, self.process_message)
            while gone and not self.exit_event.wait(TICK):
                signal.raise_signal(WINDOW_CLOSED)

    return UndisturbedDriver
