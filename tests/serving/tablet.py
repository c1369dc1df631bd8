"""A tablet for the tests: headless Chromium with a touch screen, its screen read as text.

The page draws the walk on a canvas. What the server sent to it is fed to a terminal emulator
of the same size, so a test finds a key by its words and taps where it is painted.
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pyte
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Request, WebSocket, sync_playwright

from tests.serving.front import NAME, PASSWORD
from tests.serving.served import PATIENCE

ARGS = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SIZE = {"width": 1024, "height": 768}


def chromium() -> str:
    """Where Chromium is. Without it the test is skipped, and fails where all is to be tested (CI)."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or ""
    if not found:
        said = "there is no Chromium here: the walk in a browser is not tested"
        if os.environ.get("CI"):
            pytest.fail(said)
        pytest.skip(said)
    return found


class Tablet:
    """One page. ``requests`` are all it asked for, ``sent`` what it sent to the walk."""

    def __init__(self, context: BrowserContext) -> None:
        self.page: Page = context.new_page()
        self.requests: list[str] = []
        self.sent: list[Any] = []
        self.screen = pyte.Screen(80, 24)
        self.stream = pyte.ByteStream(self.screen)
        self.page.on("request", self._asked)
        self.page.on("websocket", self._connected)

    def _asked(self, request: Request) -> None:
        self.requests.append(request.url)

    def _connected(self, socket: WebSocket) -> None:
        self.requests.append(socket.url)
        socket.on("framesent", self._sent)
        socket.on("framereceived", self._received)
        self.screen.reset()

    def _sent(self, payload: str | bytes) -> None:
        message = json.loads(payload)
        self.sent.append(message)
        if message[0] == "resize":
            self.screen.resize(message[1]["height"], message[1]["width"])
            self.screen.erase_in_display(2)  # what is waited for is what the walk paints for this size

    def _received(self, payload: str | bytes) -> None:
        if isinstance(payload, bytes):
            self.stream.feed(payload)

    def text(self) -> str:
        """The screen, a space where several are."""
        return "\n".join(" ".join(line.split()) for line in self.screen.display)

    def wait(self, what: str | Callable[[], bool]) -> None:
        """Until a text is on the screen, or something is so."""
        said = (lambda: what in self.text()) if isinstance(what, str) else what
        end = time.monotonic() + PATIENCE
        while not said():
            assert time.monotonic() < end, (
                f"{what!r} did not come, last sent {self.sent[-5:]}:\n{self.text()}"
            )
            self.page.wait_for_timeout(20)

    def cell(self, words: str, last: bool = False) -> tuple[int, int]:
        """Column and line of some words on the screen: the first place they are at, or the last."""
        found = [(line.index(words), y) for y, line in enumerate(self.screen.display) if words in line]
        assert found, f"{words!r} is not shown:\n{self.text()}"
        return found[-1 if last else 0]

    def row(self, question: str) -> tuple[int, int]:
        """Column and line of a question, which stands at the left; the pictures beside it have its name too."""
        found = [y for y, line in enumerate(self.screen.display) if line[1:].lstrip().startswith(question)]
        assert found, f"{question!r} is not asked:\n{self.text()}"
        return self.screen.display[found[0]].index(question), found[0]

    def tap(self, words: str, big: bool = True) -> None:
        """Put a finger on some words: on the big key that has them, or on the line above the keys."""
        x, y = self.cell(words, last=big)
        self.tap_cell(x + len(words) // 2, y)

    def tap_cell(self, x: int, y: int) -> None:
        box = self.page.locator(".xterm-screen").bounding_box()
        assert box is not None
        across, down = box["width"] / self.screen.columns, box["height"] / self.screen.lines
        self.page.touchscreen.tap(box["x"] + (x + 0.5) * across, box["y"] + (y + 0.5) * down)


@contextmanager
def launched() -> Iterator[Browser]:
    """A browser for several tests: each makes a context of its own, with nothing remembered."""
    at = chromium()
    with sync_playwright() as play:
        it = play.chromium.launch(executable_path=at, args=ARGS, headless=True)
        try:
            yield it
        finally:
            it.close()


@contextmanager
def browser(password: bool = True) -> Iterator[BrowserContext]:
    """A browser with nothing remembered, signed in at the front or not."""
    at = chromium()
    signed_in: dict[str, Any] = {"http_credentials": {"username": NAME, "password": PASSWORD}}
    with tempfile.TemporaryDirectory() as kept, sync_playwright() as play:
        context = play.chromium.launch_persistent_context(
            kept,
            executable_path=at,
            args=ARGS,
            headless=True,
            viewport=SIZE,
            has_touch=True,
            **(signed_in if password else {}),
        )
        try:
            yield context
        finally:
            context.close()
