"""The keyboard's bytes, without what breaks a walk: replies of the terminal, and bytes that are no UTF-8.

The library would read the digits of a report it does not know as keys, and a single byte that is
not UTF-8 would end the thread that reads: the walk would hear no key any more.
"""

from __future__ import annotations

import codecs
import contextlib
import os
import selectors
import threading
from collections.abc import Callable, Iterable

from textual._parser import ParseError
from textual._xterm_parser import XTermParser
from textual.driver import Driver
from textual.message import Message

from rounds.keys.terminal_replies import PATIENCE, TerminalReplies

TICK = 0.1
"""Seconds between two looks at what the parser still holds."""


def read_keys(fileno: int, exit_event: threading.Event, process: Callable[[Message], None]) -> None:
    """Read keys from a file and give them to ``process`` until ``exit_event`` is set."""
    parser, replies = XTermParser(), TerminalReplies()
    decode = codecs.getincrementaldecoder("utf-8")("replace").decode

    def pass_on(typed: str) -> None:
        if typed:  # nothing at all would end the parser
            _each(parser.feed(typed), process)

    with selectors.SelectSelector() as selector:
        selector.register(fileno, selectors.EVENT_READ)
        while not exit_event.is_set():
            ready = selector.select(PATIENCE if replies.waiting else TICK)
            if ready:
                data = os.read(fileno, 4096)
                if not data:  # the other end is gone; its signal ends the walk
                    break
                pass_on(replies.feed(decode(data)))
            else:
                pass_on(replies.late())
            _each(parser.tick(), process)
    with contextlib.suppress(EOFError, ParseError):
        _each(parser.feed(""), lambda _: None)


def undisturbed(driver: type[Driver]) -> type[Driver]:
    """The same driver, reading its terminal with :func:`read_keys` where it reads one (not on Windows)."""
    if driver.__name__ != "LinuxDriver":
        return driver

    class UndisturbedDriver(driver):  # type: ignore[misc, valid-type]
        def run_input_thread(self) -> None:
            read_keys(self.fileno, self.exit_event, self.process_message)

    return UndisturbedDriver


def _each(messages: Iterable[Message], process: Callable[[Message], None]) -> None:
    for message in messages:
        process(message)
