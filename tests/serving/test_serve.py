"""`rounds serve` as a process: who gets a walk, how many, and how a walk ends with its page."""

from __future__ import annotations

import asyncio
import contextlib
import os
import re
import shutil
import signal
import socket
import zlib
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from aiohttp import ClientSession, ClientTimeout, WSServerHandshakeError, encode_basic_auth

from rounds.cli import run
from rounds.problems import EXIT_BOOK, EXIT_INPUT
from tests.endtoend import rack
from tests.sampled import sampled
from tests.serving.client import visit
from tests.serving.front import NAME, PASSWORD, front
from tests.serving.served import Served, serving, until

pytestmark = [pytest.mark.long, pytest.mark.waits]


def with_session(work: Callable[[ClientSession], Awaitable[None]]) -> None:
    async def inner() -> None:
        async with ClientSession(timeout=ClientTimeout(total=60)) as session:
            await work(session)

    asyncio.run(inner())


async def until_no_walk(server: Served) -> None:
    await asyncio.to_thread(until, lambda: not server.walks(), lambda: server.said)


# The door


def test_without_the_password_nothing_is_started(book: Path, tmp_path: Path) -> None:
    async def work(session: ClientSession) -> None:
        for path in ("/", "/walk/0/", "/files/textual.js", "/nowhere"):
            async with session.get(f"{at.address}{path}") as answer:
                assert answer.status == 401
                assert "textual" not in await answer.text()
        with pytest.raises(WSServerHandshakeError) as refused:
            await visit(session, at.address)
        assert refused.value.status == 401
        wrong = encode_basic_auth(NAME, PASSWORD + "x")
        with pytest.raises(WSServerHandshakeError):
            await visit(session, at.address, Authorization=wrong)
        assert server.walks() == []
        right = encode_basic_auth(NAME, PASSWORD)
        async with session.get(at.address, headers={"Authorization": right}) as answer:
            assert answer.status == 200
        visitor = await visit(session, at.address, Authorization=right)
        await visitor.wait("1 of 60")
        assert len(server.walks()) == 1
        await visitor.socket.close()
        await until_no_walk(server)

    with front() as at, serving(book, tmp_path, "--address", at.address) as server:
        at.behind = server.url
        with_session(work)
        assert at.turned_away == 6


def test_another_page_of_the_same_browser_cannot_drive_it(book: Path, tmp_path: Path) -> None:
    """A browser signed in at the front sends its password along for any page: the origin decides."""

    async def work(session: ClientSession) -> None:
        right = encode_basic_auth(NAME, PASSWORD)
        for origin in ("https://elsewhere.example", "null", server.url):
            with pytest.raises(WSServerHandshakeError) as refused:
                await visit(session, at.address, Origin=origin, Authorization=right)
            assert refused.value.status == 403
        assert server.walks() == []
        visitor = await visit(session, at.address, Authorization=right)  # the control: our own page does
        await visitor.wait("1 of 60")
        await visitor.socket.close()

    with front() as at, serving(book, tmp_path, "--address", at.address) as server:
        at.behind = server.url
        with_session(work)
        assert server.said.count("refused: the page that opened it") == 3


def test_what_is_not_meant_for_it_is_refused(book: Path, tmp_path: Path) -> None:
    async def work(session: ClientSession) -> None:
        for headers in ({"Host": "rack.example"}, {"X-Forwarded-For": "10.0.0.1"}, {"Via": "1.1 front"}):
            async with session.get(server.url, headers=headers) as answer:
                assert answer.status == 403
                assert "refused" in await answer.text()
        for path in (
            "/walk/1/",
            "/walk/999/ws",
            "/files/../server.py",
            "/files/xterm.map",
            "/static/",
            "/download/x",
            "/ws",
        ):
            async with session.get(f"{server.url}{path}", headers={"Origin": server.url}) as answer:
                assert answer.status == 404, path
        async with session.post(server.url) as answer:
            assert answer.status == 405
        assert server.walks() == []

    with serving(book, tmp_path) as server:
        with_session(work)


def test_the_page_names_nothing_outside(book: Path, tmp_path: Path) -> None:
    async def work(session: ClientSession) -> None:
        async with session.get(server.url) as answer:
            page = await answer.text()
            policy = answer.headers["Content-Security-Policy"]
            assert answer.headers["X-Frame-Options"] == "DENY"
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        named = re.findall(r'(?:src|href)="([^"]*)"', page)
        assert sorted(named) == [
            "data:,",
            "files/textual.js",
            "files/walk.css",
            "files/walk.js",
            "files/xterm.css",
        ]
        for name in [n for n in named if n.startswith("files/")] + ["files/mono.ttf"]:
            async with session.get(f"{server.url}/{name}") as answer:
                assert answer.status == 200
                text = await answer.text(errors="replace")
            if not name.endswith(("textual.js", "ttf")):
                assert "://" not in re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL), name
                assert "@import" not in text

    with serving(book, tmp_path) as server:
        with_session(work)


# Walks


def test_a_walk_ends_with_its_page_and_the_next_resumes(book: Path, tmp_path: Path) -> None:
    keys = ["1", "space", "2", "4", ".", "5", "space", "space", "n", *"dry"]
    other = Path(shutil.copy(book, tmp_path / "typed.sqlite"))

    async def work(session: ClientSession) -> None:
        visitor = await visit(session, server.url)
        await visitor.wait("1 of 60")
        await visitor.press("".join(" " if k == "space" else k for k in keys))
        await visitor.wait("note: dry_ ✓")
        assert visitor.socket._response.connection is not None
        visitor.socket._response.connection.transport.abort()  # as a tablet that is out of reach
        await until_no_walk(server)
        visitor = await visit(session, server.url)
        await visitor.wait("3 of 60")
        await visitor.wait("note: dry ✓")
        await visitor.press("q")
        assert await visitor.gone() == 4000

    with serving(book, tmp_path) as server:
        with_session(work)
    rack.typed_slowly(other, [*keys, "enter"], rack.config())
    assert rack.cells_today(book) == rack.cells_today(other)
    assert len(rack.cells_today(book)) >= 4


def test_keys_sent_right_before_the_page_is_gone_count(book: Path, tmp_path: Path) -> None:
    async def work(session: ClientSession) -> None:
        visitor = await visit(session, server.url)
        await visitor.wait("1 of 60")
        await visitor.press("g14\r" + "n" + "x" * 150)
        await visitor.socket.close()
        await until_no_walk(server)

    with serving(book, tmp_path) as server:
        with_session(work)
    assert "x" * 150 in rack.cells_today(book).values()


def test_only_so_many_walks_at_once_and_one_for_each_keeper(book: Path, tmp_path: Path) -> None:
    async def work(session: ClientSession) -> None:
        async with session.get(server.url) as answer:
            page = await answer.text()
            assert re.findall(r'href="(walk/\d/)">([^<]*)<', page) == [
                ("walk/0/", "Ferrow"),
                ("walk/1/", "Ada &lt;b&gt;"),
                ("walk/2/", "Third"),
            ]
        first, second = await visit(session, server.url, 0), await visit(session, server.url, 1)
        await first.wait("Ferrow")
        await second.wait("Ada <b>")
        third = await visit(session, server.url, 2)
        assert await third.gone() == 4003
        assert len(server.walks()) == 2
        await first.press("1")
        await first.wait("1 ✓")
        again = await visit(session, server.url, 0)  # the same keeper on another page
        assert await first.gone() == 4002
        await again.wait("1 ✓")
        assert len(server.walks()) == 2
        for visitor in (second, again):
            await visitor.press("q")
            assert await visitor.gone() == 4000
        await until_no_walk(server)
        third = await visit(session, server.url, 2)
        await third.wait("Third")
        await third.socket.close()

    with serving(
        book, tmp_path, *(x for k in ("Ferrow", "Ada <b>", "Third") for x in ("--keeper", k))
    ) as server:
        with_session(work)


NOT_OF_THE_PAGE = (
    "",
    "[",
    "{}",
    '["stdin"]',
    '["stdin", 5]',
    '["resize", {"width": "x", "height": 1}]',
    '["quit"]',
    "[" * 9000,
)


def test_a_message_that_the_page_does_not_send_ends_the_walk_saved(book: Path, tmp_path: Path) -> None:
    async def work(session: ClientSession) -> None:
        for digit, message in enumerate(NOT_OF_THE_PAGE, 1):
            visitor = await visit(session, server.url)
            await visitor.wait("1 of 60")
            await visitor.press(f"j{digit}")
            await visitor.wait(f"{digit} ✓")
            await visitor.socket.send_str(message)
            assert await visitor.gone() == 4004, message
            await until_no_walk(server)
            assert rack.cells_today(book)[("TL-007", "jelly_gone")] == digit, message

    with serving(book, tmp_path) as server:
        with_session(work)


ADDRESSED = b"GET / HTTP/1.1\r\nHost: {host}\r\n"
MALFORMED = (
    b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + bytes(range(256)),
    b"GET / HT",
    b"GET /\0 HTTP/1.1\r\n\r\n",
    b"GET / HTTP/9.9\r\nHost: {host}\r\n\r\n",
    b"GET / HTTP/1.1\r\n\r\n",
    b"GET http://[::1 HTTP/1.1\r\nHost: {host}\r\n\r\n",
    b"GET /" + b"a" * 200_000 + b" HTTP/1.1\r\nHost: {host}\r\n\r\n",
    b"GET /walk/\xd9\xa3/ HTTP/1.1\r\nHost: {host}\r\n\r\n",
    b"GET /%zz%ff/../..//files/..%2f..%2fetc HTTP/1.1\r\nHost: {host}\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: \xff\xfe\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: \x1b[2J\r\n\r\n",
    ADDRESSED + b"X: " + b"a" * 200_000 + b"\r\n\r\n",
    ADDRESSED + b"".join(b"X%d: 1\r\n" % i for i in range(20_000)) + b"\r\n",
    ADDRESSED + b"Content-Length: -5\r\n\r\n",
    ADDRESSED + b"Content-Length: 99999999999999\r\n\r\nabc",
    ADDRESSED + b"Transfer-Encoding: chunked\r\n\r\nzz\r\n",
    ADDRESSED + b"Transfer-Encoding: chunked\r\nContent-Length: 3\r\n\r\n0\r\n\r\n",
)
"""Sent raw: no HTTP at all, half a request, and what RFC 9112 does not allow."""
HANDSHAKE = (
    b"GET /walk/0/ws?width=%ff9999999 HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nUpgrade: websocket\r\n"
    b"Connection: Upgrade\r\nSec-WebSocket-Key: eHh4eHh4eHh4eHh4eHh4eA==\r\nSec-WebSocket-Version: 13\r\n"
    b"Sec-WebSocket-Extensions: permessage-deflate\r\n\r\n"
)
BAD_FRAMES = (
    b"\x81\xff" + b"\x40" * 8 + b"\0\0\0\0x",  # 2^62 bytes to come
    b"\xc1\xfe\x26\x10\0\0\0\0" + zlib.compress(b"a" * 10_000_000)[2:-4],  # much in little
    b"\xf1\x81\0\0\0\0x",  # reserved bits
    b"\x8b\x81\0\0\0\0x",  # no such kind
    b"\x09\x81\0\0\0\0x",  # a control frame in parts
    b"\x80\x81\0\0\0\0x",  # goes on with nothing
    b"\x81\x82\0\0\0\0\xff\xfe",  # no UTF-8
    b"\x88\x83\0\0\0\0\0\x05x",  # a code to close with that is none
    bytes(range(255, 0, -1)),
    b"\x81\xfe\x01\xf4\0\0\0\0[",  # half of it
)
"""Sent after a handshake; the frames of RFC 6455 section 5.2, each wrong in its way."""


def test_what_is_no_http_is_refused_in_a_line_and_the_server_serves_on(book: Path, tmp_path: Path) -> None:
    async def work(session: ClientSession) -> None:
        async with session.get(f"{server.url}/") as answer:
            assert answer.status == 200
        visitor = await visit(session, server.url)
        await visitor.wait("1 of 60")
        await visitor.send("stdin", "\x1b[49:33;1u\x1b[49;1:3uj2")
        await visitor.wait("2 ✓")
        await visitor.socket.close()

    with serving(book, tmp_path) as server:
        host = server.url.removeprefix("http://")
        for sent in (*MALFORMED, *(HANDSHAKE + f for f in BAD_FRAMES[: sampled(2, len(BAD_FRAMES))])):
            with socket.create_connection(("127.0.0.1", int(host.rpartition(":")[2])), timeout=20) as raw:
                raw.sendall(sent.replace(b"{host}", host.encode()))
                raw.shutdown(socket.SHUT_WR)
                with contextlib.suppress(ConnectionResetError):  # more was sent than is read of such a one
                    while raw.recv(65536):
                        pass
        with_session(work)
        assert "Traceback" not in server.said
        assert 'File "' not in server.said
        assert "\x1b" not in server.said
        assert "refused: what came is no request of HTTP" in server.said
        assert rack.cells_today(book) == {("TL-007", "jelly_gone"): 2}


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_the_server_ends_with_every_walk_saved(book: Path, tmp_path: Path, number: int) -> None:
    async def work(session: ClientSession) -> None:
        visitor = await visit(session, server.url)
        await visitor.wait("1 of 60")
        await visitor.press("nabc")
        await visitor.wait("note: abc_ ✓")
        pids = server.walks()
        code = await asyncio.to_thread(server.stop, number)
        assert code in (0, 130)
        await asyncio.to_thread(until, lambda: not any(map(_alive, pids)))

    with serving(book, tmp_path) as server:
        with_session(work)
    assert "abc" in rack.cells_today(book).values()


def test_a_killed_server_leaves_no_walk_behind(book: Path, tmp_path: Path) -> None:
    async def work(session: ClientSession) -> None:
        visitor = await visit(session, server.url)
        await visitor.wait("1 of 60")
        await visitor.press("nabc")
        await visitor.wait("note: abc_ ✓")
        (pid,) = server.walks()
        await asyncio.to_thread(server.stop, signal.SIGKILL)
        await asyncio.to_thread(until, lambda: not _alive(pid))

    with serving(book, tmp_path) as server:
        with_session(work)
    assert "abc" in rack.cells_today(book).values()


def _alive(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


def test_a_walk_that_cannot_begin_says_why_on_the_page(book: Path, tmp_path: Path) -> None:
    async def work(session: ClientSession) -> None:
        os.rename(book, book.with_suffix(".away"))
        visitor = await visit(session, server.url)
        assert await visitor.gone() == 4001
        await until_no_walk(server)

    with serving(book, tmp_path) as server:
        with_session(work)
        assert "there is no book" in server.said


# The command line


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--host", "0.0.0.0"], "own address alone"),
        (["--host", "192.168.1.5"], "own address alone"),
        (["--address", "http://rack.example"], "must begin with https"),
        (["--address", "rack"], "is not the address"),
        (["--port", "70000"], "0<=x<=65535"),
        (["--sessions", "0"], "1<=x<=20"),
    ],
)
def test_what_must_not_be_is_refused(
    book: Path, capsys: pytest.CaptureFixture[str], more: list[str], said: str
) -> None:
    assert run(["--book", str(book), "serve", *more]) == EXIT_INPUT
    out, err = capsys.readouterr()
    assert said in err
    assert out == ""


def test_without_a_book_it_does_not_begin(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--book", str(tmp_path / "none.sqlite"), "serve"]) == EXIT_BOOK
    assert "there is no book" in capsys.readouterr().err


def test_a_port_that_is_taken_is_said(book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with serving(book, tmp_path) as server:
        port = server.url.rpartition(":")[2]
        assert run(["--book", str(book), "serve", "--port", port]) == EXIT_INPUT
    assert f"port {port} of 127.0.0.1 is not free" in capsys.readouterr().err


def test_it_says_what_must_not_be_done(book: Path, tmp_path: Path) -> None:
    with serving(book, tmp_path) as server:
        said = until(lambda: server.said if "No --address" in server.said else "")
    for words in ("password", "Never forward a", "tunnel", "tablet locked"):
        assert words in said
