"""A page without a browser: the websocket as the page uses it, the screen as text."""

from __future__ import annotations

import asyncio
import json
from typing import Any

import pyte
from aiohttp import ClientSession, ClientWebSocketResponse, WSMsgType

from tests.serving.served import PATIENCE

WIDTH, HEIGHT = 113, 33


class Visitor:
    """An open websocket. ``code`` and ``reason`` once the server has closed it."""

    def __init__(self, socket: ClientWebSocketResponse) -> None:
        self.socket = socket
        self.screen = pyte.Screen(WIDTH, HEIGHT)
        self.stream = pyte.ByteStream(self.screen)
        self.code: int | None = None

    def text(self) -> str:
        return "\n".join(" ".join(line.split()) for line in self.screen.display)

    async def send(self, *message: Any) -> None:
        await self.socket.send_str(json.dumps(message))

    async def press(self, keys: str) -> None:
        await self.send("stdin", keys)

    async def wait(self, words: str) -> None:
        """Until some words are on the screen; what the screen shows instead is told when they do not come."""
        try:
            async with asyncio.timeout(PATIENCE):
                while words not in self.text():
                    assert await self._next(), (
                        f"closed with {self.code} before {words!r} came:\n{self.text()}"
                    )
        except TimeoutError:
            raise AssertionError(f"{words!r} did not come:\n{self.text()}") from None

    async def gone(self) -> int | None:
        """The code with which the server closes it."""
        while await self._next():
            pass
        return self.code

    async def _next(self) -> bool:
        message = await self.socket.receive(PATIENCE)
        if message.type == WSMsgType.BINARY:
            self.stream.feed(message.data)
        elif message.type != WSMsgType.TEXT:
            self.code = self.socket.close_code
            return False
        return True


async def visit(session: ClientSession, url: str, who: int = 0, **headers: str) -> Visitor:
    """Open the walk's websocket as our own page would, or with other headers."""
    told = {"Origin": url, **headers}
    socket = await session.ws_connect(f"{url}/walk/{who}/ws?width={WIDTH}&height={HEIGHT}", headers=told)
    return Visitor(socket)
