"""The walk without a terminal of its own: a server passes keys in and what is painted out.

The environment variable ``TEXTUAL_DRIVER`` names this driver (see rounds.serving.browser_session).
"""

from __future__ import annotations

import contextlib
import os
import signal
from functools import partial
from typing import Any

from textual import events
from textual.app import App
from textual.drivers._byte_stream import ByteStream
from textual.drivers.web_driver import WebDriver, _ExitInput

from rounds.ending_signals import WINDOW_CLOSED
from rounds.screens.typed_input import KeyParser

LAST_SECONDS = 10.0  # for the last commits, before the walk is ended as a closed window would end it


class ServedDriver(WebDriver):
    """Ends the walk with its page or its server, by a key like any other: what was typed before it counts."""

    def __init__(
        self, app: App[Any], *, debug: bool = False, mouse: bool = True, size: tuple[int, int] | None = None
    ) -> None:
        super().__init__(app, debug=debug, mouse=mouse, size=size)
        self._write = partial(_pass_on, self.fileno)

    def start_application_mode(self) -> None:
        super().start_application_mode()
        self.write("\x1b[?1003l\x1b[?1000h\x1b[?1006h")  # clicks; moves of a mouse are not wanted

    def on_meta(self, packet_type: str, payload: dict[str, object]) -> None:
        if packet_type == "quit":
            self.leave()
        else:
            super().on_meta(packet_type, payload)

    def run_input_thread(self) -> None:
        parser, packets = KeyParser(), ByteStream()
        with contextlib.suppress(_ExitInput), contextlib.closing(self._input_reader):
            silent = False  # nothing comes after all that came, too
            for data in self._input_reader:
                for kind, payload in packets.feed(data) if data else [("D", b"")] * silent:
                    if kind != "D":
                        self._on_meta(kind, payload)
                        continue
                    for message in parser.keys(payload):
                        self.process_message(message)
                silent = not data
        if not self.exit_event.is_set():  # the server is gone
            self.leave()
            if not self.exit_event.wait(LAST_SECONDS):
                signal.raise_signal(WINDOW_CLOSED)

    def leave(self) -> None:
        self.process_message(events.Key("ctrl+c", None))


def _pass_on(to: int, data: bytes) -> int:
    """Write what is painted. With the server gone nobody would see it; the end of the input then ends the walk."""
    try:
        return os.write(to, data)
    except BrokenPipeError:
        return len(data)
