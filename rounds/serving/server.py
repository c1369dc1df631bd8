"""The web server of a walk: one page, one websocket to a process, and the guard before both."""

from __future__ import annotations

import asyncio
import logging
import socket
from collections.abc import Callable, Mapping, Sequence
from html import escape
from importlib.resources import files
from pathlib import Path

import textual_serve
from aiohttp import WSCloseCode, WSMsgType, web
from aiohttp.http_exceptions import HttpProcessingError
from aiohttp.log import server_logger
from aiohttp.typedefs import Handler

from rounds import crash
from rounds.named_tuple import NamedTuple
from rounds.problems import RoundsError, one_line
from rounds.serving import serving_sentences
from rounds.serving.browser_session import Session, why
from rounds.serving.guard import Served, refused

OWN = {"walk.css": "text/css", "walk.js": "text/javascript"}
LIBRARY = {
    "xterm.css": ("css/xterm.css", "text/css"),
    "textual.js": ("js/textual.js", "text/javascript"),
    "mono.ttf": ("fonts/RobotoMono-VariableFont_wght.ttf", "font/ttf"),
}
"""Everything the page loads; there is no other file to be had."""
HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
    "font-src 'self'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'",
    "X-Frame-Options": "DENY",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}
"""Nothing from outside, no frame around it, no copy kept."""
HEARTBEAT = 8.0  # seconds between looks whether the page is still there
MOST_BYTES = 65_536  # of one message of a page
TAKEN_UP, FULL, NO_MESSAGE = 4002, 4003, 4004


class Walker(NamedTuple):
    """Who may walk: the name shown where there are several, and the walk's command."""

    name: str
    argv: Sequence[str]


class Door:
    """Answers requests. ``say`` is told in words what happens, a line each."""

    def __init__(
        self, served: Served, walkers: Sequence[Walker], driver: str, most: int, say: Callable[[str], None]
    ) -> None:
        self.served, self.walkers, self.driver, self.most, self.say = served, walkers, driver, most, say
        self.running: dict[int, Session] = {}
        self.turns = [asyncio.Lock() for _ in walkers]

    def app(self) -> web.Application:
        app = web.Application(middlewares=[self.guarded], client_max_size=MOST_BYTES)
        app.add_routes(
            [
                web.get("/", self.first_page),
                web.get(r"/walk/{who:\d{1,3}}/", self.page),
                web.get(r"/walk/{who:\d{1,3}}/ws", self.websocket),
                web.get("/files/{name}", self.file),
            ]
        )
        app.on_shutdown.append(self.close)
        return app

    @web.middleware
    async def guarded(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Refuse what is not meant for us, before anything is looked at or started."""
        headers: dict[str, list[str]] = {}
        for name, value in request.headers.items():
            headers.setdefault(name.lower(), []).append(value)
        websocket = "upgrade" in headers or request.path.endswith("/ws")
        wrong = refused(headers, self.served, websocket=websocket)
        if wrong:
            said = one_line(serving_sentences.refused(wrong))
            self.say(said)
            return web.Response(status=403, text=f"{said}\n", headers=HEADERS)
        response = await handler(request)
        if not response.prepared:
            response.headers.update(HEADERS)
        return response

    async def first_page(self, _request: web.Request) -> web.StreamResponse:
        """Who walks, where there is a choice."""
        if len(self.walkers) == 1:
            return _html(_read("walk.html"), "walk/0/", self.walkers[0].name)
        links = "".join(
            f'<a class="choice" href="walk/{i}/">{escape(w.name)}</a>' for i, w in enumerate(self.walkers)
        )
        return _html(_read("who.html").replace("{links}", links))

    async def page(self, request: web.Request) -> web.StreamResponse:
        who = self._who(request)
        return _html(_read("walk.html").replace('"files/', '"../../files/'), "", self.walkers[who].name)

    async def file(self, request: web.Request) -> web.StreamResponse:
        name = request.match_info["name"]
        if name in OWN:
            return web.Response(text=_read(name), content_type=OWN[name], charset="utf-8")
        if name in LIBRARY:
            at, kind = LIBRARY[name]
            path = Path(textual_serve.__file__).parent / "static" / at
            return web.Response(body=path.read_bytes(), content_type=kind)
        raise web.HTTPNotFound(text=f"{serving_sentences.NO_FILE}\n")

    async def websocket(self, request: web.Request) -> web.StreamResponse:
        """A page opened its connection: its walk begins, and ends with it."""
        who = self._who(request)
        socket_ = web.WebSocketResponse(heartbeat=HEARTBEAT, max_msg_size=MOST_BYTES)
        await socket_.prepare(request)
        async with self.turns[who]:  # a page that is loaded again waits until the one before has saved
            if request.transport is None or request.transport.is_closing():
                return socket_  # the page did not wait
            before = self.running.get(who)
            if before is not None:
                before.over = TAKEN_UP
                await self._end(who, before)
            if len(self.running) >= self.most:
                self.say(serving_sentences.refused(serving_sentences.walks_open(self.most)))
                await socket_.close(code=FULL, message=str(self.most).encode())
                return socket_
            session = Session(self.walkers[who].argv, self.driver, socket_.send_bytes)
            self.running[who] = session
            try:
                await session.start(_cells(request, "width", 80), _cells(request, "height", 24))
            except BaseException:
                del self.running[who]
                raise
        self.say(serving_sentences.began(len(self.running), self.most))
        tell = asyncio.create_task(self._tell(session, socket_))
        try:
            await self._listen(session, socket_)
        finally:
            await asyncio.shield(self._end(who, session))
            await tell
            self.say(serving_sentences.ended(len(self.running), self.most))
        return socket_

    async def _listen(self, session: Session, socket_: web.WebSocketResponse) -> None:
        async for message in socket_:
            if message.type != WSMsgType.TEXT:
                continue
            try:
                answer = await session.take(message.data)
            except ValueError as e:
                self.say(serving_sentences.refused(str(e)))
                await socket_.close(code=NO_MESSAGE)
                return
            if answer:
                await socket_.send_str(answer)

    async def _tell(self, session: Session, socket_: web.WebSocketResponse) -> None:
        """Close the page's connection once its walk is over, and say why."""
        await session.ended.wait()
        code, reason = why(session)
        if session.over:
            code, reason = session.over, ""
        elif code != 4000 or session.said:
            self.say(one_line(session.said or reason))
        await socket_.close(code=code, message=reason.encode())

    async def _end(self, who: int, session: Session) -> None:
        await session.stop()
        if self.running.get(who) is session:
            del self.running[who]

    async def close(self, _app: web.Application) -> None:
        """The server ends: every walk saves and ends first."""
        for session in self.running.values():
            session.over = WSCloseCode.GOING_AWAY
        await asyncio.gather(*(session.stop() for session in self.running.values()))

    def _who(self, request: web.Request) -> int:
        who = int(request.match_info["who"])
        if who >= len(self.walkers):
            raise web.HTTPNotFound(text=f"{serving_sentences.NOBODY_WALKS_HERE}\n")
        return who


def listen(host: str, port: int) -> socket.socket:
    """A socket that listens at a loopback address; port 0 is any free one. RoundsError when it is taken."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        return socket.create_server((host, port), family=family)
    except OSError as e:
        raise RoundsError(serving_sentences.port_taken(port, host, e.strerror or str(e))) from e


class Log(logging.Handler):
    """Says in a line what the library would report with its own call stack: anybody may send anything."""

    def __init__(self, say: Callable[[str], None]) -> None:
        super().__init__()
        self.say = say

    def emit(self, record: logging.LogRecord) -> None:
        error = record.exc_info[1] if record.exc_info else None
        if isinstance(error, HttpProcessingError):
            self.say(serving_sentences.refused(serving_sentences.NO_REQUEST))
        elif error is not None:
            self.say(crash.report(error))
        else:
            self.say(one_line(record.getMessage()))


def serve(door: Door, at: socket.socket) -> None:
    """Serve until SIGINT or SIGTERM; every walk is saved by then."""
    for log in (server_logger, logging.getLogger("asyncio")):
        log.propagate = False
        log.handlers = [Log(door.say)]
    web.run_app(door.app(), sock=at, print=None, access_log=None, shutdown_timeout=1.0)


def _cells(request: web.Request, name: str, usual: int) -> int:
    text = request.query.get(name, "")
    return max(1, min(500, int(text))) if text.isascii() and text.isdigit() and len(text) < 6 else usual


def _read(name: str) -> str:
    return files("rounds.serving").joinpath("page", name).read_text("utf-8")


def _html(text: str, at: str = "", name: str = "") -> web.Response:
    filled: Mapping[str, str] = {"{at}": at, "{name}": escape(name)}
    for key, value in filled.items():
        text = text.replace(key, value)
    return web.Response(text=text, content_type="text/html", charset="utf-8")
