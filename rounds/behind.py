"""Work beside the keys: one thread with a connection of its own, and what it has come to so far.

No key waits for it. Only the newest asking under a name counts; an older one is given up at
its next word.
"""

from __future__ import annotations

import logging
import sys
import threading
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from rounds.pages.sources import Archive, Slow, Tell
from rounds.store.archive import BookArchive
from rounds.store.book import open_book

Work = Callable[[Archive, Tell], Any]
SLICE = 0.0005
"""Seconds that the thread keeps the interpreter while a key waits (ten times as long is usual)."""
_log = logging.getLogger(__name__)


class Behind:
    """``tell`` is called, from the thread, whenever there is something new to show."""

    def __init__(self, path: Path, tell: Callable[[], object]) -> None:
        self.path, self._tell = path, tell
        self._changed = threading.Condition()
        self._state: dict[str, tuple[str, Slow]] = {}  # by name: the key asked for, and what it came to
        self._todo: list[tuple[str, str, Work]] = []
        self._running = self._stopped = False

    def ask(self, name: str, key: str, work: Work) -> Slow:
        """What the work under this name and key has come to; it is begun when it was not."""
        with self._changed:
            known = self._state.get(name)
            if known is not None and known[0] == key:
                return known[1]
            self._state[name] = (key, Slow(None, "working …"))
            self._todo = [t for t in self._todo if t[0] != name] + [(name, key, work)]
            if not self._running and not self._stopped:
                self._running = True
                threading.Thread(target=self._run, name="rounds-behind", daemon=True).start()
            return self._state[name][1]

    def forget(self) -> None:
        """The books changed: whatever is asked for next is worked out anew."""
        with self._changed:
            self._state.clear()
            self._todo.clear()

    def wait(self, timeout: float) -> bool:
        """Wait until nothing is being worked out; False when it was not in time."""
        with self._changed:
            return self._changed.wait_for(lambda: not self._running, timeout)

    def stop(self) -> None:
        """Nobody wants an answer any more."""
        with self._changed:
            self._stopped = True
            self._todo.clear()
            self._state.clear()

    # The thread

    def _run(self) -> None:
        while True:
            with self._changed:
                if not self._todo or self._stopped:
                    self._running = False
                    self._changed.notify_all()
                    return
                name, key, work = self._todo.pop()
            usual = sys.getswitchinterval()
            sys.setswitchinterval(SLICE)
            try:
                with open_book(self.path, readonly=True) as book:
                    value = work(BookArchive(book), partial(self._go_on, name, key))
                slow = Slow(value, "")
            except Exception as error:  # a mistake of ours, or a book that is gone: the walk goes on
                _log.exception("%s could not be worked out", name)
                slow = Slow(None, f"could not be worked out ({error})")
            finally:
                sys.setswitchinterval(usual)
            self._came_to(name, key, slow)

    def _go_on(self, name: str, key: str, words: str, so_far: Any = None, /) -> bool:
        return self._came_to(name, key, Slow(so_far, words))

    def _came_to(self, name: str, key: str, slow: Slow) -> bool:
        with self._changed:
            known = self._state.get(name)
            current = known is not None and known[0] == key and not self._stopped
            if current:
                self._state[name] = (key, slow)
        if current:
            try:
                self._tell()
            except Exception:  # a screen that is gone hears nothing
                _log.exception("nobody heard what was worked out")
        return current
