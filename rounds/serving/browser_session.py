"""One open page and the walk's process behind it.

The library starts a program and carries what it paints to the page and what is typed there
back. Here: the program is started without a shell, goes on being read when the page is gone
(so that it can end in peace), and says on the page why it ended.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import signal
import subprocess
from asyncio.subprocess import PIPE, Process
from collections.abc import Awaitable, Callable, Sequence
from typing import Any

from textual_serve.app_service import AppService
from textual_serve.download_manager import DownloadManager

from rounds.ending_signals import WINDOW_CLOSED, ask_to_end, end_by_force
from rounds.serving import serving_sentences
from rounds.text.cleaning import clean_lines

LEAVE_SECONDS = (12.0, 12.0)
"""How long a walk is waited for: until it is asked once more to end, and from then until it is ended by force.

The walk itself gives its last commits ten.
"""
MOST_CELLS = 500
KEPT = 8_000  # bytes of what the program said on stderr
ENDS = (0, 128 + WINDOW_CLOSED, 128 + signal.SIGINT)
"""Exit codes of a walk that was left in order."""

Send = Callable[[bytes], Awaitable[None]]


class Session(AppService):
    """Runs ``argv`` for one page. ``ended`` is set once the process is gone; then ``code`` and ``said`` tell."""

    def __init__(self, argv: Sequence[str], driver: str, send: Send) -> None:
        super().__init__(
            argv[0], write_bytes=send, write_str=_nothing, close=_nothing, download_manager=DownloadManager()
        )
        self.argv, self.driver = argv, driver
        self.code: int | None = None
        self.said = ""
        self.ended = asyncio.Event()
        self.stopping = False
        self.over = 0  # the close code that its page is told, where it was not the walk that ended

    async def take(self, text: str) -> str:
        """One message of the page; what it has to be answered with, or nothing.

        ValueError when it is none of those that our page sends.
        """
        kind, value = _message(text)
        if kind == "stdin":
            await self.send_bytes(value.encode("utf-8", "replace"))
        elif kind == "resize":
            width, height = (int(value[side]) for side in ("width", "height"))
            await self.set_terminal_size(max(1, min(MOST_CELLS, width)), max(1, min(MOST_CELLS, height)))
        elif kind == "ping":
            return json.dumps(["pong", value])
        return ""

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        environment = {
            **self._build_environment(width, height),
            "TEXTUAL_DRIVER": self.driver,
            "PYTHONUTF8": "1",
        }
        process = await asyncio.create_subprocess_exec(
            *self.argv,
            stdin=PIPE,
            stdout=PIPE,
            stderr=PIPE,
            env=environment,
            # ctrl+c at the server ends its walks one by one, saved (on Windows a session is a group)
            start_new_session=True,
            creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
        )
        self._process, self._stdin = process, process.stdin
        return process

    async def run(self) -> None:
        """Carry what the walk paints to the page until the process is gone."""
        process = self._process
        assert process is not None
        assert process.stdout is not None
        assert process.stderr is not None
        said = asyncio.create_task(_tail(process.stderr))
        try:
            await self._carry(process.stdout)
            self.said = clean_lines((await said).decode("utf-8", "replace")).strip()
            self.code = await process.wait()
        finally:
            said.cancel()
            if process.stdin is not None:
                process.stdin.close()
            self.ended.set()

    async def _carry(self, stdout: asyncio.StreamReader) -> None:
        """Packets: one byte of kind, four of length (big-endian), the payload; before them one line."""
        await stdout.readline()
        there = True
        while True:
            try:
                head = await stdout.readexactly(5)
                payload = await stdout.readexactly(int.from_bytes(head[1:], "big"))
            except asyncio.IncompleteReadError:
                return
            if head[:1] == b"D" and there:
                try:
                    await self.remote_write_bytes(payload)
                except (ConnectionError, RuntimeError):
                    there = False  # the page is gone; the walk is read on, or it could not end

    async def stop(self) -> None:
        """Have the walk save all and end, and wait for it; one that hangs is ended by force."""
        process, task = self._process, self._task
        if process is None or task is None:
            return
        if not self.stopping:
            self.stopping = True
            await self.send_meta({"type": "quit"})
            for end, seconds in zip((ask_to_end, end_by_force), LEAVE_SECONDS, strict=True):
                if await _within(self.ended, seconds):
                    break
                with contextlib.suppress(ProcessLookupError):  # it ended meanwhile
                    end(process.pid)  # asking the process object first could take its exit code away
        await self.ended.wait()
        await task


def why(session: Session) -> tuple[int, str]:
    """The websocket's close code and reason, once the process is gone by itself (RFC 6455: at most 123 bytes)."""
    if session.code in ENDS:
        return 4000, ""
    reason = session.said.splitlines()[-1] if session.said else serving_sentences.exit_code(session.code)
    for argument in session.argv:
        reason = reason.removeprefix(f"{argument}: ")  # the book's path would leave no room for what is wrong
    return 4001, reason.encode()[:120].decode("utf-8", "ignore")


def _message(text: str) -> tuple[str, Any]:
    """``["stdin", "text"]``, ``["resize", {"width": 80, "height": 24}]``, ``["ping", "text"]``, ``["focus"]``."""
    try:
        found = json.loads(text)
    except RecursionError as e:
        raise ValueError(serving_sentences.TOO_DEEP) from e
    except ValueError:  # the library's words speak of characters and digits
        found = None
    match found:
        case [("stdin" | "ping") as kind, str(value)]:
            return kind, value
        case ["resize", {"width": int(), "height": int()} as value]:
            return "resize", value
        case [("focus" | "blur") as kind, *_]:
            return kind, None
    raise ValueError(serving_sentences.UNKNOWN_MESSAGE)


async def _tail(stream: asyncio.StreamReader) -> bytes:
    kept = b""
    while data := await stream.read(4096):
        kept = (kept + data)[-KEPT:]
    return kept


async def _within(event: asyncio.Event, seconds: float) -> bool:
    try:
        await asyncio.wait_for(event.wait(), seconds)
    except TimeoutError:
        return False
    return True


async def _nothing(*_: object) -> None:
    """The walk sends no files and opens no addresses."""
