"""The real program in a terminal of its own: bytes in, a screen of text out, and how it ended.

The terminal is a pseudo-terminal of a given size whose output a terminal emulator turns
into text, so a test sees what a keeper would see and types what a keyboard would send.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import re
import select
import signal
import sys
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path

import pyte
from ptyprocess import PtyProcess

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = (sys.executable, "-m", "rounds")
RUNNER = (sys.executable, "-m", "tests.endtoend.runner")

BYTES = {
    "space": b" ",
    "enter": b"\r",
    "backspace": b"\x7f",
    "tab": b"\t",
    "up": b"\x1b[A",
    "down": b"\x1b[B",
    "right": b"\x1b[C",
    "left": b"\x1b[D",
    "ctrl+c": b"\x03",
}
"""What a keyboard sends for the keys that are not a character."""

PATIENCE = 90.0  # seconds until a test gives up; never a measure of speed
RESTORED = (b"\x1b[?1049l", b"\x1b[?25h", b"\x1b[?2004l")
"""A terminal given back: the normal screen, the cursor, pastes as they were."""


def typed(keys: Iterable[str]) -> bytes:
    """The bytes of some keys (names as in key layouts, or single characters)."""
    return b"".join(BYTES.get(key) or key.encode() for key in keys)


def as_an_ordinary_user() -> None:
    """In a child before it starts: root's right to see through read-only marks is given up for good.

    An owner without that right is what every other user is. Elsewhere than on Linux, or where
    that cannot be done, root becomes nobody.
    """
    if os.geteuid() != 0:
        return
    drop_from_bounding_set, override, read_search = 24, 1, 2  # prctl(2), capabilities(7)
    try:
        prctl = ctypes.CDLL(None, use_errno=True).prctl
        if prctl(drop_from_bounding_set, override) == 0 == prctl(drop_from_bounding_set, read_search):
            return
    except AttributeError:
        pass
    os.setgid(65534)
    os.setuid(65534)


class Gone(AssertionError):
    """The program ended, or never showed what was waited for; the text has its last screen."""


class Terminal:
    """One run of a program. Close it (or use ``with``), or it is killed at the end of its test."""

    def __init__(
        self,
        argv: Sequence[str],
        *,
        columns: int = 80,
        lines: int = 24,
        env: Mapping[str, str] | None = None,
        preexec: Callable[[], None] | None = None,
        cwd: Path | None = None,
    ) -> None:
        given = {
            k: v
            for k, v in os.environ.items()
            if not k.startswith(("ROUNDS_", "TEXTUAL", "NO_COLOR")) and k not in ("COLUMNS", "LINES")
        }
        # XTERM without answers to queries: the smallest terminal the program must work on.
        given |= {"TERM": "xterm-256color", "LANG": "C.UTF-8", "PYTHONPATH": str(ROOT)}
        # A program that is compiled at every start starts like no user's.
        given.pop("PYTHONDONTWRITEBYTECODE", None)
        given |= env or {}
        self.output = b""
        self._screen = pyte.Screen(columns, lines)
        self._stream = pyte.ByteStream(self._screen)
        self._text: str | None = None  # the emulator takes long to tell its screen
        self._over = False
        self._dead = False
        self.process = PtyProcess.spawn(
            list(argv),
            cwd=str(cwd or ROOT),
            env=given,
            dimensions=(lines, columns),
            preexec_fn=preexec,
            echo=False,
        )

    @property
    def pid(self) -> int:
        return int(self.process.pid)

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: object) -> None:
        self.kill()

    # In

    def send(self, data: bytes) -> None:
        """All of it in one write, as a burst of keys arrives."""
        assert os.write(self.process.fd, data) == len(data)

    def press(self, *keys: str) -> None:
        self.send(typed(keys))

    def resize(self, columns: int, lines: int) -> None:
        self._screen.resize(lines, columns)
        self._text = None
        self.process.setwinsize(lines, columns)

    def signal(self, number: int) -> None:
        os.kill(self.pid, number)

    # Out

    def read(self, seconds: float) -> bytes:
        """What comes within ``seconds``; returns with the first bytes, b"" when there are none."""
        if self._over:
            return b""
        ready, _, _ = select.select([self.process.fd], [], [], seconds)
        if not ready:
            return b""
        try:
            data = os.read(self.process.fd, 65536)
        except OSError:  # a pty whose other end is closed
            data = b""
        if not data:
            self._over = True
        self.output += data
        self._text = None
        self._stream.feed(_plain(data))
        return data

    def quiet(self, seconds: float = 0.12) -> str:
        """Read until nothing comes for a while; the screen."""
        while self.read(seconds):
            pass
        return self.text

    def wait_for(self, what: str | Callable[[str], bool], patience: float = PATIENCE) -> str:
        """Read until the screen shows ``what`` (a regular expression, or a test of its text)."""
        shown = (
            what if callable(what) else (lambda text: re.search(what, text) or re.search(what, self.words))
        )
        until = time.monotonic() + patience
        while not shown(self.text):
            if not self.read(0.05) and (self._over or time.monotonic() > until):
                raise Gone(
                    f"waited for {what!r}; the screen is\n{self.text}\nlast bytes {self.output[-300:]!r}"
                )
        return self.text

    @property
    def words(self) -> str:
        """The screen as one line of words: where lines are broken does not matter."""
        return " ".join(self.text.split())

    @property
    def text(self) -> str:
        if self._text is None:
            self._text = "\n".join(line.rstrip() for line in self._screen.display)
        return self._text

    # The end

    def ended(self, patience: float = PATIENCE) -> int:
        """Read to the end and return the exit code, or minus the signal that ended it."""
        until = time.monotonic() + patience
        while not self._over:
            if time.monotonic() > until:
                raise Gone(f"the program did not end; the screen is\n{self.text}")
            self.read(0.2)
        return self._reap()

    def kill(self) -> int:
        """kill -9, then read what the terminal had been given before; minus nine."""
        if not self._dead:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.pid, signal.SIGKILL)
            while not self._over:
                self.read(1.0)
        return self._reap()

    def hang_up(self) -> None:
        """Close the window: the program's terminal is gone, and it gets SIGHUP."""
        self._over = True
        self._let_go()

    def _reap(self) -> int:
        if not self._dead:
            self.process.wait()
            self._dead = True
            self._let_go()
        return -self.process.signalstatus if self.process.signalstatus else int(self.process.exitstatus)

    def _let_go(self) -> None:
        self.process.fileobj.close()  # the one owner of the descriptor: closed twice, it would be another's
        self.process.closed = True

    def reap(self) -> int:
        """Wait for a program whose terminal is gone."""
        return self._reap()


# Queries and keyboard modes the emulator does not know and would print as text.
_UNKNOWN = re.compile(rb"\x1b\[[<>=][0-9;]*[a-zA-Z]|\x1b\[\?[0-9;]*\$[a-z]|\x1b[P_][^\x1b]*\x1b\\")


def _plain(data: bytes) -> bytes:
    return _UNKNOWN.sub(b"", data)
