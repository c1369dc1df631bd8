"""The least that a front has to do, for the tests: a password before everything, then pass on.

A real front ends TLS as well, slows down who guesses passwords, and is somebody else's
well-kept program. What this one shows is the shape of it: without the password nothing
reaches the walk's server, neither a page nor a websocket; with it, both are passed on
unchanged, with the address that the browser asked for and the page's origin.
"""

from __future__ import annotations

import asyncio
import base64
import hmac
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from aiohttp import ClientSession, WSMsgType, WSServerHandshakeError, web

NAME, PASSWORD = "keeper", "long and only for this test"
HOP_BY_HOP = {
    "connection",
    "keep-alive",
    "proxy-authenticate",
    "proxy-authorization",
    "te",
    "trailers",
    "transfer-encoding",
    "upgrade",
    "authorization",
    "content-length",
    "host",
}
"""RFC 9110 section 7.6.1, and what is the front's own business."""


class Front:
    """Passes on to ``behind`` (a URL without a path) what comes with the password."""

    def __init__(self, behind: str = "") -> None:
        self.behind = behind
        self.port = 0
        self.turned_away = 0

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    async def handle(self, request: web.Request) -> web.StreamResponse:
        given = request.headers.get("Authorization", "")
        right = "Basic " + base64.b64encode(f"{NAME}:{PASSWORD}".encode()).decode()
        if not hmac.compare_digest(given.encode(), right.encode()):
            self.turned_away += 1
            return web.Response(status=401, headers={"WWW-Authenticate": 'Basic realm="rack"'})
        headers = {k: v for k, v in request.headers.items() if k.lower() not in HOP_BY_HOP}
        headers["Host"] = request.host
        headers["X-Forwarded-For"], headers["X-Forwarded-Host"] = "127.0.0.1", request.host
        async with ClientSession(auto_decompress=False) as session:
            if request.headers.get("Upgrade", "").lower() == "websocket":
                try:
                    return await self._websocket(request, session, headers)
                except WSServerHandshakeError as e:
                    return web.Response(status=e.status)
            async with session.get(f"{self.behind}{request.path_qs}", headers=headers) as answer:
                kept = {k: v for k, v in answer.headers.items() if k.lower() not in HOP_BY_HOP}
                return web.Response(status=answer.status, headers=kept, body=await answer.read())

    async def _websocket(
        self, request: web.Request, session: ClientSession, headers: dict[str, str]
    ) -> web.StreamResponse:
        for name in list(headers):
            if name.lower().startswith("sec-websocket"):
                del headers[name]
        async with session.ws_connect(f"{self.behind}{request.path_qs}", headers=headers) as inner:
            outer = web.WebSocketResponse()
            await outer.prepare(request)
            await asyncio.wait(
                [asyncio.create_task(_pass(outer, inner)), asyncio.create_task(_pass(inner, outer))],
                return_when=asyncio.FIRST_COMPLETED,
            )
            await inner.close()
            code = inner.close_code if inner.close_code and inner.close_code != 1006 else 1000
            await outer.close(code=code)
            return outer


async def _pass(source: Any, to: Any) -> None:
    async for message in source:
        if message.type == WSMsgType.TEXT:
            await to.send_str(message.data)
        elif message.type == WSMsgType.BINARY:
            await to.send_bytes(message.data)


@contextmanager
def front() -> Iterator[Front]:
    """A front in a thread of its own; ``behind`` is set once the server behind it is known."""
    it = Front()
    loop = asyncio.new_event_loop()
    runner: list[web.AppRunner] = []

    async def begin() -> None:
        app = web.Application()
        app.router.add_route("*", "/{any:.*}", it.handle)
        runner.append(web.AppRunner(app, shutdown_timeout=0.5))
        await runner[0].setup()
        site = web.TCPSite(runner[0], "127.0.0.1", 0)
        await site.start()
        it.port = site._server.sockets[0].getsockname()[1]  # type: ignore[union-attr]

    loop.run_until_complete(begin())
    thread = threading.Thread(target=loop.run_forever, daemon=True)
    thread.start()
    try:
        yield it
    finally:
        asyncio.run_coroutine_threadsafe(runner[0].cleanup(), loop).result(20)
        loop.call_soon_threadsafe(loop.stop)
        thread.join(20)
        loop.close()
